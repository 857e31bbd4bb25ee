"""An order asked for: once, at the quoted price, changed until the cut-off."""

from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest
from django.utils import timezone

from orders.core.drives import Drive
from orders.core.floors import DayRoad
from orders.core.lifecycle import TooLateToChange
from orders.core.order_request import OrderRequest
from orders.core.pricing import BelowMinimum
from orders.models import Customer, Order, Quote
from orders.selectors.prices import NoPriceSheet
from orders.services.asking import Access, DayNotOffered, change_order
from orders.services.customers import BadPhone, NoSuchCustomer, merge_customers
from orders.services.orders import PayFirst, confirm_order
from orders.services.placing import NoSuchQuote, QuoteTooOld, place_order
from orders.services.quotes import Spot, save_quote
from tests.factories.inventory import make_lot, make_reading
from tests.factories.orders import make_customer, make_sheet, make_town

pytestmark = pytest.mark.django_db

ON = date(2026, 9, 18)
AT = timezone.make_aware(datetime(2026, 9, 18, 9, 30))
LARCH = Drive(miles=Decimal("19.5"), minutes=29, from_yard="Siding Yard")


@pytest.fixture(autouse=True)
def _wood_for_all() -> None:
    make_reading(make_lot(code="K1", cords="20"))


def two_thirds_stacked(**changes):
    """Example 3: two thirds of a cord of fir to Larch Prairie, stacked."""
    fields = {
        "wood": "fir", "market": "near", "cords": Fraction(2, 3), "stacked": True, "place": "Larch Prairie"
    }  # fmt: skip
    return OrderRequest(**{**fields, **changes})


def saved(order_request=None, *, days=(), **changes):
    make_sheet() if not Quote._meta.get_field("sheet").related_model.objects.exists() else None
    town = make_town("Larch Prairie")
    spot = Spot(address="9 Station Street", town_id=town.pk, lat=town.lat, lon=town.lon)
    fields = {
        "order_request": order_request or two_thirds_stacked(),
        "on": ON,
        "at": AT,
        "drive": LARCH,
        "spot": spot,
        "days": days,
    }
    return save_quote(**{**fields, **changes})


def placed(token, **changes):
    fields = {
        "key": uuid4(), "quote_token": token, "name": "Pilar Ostrander", "phone": "541 555 0144", "on": ON,
        "at": AT,
    }  # fmt: skip
    return place_order(**{**fields, **changes})


def test_example_3_comes_out_to_the_cent_and_its_lines_add_up():
    quote = Quote.objects.get(token=saved().token)

    assert quote.total_dollars == Decimal("242.00")
    assert quote.deposit_dollars == Decimal("50.00")
    assert sum(Decimal(line["dollars"]) for line in quote.reasons) == quote.total_dollars


def test_an_order_takes_over_the_quotes_figures_and_keeps_its_reasons():
    number = placed(saved().token, access=Access(drop_spot="by the shed", gate_code="4471")).number

    order = Order.objects.get(number=number)
    assert (order.total_dollars, order.deposit_dollars) == (Decimal("242.00"), Decimal("50.00"))
    assert (order.place.drop_spot, order.place.gate_code) == ("by the shed", "4471")
    assert order.reasons == order.quote.reasons


@pytest.mark.parametrize(
    ("market", "asked", "is_pool", "waits_until"),
    [
        ("far", {}, True, date(2026, 10, 18)),
        ("far", {"waits_until": date(2026, 11, 2)}, True, date(2026, 11, 2)),
        ("far", {"joins_pool": False}, False, None),
        ("near", {"waits_until": date(2026, 11, 2)}, False, None),
    ],
)
def test_a_far_order_waits_in_the_pool_for_thirty_days_or_as_long_as_they_say(
    market, asked, is_pool, waits_until
):
    far_or_near = two_thirds_stacked(market=market)

    number = placed(saved(far_or_near).token, **{"joins_pool": True, **asked}).number

    order = Order.objects.get(number=number)
    assert (order.is_pool, order.waits_until) == (is_pool, waits_until)
    assert (order.first_on, order.last_on) == (ON, waits_until or date(2026, 10, 9))


def test_a_repeat_customer_whom_the_seller_writes_down_is_asked_for_no_deposit():
    make_customer("Pilar Ostrander", phone="+15415550144", is_repeat=True)

    number = placed(saved().token, typed_by_staff=True).number

    assert Order.objects.get(number=number).deposit_dollars == 0
    assert Customer.objects.count() == 1


def test_name_and_phone_of_a_known_customer_change_and_show_nothing_of_theirs():
    """A stranger who knows both got the customer's next letter, signed link and all."""
    known = make_customer("Pilar Ostrander", phone="+15415550144", is_repeat=True)
    before = Customer.objects.filter(pk=known.pk).values().get()

    number = placed(saved().token, email="stranger@example.com", wants_reminder=True).number

    order = Order.objects.get(number=number)
    assert order.customer_id != known.pk
    assert order.deposit_dollars == Decimal("50.00")  # as any newcomer: nothing tells that the name is known
    assert Customer.objects.filter(pk=known.pk).values().get() == before


def test_a_price_asked_through_a_signed_link_orders_for_the_person_of_the_link():
    known = make_customer("Pilar Ostrander", phone="+15415550144", email="pilar@example.com")
    token = saved(customer_id=known.pk).token

    mine = Order.objects.get(number=placed(token).number)
    elsewhere = Order.objects.get(number=placed(token, email="stranger@example.com").number)

    assert mine.customer_id == known.pk
    assert elsewhere.customer_id != known.pk
    known.refresh_from_db()
    assert known.email == "pilar@example.com"


def test_a_price_page_passed_on_names_nobody():
    token = saved().token
    first = Order.objects.get(number=placed(token).number)

    second = Order.objects.get(number=placed(token).number)

    assert second.customer_id != first.customer_id


def test_the_seller_merges_two_who_are_one():
    known = make_customer("Pilar Ostrander", phone="+15415550144", is_repeat=True, email="pilar@example.com")
    order = Order.objects.get(number=placed(saved().token, email="other@example.com").number)

    merge_customers(keep_id=known.pk, other_id=order.customer_id, at=AT, who="ruth")

    order.refresh_from_db()
    assert (order.customer_id, order.place.customer_id) == (known.pk, known.pk)
    assert list(Customer.objects.values_list("email", flat=True)) == ["pilar@example.com"]
    with pytest.raises(NoSuchCustomer):
        merge_customers(keep_id=known.pk, other_id=known.pk, at=AT, who="ruth")


def test_another_name_does_not_shake_off_a_note_to_pay_first():
    make_customer("Marlow Finch", phone="+15415550144", pay_first=True, pay_first_reason="check returned")
    number = placed(saved().token).number

    with pytest.raises(PayFirst, match="Marlow Finch"):
        confirm_order(number=number, picks=[], at=AT, who="ruth")


def test_a_day_we_are_coming_anyway_is_cheaper_and_the_order_gets_that_price():
    offer = saved(days=[DayRoad(on=date(2026, 9, 22), marginal_dollars=Decimal(6), drops_already=2)])
    day = date(2026, 9, 22)

    number = placed(offer.token, day=day).number

    order = Order.objects.get(number=number)
    assert order.total_dollars == Decimal("226.00")
    assert (order.first_on, order.last_on) == (day, day)
    assert sum(Decimal(line["dollars"]) for line in order.reasons) == order.total_dollars


def test_leaving_the_cheaper_day_brings_back_the_other_days_price():
    offer = saved(
        days=[
            DayRoad(on=date(2026, 9, 22), marginal_dollars=Decimal(6), drops_already=2),
            DayRoad(on=date(2026, 9, 23), marginal_dollars=Decimal(90)),
        ]
    )
    number = placed(offer.token, day=date(2026, 9, 22)).number

    change_order(number=number, at=AT, access=Access(), day=date(2026, 9, 23))

    assert Order.objects.get(number=number).total_dollars == Decimal("242.00")


def test_a_day_that_was_not_offered_is_refused():
    with pytest.raises(DayNotOffered):
        placed(saved().token, day=date(2026, 9, 30))

    assert not Order.objects.exists()
    assert not Customer.objects.exists()


@pytest.mark.parametrize(
    ("changes", "error"),
    [
        ({"phone": "12"}, BadPhone),
        ({"on": date(2026, 12, 1)}, QuoteTooOld),
        ({"quote_token": uuid4()}, NoSuchQuote),
    ],
)
def test_what_cannot_be_ordered_leaves_nothing_behind(changes, error):
    token = saved().token

    with pytest.raises(error):
        placed(token, **changes)

    assert not Order.objects.exists()
    assert not Customer.objects.exists()


def test_the_same_form_sent_again_gives_the_same_order():
    token, key = saved().token, uuid4()

    first = placed(token, key=key)
    again = placed(token, key=key, name="Somebody Else")

    assert (first.number, first.is_new, again.number, again.is_new) == (
        again.number,
        True,
        first.number,
        False,
    )
    assert placed(saved().token, name="Len Abbot").number == first.number + 1  # the second tap burned none


def test_numbers_go_up_by_one_after_those_already_there():
    numbers = [placed(saved().token, name=name).number for name in ("Ida Crewe", "Len Abbot", "Sal Dufrane")]

    assert numbers == [numbers[0], numbers[0] + 1, numbers[0] + 2]


def test_a_change_after_the_cut_off_is_refused():
    number = placed(saved().token).number
    Order.objects.filter(number=number).update(state="planned", promised_on=date(2026, 9, 19))
    too_late = timezone.make_aware(datetime(2026, 9, 18, 12, 1))

    with pytest.raises(TooLateToChange):
        change_order(number=number, at=too_late, access=Access(drop_spot="elsewhere"))

    change_order(
        number=number, at=AT, access=Access(drop_spot="barn"), window_from=time(8), window_to=time(12)
    )
    assert Order.objects.get(number=number).place.drop_spot == "barn"


def test_below_the_minimum_no_quote_is_kept():
    with pytest.raises(BelowMinimum):
        saved(two_thirds_stacked(cords=Fraction(1, 4), stacked=False))

    assert not Quote.objects.exists()


def test_without_a_price_sheet_nothing_can_be_quoted():
    town = make_town("Larch Prairie")
    spot = Spot(address="9 Station Street", town_id=town.pk)

    with pytest.raises(NoPriceSheet):
        save_quote(order_request=two_thirds_stacked(), on=ON, at=AT, drive=LARCH, spot=spot)

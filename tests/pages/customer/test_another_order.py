"""An order that stands becomes another: wood, amount, address, day and contact, priced before it is saved."""

import re
from decimal import Decimal
from fractions import Fraction

import pytest

from firewood_site.access import order_path
from orders.models import Order, Quote
from orders.services.orders import Picked, confirm_order
from tests.factories.inventory import an_instant, make_lot, make_reading, make_yard
from tests.factories.orders import make_customer, make_order, make_place, make_sheet, make_town
from tests.factories.routing import make_rig

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(business):
    yard = make_yard(name="Siding Yard")
    make_reading(make_lot(code="K1", cords="6.05", yard=yard))
    make_rig(home_yard=yard)
    make_sheet()
    make_town("Larch Prairie")
    greta = make_customer(phone="+15415550199", phone_as_typed="541 555 0199")
    return make_order(
        number=213, customer=greta, place=make_place(greta, address="12 Mill Street, Marrow Bridge")
    )


def path(order):
    return order_path(order.number, order.link_secret)


def words(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def priced(client, order, **changes):
    """The page of the price for the order as it would be."""
    client.get(f"{path(order)}/other")
    form = {
        "choice": "fir:seasoned", "amount": "1", "how": "delivered", "laid": "drop",
        "where": "12 Mill Street", "town": make_town("Marrow Bridge").pk, **changes,
    }  # fmt: skip
    return client.post("/price", form)["Location"]


def take(client, order, quote_path, **changes):
    page = client.get(quote_path).content.decode()
    action = re.search(r'action="(/o/[^"]+/take/[^"]+)"', page)[1]
    seen = re.search(r'name="seen" value="([^"]+)"', page)[1]
    return client.post(action, {"day": "any", "seen": seen, **changes})


def test_the_form_begins_with_the_order_as_it_is(client, order):
    answer = client.get(f"{path(order)}/other", follow=True)

    page = answer.content.decode()
    assert 'value="12 Mill Street"' in page
    assert re.search(r'name="amount" value="1/3" checked', page)


def test_another_amount_is_priced_and_read_before_the_order_is_changed(client, order):
    quote_path = priced(client, order)

    page = words(client.get(quote_path))
    assert "Order 213 becomes this. It was $100." in page
    assert "Change my order · $260" in page
    order.refresh_from_db()
    assert order.total_dollars == Decimal(100)

    answer = take(client, order, quote_path)

    assert answer["Location"] == path(order)
    order.refresh_from_db()
    assert (order.cords, order.total_dollars) == (1, Decimal(260))
    assert (order.customer.name, order.place.address) == ("Greta Sool", "12 Mill Street, Marrow Bridge")
    assert "Your order is changed." in words(client.get(path(order)))
    assert Order.objects.count() == 1


@pytest.mark.parametrize(("is_known", "deposit"), [(True, 0), (False, 55)])
def test_a_customer_we_know_is_asked_for_no_deposit_on_another_amount(client, order, is_known, deposit):
    order.customer.is_repeat = is_known
    order.customer.save(update_fields=["is_repeat"])

    take(client, order, priced(client, order))

    order.refresh_from_db()
    assert order.deposit_dollars == deposit


def test_another_town_moves_the_place_and_a_price_that_was_not_read_changes_nothing(client, order):
    quote_path = priced(client, order, where="9 Station Street", town=make_town("Larch Prairie").pk)

    take(client, order, quote_path, seen="1.00")
    order.refresh_from_db()
    assert order.total_dollars == Decimal(100)

    take(client, order, quote_path)
    order.refresh_from_db()
    assert order.place.address == "9 Station Street, Larch Prairie"
    assert order.total_dollars == Quote.objects.latest("pk").total_dollars > 260


def test_a_confirmed_order_gives_its_wood_back_and_is_looked_at_again(client, order):
    confirm_order(number=213, picks=[Picked(lot="K1", cords=Fraction(1, 3))], at=an_instant(), who="ruth")

    take(client, order, priced(client, order))

    order.refresh_from_db()
    assert order.state == "asked"
    assert not [link for link in order.order_holds.all() if link.hold.state == "standing"]


def test_an_order_whose_day_is_planned_stays_as_it_is(client, order):
    quote_path = priced(client, order)
    Order.objects.update(state="planned", promised_on="2026-09-25")

    assert "Change wood, amount or address" not in words(client.get(path(order)))
    take(client, order, quote_path)
    order.refresh_from_db()
    assert order.cords == Fraction(1, 3)
    assert "Your day is planned for what you ordered" in words(client.get(quote_path))


def test_a_stranger_prices_for_themselves(client, order):
    client.cookies["priced-for"] = "3q-1-forged"

    form = {
        "choice": "fir:seasoned",
        "amount": "1",
        "how": "delivered",
        "town": make_town("Marrow Bridge").pk,
    }
    page = words(client.get(client.post("/price", form)["Location"]))

    assert "becomes this" not in page
    assert "Place order · $260" in page


def test_no_this_is_a_new_order(client, order):
    priced(client, order)

    client.get("/price/anew")

    assert not client.cookies["priced-for"].value


def test_phone_and_mail_are_changed_by_the_link_alone(client, order):
    form = {
        "day": "2026-09-18",
        "window": "any",
        "name": "Greta Sool",
        "phone": "541 555 0123",
        "email": "g@example.org",
    }

    client.post(f"{path(order)}/change", form)

    order.customer.refresh_from_db()
    assert (order.customer.phone, order.customer.email) == ("+15415550123", "g@example.org")


def test_a_phone_that_is_none_changes_nothing_and_says_so(client, order):
    form = {"day": "2026-09-18", "window": "any", "phone": "5", "drop_spot": "by the shed"}

    answer = client.post(f"{path(order)}/change", form)

    assert answer.status_code == 422
    order.place.refresh_from_db()
    assert order.place.drop_spot == ""

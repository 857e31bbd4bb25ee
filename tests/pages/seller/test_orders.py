"""The seller's orders: confirm, take money, hand over, and every refusal said in a sentence."""

from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Hold, Lot
from orders.models import Claim, Customer, Letter, Order, Payment, PriceSheet, Quote
from routing.selectors.rigs import rig_value
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_customer, make_order, make_sheet, make_town
from tests.factories.routing import make_rig

pytestmark = pytest.mark.django_db


@pytest.fixture
def fir(business):
    make_sheet()
    lot = make_lot(code="K1", cords="6.05", yard=make_yard(name="Siding Yard"))
    make_reading(lot)
    return lot


@pytest.fixture
def asked(fir):
    return make_order(number=202)


def confirm(client, order, **changes):
    return client.post(f"/seller/orders/{order.number}/confirm", {"lot-K1": "1/3", **changes})


def test_the_page_suggests_the_lot_and_the_amount(seller_client, asked):
    page = seller_client.get("/seller/orders/202").content.decode()

    assert 'name="lot-K1" value="1/3"' in page


def test_confirming_holds_the_wood(seller_client, asked, fir):
    answer = confirm(seller_client, asked)

    assert answer.status_code == 302
    asked.refresh_from_db()
    fir.refresh_from_db()
    assert asked.state == "confirmed"
    assert fir.firm_cords == Fraction(1, 3)
    assert Hold.objects.get().reference == "order 202"


def test_confirming_one_who_waits_for_a_shared_load_tells_until_when(seller_client, fir):
    order = make_order(number=203, is_pool=True, waits_until=date(2026, 10, 18))

    answer = confirm(seller_client, order)

    assert answer.status_code == 302
    assert "Sun, Oct 18" in Letter.objects.get(kind="pool_waiting").body


def test_the_text_of_a_shared_load_says_until_when_and_once_planned_its_day(seller_client, fir):
    order = make_order(number=203, is_pool=True, waits_until=date(2026, 10, 18), state="confirmed")
    order.customer.phone = "+15415550199"
    order.customer.save(update_fields=["phone"])
    page = reverse("order", args=[203])
    waiting = {text.kind: text.text for text in seller_client.get(page).context["texts"]}

    order.state, order.promised_on = "planned", date(2026, 9, 24)
    order.save(update_fields=["state", "promised_on"])
    planned = {text.kind: text.text for text in seller_client.get(page).context["texts"]}

    assert "Oct 18" in waiting["pool_waiting"]
    assert "Sep 24" in planned["day_set"]


@pytest.mark.parametrize(
    ("changes", "dollars"),
    [
        ({}, 20),
        ({"state": "delivered", "delivered_on": date(2026, 9, 18)}, 100),
        ({"how": "pick_up", "place": None}, 100),
    ],
)
def test_the_payment_form_begins_with_what_is_likely_handed_over(seller_client, fir, changes, dollars):
    make_order(number=204, deposit_dollars=20, **{"state": "confirmed", **changes})

    form = seller_client.get(reverse("order", args=[204])).context["payment_form"]

    assert form.initial["dollars"] == dollars


def test_an_amount_that_does_not_add_up_changes_nothing(seller_client, asked, fir):
    answer = confirm(seller_client, asked, **{"lot-K1": "1/2"})

    assert answer.status_code == 422
    assert "make them add up" in answer.content.decode()
    fir.refresh_from_db()
    assert fir.firm_cords == 0


def test_wood_that_somebody_else_got_first_is_refused(seller_client, asked, fir):
    Lot.objects.update(firm_cords=Fraction(6))

    answer = confirm(seller_client, asked)

    assert answer.status_code == 422
    asked.refresh_from_db()
    assert asked.state == "asked"
    assert not Hold.objects.exists()


def test_a_customer_who_pays_first_is_not_confirmed_by_a_slip(seller_client, asked, fir):
    Customer.objects.update(pay_first=True, pay_first_reason="Check returned Jan 12, 2026.")

    refused = confirm(seller_client, asked)
    meant = confirm(seller_client, asked, despite="on")

    assert refused.status_code == 422
    assert "Jan 12" in refused.content.decode()
    assert meant.status_code == 302


def test_wood_that_is_not_dry_is_not_sold_as_seasoned_by_a_slip(seller_client, asked, fir):
    make_lot(code="K6", cords="2.5", yard=fir.yard, split_on=date(2026, 8, 20), drying_from=date(2026, 8, 20))

    refused = confirm(seller_client, asked, **{"lot-K1": "0", "lot-K6": "1/3"})

    assert refused.status_code == 422
    assert "Lot K6 cannot be called seasoned" in refused.content.decode()
    assert not Hold.objects.exists()


def test_declining_needs_a_reason_that_the_customer_reads(seller_client, asked):
    silent = seller_client.post("/seller/orders/202/decline", {"reason": ""})
    said = seller_client.post("/seller/orders/202/decline", {"reason": "no fir left"})

    assert (silent.status_code, said.status_code) == (422, 302)
    asked.refresh_from_db()
    assert (asked.state, asked.ended_reason) == ("declined", "no fir left")


def test_calling_off_opens_the_wood_again(seller_client, asked, fir):
    confirm(seller_client, asked)

    seller_client.post("/seller/orders/202/call-off", {"reason": "moved away"})

    fir.refresh_from_db()
    asked.refresh_from_db()
    assert (asked.state, fir.firm_cords) == ("cancelled", 0)


def test_money_taken_twice_by_a_double_tap_is_booked_once(seller_client, asked):
    form = {"dollars": "120.00", "method": "cash", "key": str(uuid4())}

    seller_client.post("/seller/orders/202/pay", form)
    seller_client.post("/seller/orders/202/pay", form)

    line = Payment.objects.get()
    assert (line.dollars, line.received_dollars, line.change_dollars) == (
        Decimal("100.00"),
        Decimal("120.00"),
        Decimal("20.00"),
    )


def test_too_much_by_check_from_somebody_new_is_a_stop(seller_client, asked):
    form = {"dollars": "900.00", "method": "check", "key": str(uuid4())}

    stopped = seller_client.post("/seller/orders/202/pay", form)
    kept = seller_client.post("/seller/orders/202/pay", {**form, "keep_too_much": "on"})

    assert stopped.status_code == 422
    assert "nothing back" in stopped.content.decode()
    assert kept.status_code == 302
    assert Payment.objects.get().dollars == Decimal("900.00")


def test_an_amount_that_is_no_money_is_refused(seller_client, asked):
    answer = seller_client.post(
        "/seller/orders/202/pay", {"dollars": "some", "method": "cash", "key": uuid4()}
    )

    assert answer.status_code == 422
    assert not Payment.objects.exists()


def test_a_returned_check_is_due_again_and_asks_to_pay_first(seller_client, asked):
    seller_client.post("/seller/orders/202/pay", {"dollars": "100", "method": "check", "key": str(uuid4())})

    check = Payment.objects.get()
    seller_client.post("/seller/orders/202/check-returned", {"payment": check.pk, "key": str(uuid4())})

    assert Customer.objects.get().pay_first
    assert "$100.00" in seller_client.get("/seller/orders/202").content.decode()


def test_wood_fetched_at_the_yard_is_drawn_and_gets_its_ticket(seller_client, fir):
    order = make_order(number=209, how="pick_up", place=None)
    confirm(seller_client, order)

    answer = seller_client.post("/seller/orders/209/fetched")

    assert answer.status_code == 302
    order.refresh_from_db()
    fir.refresh_from_db()
    assert order.state == "delivered"
    assert fir.on_hand_cords == Fraction("6.05") - Fraction(1, 3)
    ticket = seller_client.get("/seller/orders/209/ticket").content.decode()
    assert "1/3 cord" in ticket
    assert "Quarrel Ridge Wood" in ticket


def test_the_list_shows_open_orders_and_filters(seller_client, asked):
    make_order(number=300, state="settled", customer=make_customer("Otis Ray"))

    opened = seller_client.get("/seller/orders").content.decode()
    settled = seller_client.get("/seller/orders?state=settled").content.decode()
    named = seller_client.get("/seller/orders?q=otis").content.decode()

    assert "Greta Sool" in opened
    assert "Otis Ray" not in opened
    assert "Otis Ray" in settled
    assert "Greta Sool" not in named


def test_htmx_gets_only_the_list(seller_client, asked):
    part = seller_client.get("/seller/orders", headers={"HX-Request": "true"}).content.decode()

    assert "<html" not in part
    assert "202" in part


def test_an_order_that_is_not_there_says_so(seller_client, business):
    assert seller_client.get("/seller/orders/999").status_code == 404


def test_a_quote_for_a_text_gives_a_line_to_paste_and_an_order(seller_client, fir):
    town = make_town("Marrow Bridge")
    form = {"choice": "fir:seasoned", "amount": "1/2", "town": town.pk, "laid": "drop"}

    answer = seller_client.post("/seller/quote", form)
    page = seller_client.get(answer["Location"]).content.decode()

    assert "1/2 cord seasoned fir, delivered to Marrow Bridge, dumped: $145." in page
    token = Quote.objects.get().token
    order = {"name": "Nell Bardo", "phone": "541-555-0177", "day": "any", "key": str(uuid4())}
    placed = seller_client.post(f"/seller/quote/{token}/order", order)
    assert placed["Location"] == f"/seller/orders/{Order.objects.get().number}"
    assert Order.objects.get().total_dollars == Decimal("145.00")


def test_a_quote_may_be_for_any_fraction_and_the_sheet_shows_how_it_is_priced(seller_client, fir):
    form = {
        "choice": "fir:seasoned", "amount": ["1/2", "7/12"], "town": make_town().pk, "laid": "drop"
    }  # fmt: skip

    page = seller_client.post("/seller/quote", form, follow=True)

    assert "7/12 cord seasoned fir" in page.text
    assert "$165" in page.text  # 260 x 7/12 x 1.075, to the next $5
    assert "7/12 cord $165" in seller_client.get("/seller/set-up/prices").text


def test_a_quote_may_be_for_loads_of_the_largest_rig(seller_client, fir):
    """A buyer says "two loads": the seller wrote the amount on paper first."""
    rig = make_rig()
    lot = Lot.objects.get()
    assert lot.on_hand_cords > rig_value(rig).box_cords
    form = {"choice": "fir:seasoned", "amount": "1 load", "town": make_town().pk, "laid": "drop"}

    assert "or 2 loads of" in seller_client.get("/seller/quote").text
    assert seller_client.post("/seller/quote", form).status_code == 302

    assert Quote.objects.get().cords == round(rig_value(rig).box_cords, 2)


def test_a_quote_for_no_town_says_so(seller_client, fir):
    answer = seller_client.post("/seller/quote", {"choice": "fir:seasoned", "amount": "1/2", "laid": "drop"})

    assert answer.status_code == 422
    assert "Choose the town" in answer.content.decode()


def test_an_amount_nobody_sells_by_gets_a_sentence(seller_client, fir):
    form = {"choice": "fir:seasoned", "amount": "a truckload", "town": make_town().pk, "laid": "drop"}

    answer = seller_client.post("/seller/quote", form)

    assert answer.status_code == 422
    assert not Quote.objects.exists()


def sheet_form(**changes):
    return {
        "from_on": "2026-10-01", "free_miles": "12", "per_mile": "3.00", "longest_miles": "90",
        "stacking_per_cord": "60", "stacking_within_ft": "30", "access_charge": "20", "pick_up_off": "5",
        "two_cords_off_per_cord": "10", "bundle_price": "7", "bundle_price_many": "5",
        "bundles_for_many": "20", "price-logs": "110", "round_to": "5", "deposit_pct": "20",
        "deposit_round_to": "5", "tax": "0", "quote_days": "10", "floor_per_cord": "0",
        "least_delivery": "50",
        "price-near-fir-seasoned": "270",
        "size-1_2": "10", **changes,
    }  # fmt: skip


def test_new_prices_make_a_new_sheet_and_leave_the_old_one(seller_client, fir):
    answer = seller_client.post("/seller/set-up/prices/new", sheet_form())

    assert answer.status_code == 302
    sheet = PriceSheet.objects.get(from_on=date(2026, 10, 1))
    assert sheet.wood_prices.get().cord_dollars == 270
    assert sheet.log_cord_price == 110
    assert PriceSheet.objects.count() == 2


@pytest.mark.parametrize(
    ("typed", "kept", "shown"),
    [
        ({"tax": "8.5 / 0", "deposit": "25 / 0"}, ("wood", True), ("8.5 / 0", "25 / 0")),
        ({"tax": "8.5 / 8.5", "deposit": "25 / 25"}, ("all", False), ("8.5 / 8.5", "25 / 25")),
        ({"tax": "8.5", "deposit": "25"}, ("all", False), ("8.5 / 8.5", "25 / 25")),
        ({"tax": "0", "deposit": "25"}, ("none", False), ("0 / 0", "25 / 25")),
    ],
)
def test_two_percents_say_what_is_taxed_and_who_pays_a_deposit(seller_client, fir, typed, kept, shown):
    PriceSheet.objects.all().delete()
    form = {name: text for name, text in sheet_form().items() if name != "deposit_pct"}

    seller_client.post("/seller/set-up/prices/new", form | typed | {"from_on": "2026-09-18"})

    sheet = PriceSheet.objects.get()
    assert (sheet.tax_on, sheet.deposit_new_customers_only) == kept
    asked = seller_client.get("/seller/set-up/prices/new").context["form"]
    assert (asked["tax"].value(), asked["deposit"].value()) == shown


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"from_on": "2026-01-01"}, "before today"),
        ({"bundle_price_many": "9"}, "more than for one"),
        ({"tax": "8.5 / 3"}, "same percent twice, or 0"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused_with_the_line_to_mend(seller_client, fir, changes, words):
    answer = seller_client.post("/seller/set-up/prices/new", sheet_form(**changes))

    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert PriceSheet.objects.count() == 1


def test_a_payer_note_can_be_taken_away_again(seller_client, business):
    customer = make_customer("Gus Morrow")

    seller_client.post(f"/seller/customers/{customer.pk}/pay-first", {"act": "set", "reason": "check 12 Jan"})
    customer.refresh_from_db()
    assert customer.pay_first
    seller_client.post(f"/seller/customers/{customer.pk}/pay-first", {"act": "clear"})

    customer.refresh_from_db()
    assert (customer.pay_first, customer.pay_first_reason) == (False, "")


def test_a_person_with_an_open_order_is_not_erased_and_later_is(seller_client, asked):
    who = asked.customer

    refused = seller_client.post(f"/seller/customers/{who.pk}/erase")
    Order.objects.update(state="cancelled")
    erased = seller_client.post(f"/seller/customers/{who.pk}/erase")

    assert (refused.status_code, erased.status_code) == (422, 302)
    who.refresh_from_db()
    assert "Greta" not in who.name
    assert who.phone == ""
    assert "Mill Street" not in asked.place.__class__.objects.get().address


def test_a_person_can_take_their_data_away(seller_client, asked):
    told = seller_client.get(f"/seller/customers/{asked.customer_id}/export.json").json()

    assert told["customers"][0]["name"] == "Greta Sool"
    assert told["orders"][0]["number"] == 202


@pytest.mark.parametrize(
    "path",
    ["/seller/orders", "/seller/quote", "/seller/set-up/prices", "/seller/set-up/prices/new",
     "/seller/customers", "/seller/claims", "/seller/money"],
)  # fmt: skip
def test_each_page_opens_on_an_empty_book(seller_client, path):
    assert seller_client.get(path).status_code == 200


def test_two_with_one_phone_are_shown_side_by_side_and_merged_by_the_seller(seller_client):
    known = make_customer("Pilar Ostrander", phone="+15415550144", email="pilar@example.com")
    order = make_order(customer=make_customer("Pilar O", phone="+15415550144", email="x@example.com"))
    address = f"/seller/customers/{order.customer_id}/same-as/{known.pk}"

    shown = seller_client.get(f"/seller/orders/{order.number}").content.decode()
    both = seller_client.get(address).content.decode()
    done = seller_client.post(address, {"keep": str(known.pk)})

    assert address in shown
    assert "pilar@example.com" in both
    assert "x@example.com" in both
    order.refresh_from_db()
    assert (done.status_code, order.customer_id) == (302, known.pk)


def test_a_short_load_told_by_phone_without_a_measured_stack_has_its_page(seller_client, asked):
    told = {"on": date(2026, 9, 18), "made_at": datetime(2026, 9, 18, 9, tzinfo=UTC)}
    Claim.objects.create(order=asked, kind="short", state="answered", answer="Stacked loosely.", **told)

    answer = seller_client.get("/seller/claims")

    assert answer.status_code == 200
    assert "Stacked loosely." in answer.content.decode()

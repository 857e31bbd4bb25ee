"""The seller's orders: confirm, take money, hand over, and every refusal said in a sentence."""

from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Hold, Lot
from orders.models import Claim, Customer, Letter, Payment
from tests.factories.inventory import make_lot
from tests.factories.orders import make_customer, make_order

pytestmark = pytest.mark.django_db


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


@pytest.mark.parametrize(
    "path",
    ["/seller/orders", "/seller/quote", "/seller/set-up/prices", "/seller/set-up/prices/new",
     "/seller/customers", "/seller/claims", "/seller/money"],
)  # fmt: skip
def test_each_page_opens_on_an_empty_book(seller_client, path):
    assert seller_client.get(path).status_code == 200


def test_a_short_load_told_by_phone_without_a_measured_stack_has_its_page(seller_client, asked):
    told = {"on": date(2026, 9, 18), "made_at": datetime(2026, 9, 18, 9, tzinfo=UTC)}
    Claim.objects.create(order=asked, kind="short", state="answered", answer="Stacked loosely.", **told)

    answer = seller_client.get("/seller/claims")

    assert answer.status_code == 200
    assert "Stacked loosely." in answer.content.decode()

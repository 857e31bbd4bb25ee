"""Clauses of the first morning that no story tells: small promises of its pages, one test each."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Yard
from orders.models import Claim, Payment
from orders.selectors.orders import order_view
from orders.services.payments import record_credit
from tests.factories.inventory import an_instant, make_lot
from tests.factories.orders import make_customer, make_order, make_town
from tests.flows.test_stories_of_the_first_morning import ON, _no_roads, _patient_hand, a_quote, books, pay

__all__ = ["_no_roads", "_patient_hand", "books"]

STACK = {"kind": "short", "length_ft": "22", "height_ft": "4", "depth_in": "16", "cribbed_ends": "0"}


@pytest.fixture
def delivered(books):
    return make_order(
        number=301, cords=1, total_dollars=Decimal(300), state="delivered", delivered_on=ON,
        customer=make_customer("Greta Sool"),
    )  # fmt: skip


def test_a_complaint_told_by_phone_is_written_down_by_the_seller(seller_client, delivered):
    page = seller_client.get(reverse("order", args=[301])).text
    address = page.split('/wrong"')[0].rsplit('href="', 1)[1] + "/wrong"

    answer = seller_client.post(address, {**STACK, "key": str(uuid4())})

    assert answer.status_code == 302
    assert Claim.objects.get().order == delivered


def test_a_right_credit_on_a_paid_order_is_owed_back_and_never_taken_for_a_fraud(seller_client, delivered):
    pay(seller_client, delivered, "300")
    record_credit(number=301, dollars=Decimal(50), on=ON, at=an_instant(), who="ruth", key=uuid4())

    page = seller_client.get(reverse("order", args=[301])).text

    assert "We owe $50.00 back" in page
    assert "Send nothing back" not in page
    person = seller_client.get(reverse("customer", args=[delivered.customer_id])).text
    assert "we owe them" in person


def test_money_goes_back_by_any_way_and_its_entry_can_be_undone(seller_client, delivered):
    pay(seller_client, delivered, "300")
    record_credit(number=301, dollars=Decimal(50), on=ON, at=an_instant(), who="ruth", key=uuid4())
    sent = {"dollars": "50", "method": "transfer", "key": str(uuid4())}

    seller_client.post(reverse("order-give-back", args=[301]), sent)

    refund = Payment.objects.latest("pk")
    assert (refund.method, refund.dollars) == ("transfer", -50)
    assert order_view(301).balance.owed_back == 0
    seller_client.post(reverse("order-undo-payment", args=[301, refund.pk]), {"key": str(uuid4())})
    assert order_view(301).balance.owed_back == 50


def test_one_tap_on_record_books_nothing_until_it_is_said_how_it_was_paid(seller_client, delivered):
    form = seller_client.get(reverse("order", args=[301])).context["payment_form"]
    as_it_opens = {name: form[name].value() or "" for name in ("dollars", "method", "key")}

    answer = seller_client.post(reverse("order-pay", args=[301]), as_it_opens)

    assert "how it was paid" in answer.text
    assert not Payment.objects.exists()


def test_pickup_is_offered_only_where_a_yard_allows_it(client, seller_client, books):
    assert 'value="pick_up"' in client.get("/price").text

    Yard.objects.update(pick_up_here=False)

    assert 'value="pick_up"' not in client.get("/price").text


def test_a_far_town_is_not_promised_today(seller_client, books):
    far = make_town("Sandhook", market="far")

    days = a_quote(seller_client, far).day_offers

    assert all(day["on"] > f"{ON:%Y-%m-%d}" for day in days)


def test_every_price_and_every_days_price_is_whole(seller_client, books):
    quote = a_quote(seller_client, make_town("Fennick"))

    totals = [quote.total_dollars, *(Decimal(str(day["total"])) for day in quote.day_offers)]

    assert [total % 1 for total in totals] == [0] * len(totals)


def test_more_written_off_than_is_there_is_refused_without_speaking_of_promises(seller_client, books):
    make_lot(code="K9", cords=1, sale="for_sale")
    path = reverse("lot-change", args=["K9", "loss"])
    form = seller_client.get(path).context["form"]
    shown = {name: form[name].value() for name in form.fields if form[name].value() not in (None, "")}

    refused = seller_client.post(path, {**shown, "cords": "3", "reason": "rotten", "note": "rotten"})

    assert refused.status_code == 422
    assert "promised" not in " ".join(
        words for errors in refused.context["form"].errors.values() for words in errors
    )

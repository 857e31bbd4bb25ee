"""The seller puts an order right, and sees whom it touches before it is kept."""

from datetime import date

import pytest

from inventory.models import AuditEntry
from orders.models import Letter, Order, Place
from tests.factories.orders import make_order, make_town

FORM = {
    "address": "12 Mill Street, Marrow Bridge", "drop_spot": "by the shed", "gate_code": "",
    "access_note": "", "first_on": "2026-09-21", "last_on": "2026-09-25",
}  # fmt: skip


@pytest.fixture
def order(seller_client):
    return make_order(
        state="confirmed",
        promised_on=date(2026, 9, 19),
        first_on=date(2026, 9, 19),
        last_on=date(2026, 9, 20),
    )


def test_what_it_touches_is_said_before_anything_is_kept(seller_client, order):
    answer = seller_client.post(f"/seller/orders/{order.number}/change", FORM)

    said = " ".join(answer.context["touched"])
    assert "The price stays $100.00" in said
    assert "promise is given up" in said
    order.refresh_from_db()
    assert order.promised_on == date(2026, 9, 19)


def test_street_way_in_and_days_are_put_right_with_the_price_kept(seller_client, order):
    answer = seller_client.post(f"/seller/orders/{order.number}/change", {**FORM, "sure": "1"})

    assert answer.status_code == 302
    before, order = order, Order.objects.get(pk=order.pk)
    assert (order.first_on, order.promised_on) == (date(2026, 9, 21), None)
    assert (order.place.address, order.place.drop_spot) == (FORM["address"], "by the shed")
    assert order.total_dollars == before.total_dollars
    assert AuditEntry.objects.filter(thing=order.reference, verb="corrected", who="ruth").exists()


def test_another_order_to_the_same_place_stays_where_it_was(seller_client, order):
    other = make_order(place=order.place, customer=order.customer)
    was = order.place.address
    seller_client.post(f"/seller/orders/{order.number}/change", {**FORM, "sure": "1"})

    assert Place.objects.get(orders=other).address == was
    assert Place.objects.get(orders=order).address == FORM["address"]


@pytest.mark.parametrize("state", ["declined", "cancelled"])
def test_an_order_that_is_over_is_reopened_first(seller_client, order, state):
    Order.objects.filter(pk=order.pk).update(state=state)
    answer = seller_client.post(f"/seller/orders/{order.number}/change", {**FORM, "sure": "1"})
    assert answer.status_code == 422
    assert "reopen it on its page" in answer.content.decode()
    assert Order.objects.get(pk=order.pk).first_on == date(2026, 9, 19)

    seller_client.post(f"/seller/orders/{order.number}/reopen")
    seller_client.post(f"/seller/orders/{order.number}/change", {**FORM, "sure": "1"})

    order = Order.objects.get(pk=order.pk)
    assert (order.state, order.first_on, order.promised_on) == ("asked", date(2026, 9, 21), None)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"last_on": "2026-09-20"}, "ends before it begins"),
        ({"address": "4 Dune Street, Sandhook"}, "address says Sandhook"),
        ({"first_on": "x"}, "Enter a valid date"),
    ],
)
def test_a_change_that_cannot_be_is_refused_with_what_was_typed(seller_client, order, changes, words):
    make_town("Sandhook", market="far")
    answer = seller_client.post(f"/seller/orders/{order.number}/change", {**FORM, **changes, "sure": "1"})

    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert "by the shed" in answer.content.decode()
    assert Order.objects.get(pk=order.pk).first_on == date(2026, 9, 19)


@pytest.mark.parametrize("was_told", [False, True])
def test_a_decline_taken_back_is_told_to_nobody_any_more(seller_client, order, was_told):
    """The text that said sorry stayed on the list of whom to tell after the order was open again."""
    Order.objects.filter(pk=order.pk).update(state="asked", promised_on=None)
    seller_client.post(f"/seller/orders/{order.number}/decline", {"reason": "No oak left"})
    letter = Letter.objects.get(order=order, kind="declined")
    if was_told:
        seller_client.post(f"/seller/tell/{letter.pk}", {"act": "told"})
        assert Letter.objects.filter(pk=letter.pk, sent_at__isnull=False).exists()
    assert ("No oak left" in seller_client.get("/seller/tell").content.decode()) == (not was_told)

    said = seller_client.post(f"/seller/orders/{order.number}/reopen", follow=True).content.decode()

    assert ("was told that it is off" in said) == was_told
    assert not Letter.objects.filter(kind="declined", sent_at__isnull=True).exists()
    if not was_told:
        assert "No oak left" not in seller_client.get("/seller/tell").content.decode()

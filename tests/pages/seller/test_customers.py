"""People who buy: who pays first, two with one phone, and what is kept about them."""

import pytest

from orders.models import Order
from tests.factories.orders import make_customer, make_order

pytestmark = pytest.mark.django_db


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

"""An order written down for the wrong person is given to the right one, whatever has become of it."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from orders.models import Customer, Order, Ticket
from orders.services.payments import record_payment
from tests.factories.inventory import an_instant
from tests.factories.orders import make_customer, make_order
from tests.pages.seller.test_every_correction import an_order, form_of, wood

__all__ = ["wood"]

ADA = {"whose": "Ada Lind, (541) 555-0188"}

pytestmark = pytest.mark.usefixtures("business", "wood")


def change(client, order: Order, **more: str):
    return client.post(f"/seller/orders/{order.number}/change", {**form_of(order, {}), **more})


@pytest.mark.parametrize("state", ["asked", "confirmed", "planned", "delivered", "settled"])
def test_it_is_said_whom_it_touches_then_it_is_theirs_with_its_place_money_and_ticket(seller_client, state):
    order = an_order(state)
    was, link = order.customer, order.link_secret
    if state == "confirmed":
        told = {"number": order.number, "at": an_instant(), "who": "ruth", "key": uuid4()}
        record_payment(dollars=Decimal(20), method="cash", on=date(2026, 9, 18), **told)

    touched = " ".join(change(seller_client, order, **ADA).context["touched"])
    assert "It is Ada Lind's from now on." in touched
    assert f"{was.name}'s link no longer opens it" in touched
    assert Order.objects.get().customer == was  # looking changes nothing
    kept = change(seller_client, order, **ADA, sure="1")

    assert kept.status_code == 302, kept.context["form"].errors
    after = Order.objects.get()
    assert (after.customer.name, after.place.customer) == ("Ada Lind", after.customer)
    assert after.link_secret != link
    assert after.state == state
    assert after.payments.count() == (1 if state in ("confirmed", "settled") else 0)
    assert was.name not in seller_client.get(f"/seller/orders/{order.number}").content.decode()
    if state in ("delivered", "settled"):
        newest, first = Ticket.objects.all()
        assert (newest.replaces, newest.fields["buyer_name"]) == (first, "Ada Lind")


def test_somebody_known_by_name_and_phone_is_found_and_the_other_keeps_their_place(seller_client):
    order = an_order("confirmed")
    other = make_order(customer=order.customer, place=order.place)
    ada = make_customer("Ada Lind", phone="+15415550188")

    assert change(seller_client, order, **ADA, sure="1").status_code == 302

    after = Order.objects.get(pk=order.pk)
    assert after.customer == ada
    assert after.place.address == order.place.address
    other.refresh_from_db()
    assert (other.customer, other.place_id, after.place_id != other.place_id) == (
        order.customer, order.place_id, True,
    )  # fmt: skip
    assert other.place.customer == order.customer


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"whose": "Ada Lind"}, "Write both the name and the phone"),
        ({"whose": "(541) 555-0188"}, "Write both the name and the phone"),
        ({"whose": "Ada Lind, 12"}, "phone"),
    ],
)
def test_half_a_person_is_refused_with_a_sentence(seller_client, typed, said):
    order = an_order("asked")

    refused = change(seller_client, order, **typed, sure="1")

    assert refused.status_code == 422
    assert said in refused.content.decode()
    assert Customer.objects.count() == 1


def test_a_name_of_five_thousand_letters_is_refused_on_the_page(seller_client):
    """It ended in a 500: what was refused was read all the same."""
    order = an_order("confirmed")

    assert change(seller_client, order, whose="x" * 5000).status_code == 422

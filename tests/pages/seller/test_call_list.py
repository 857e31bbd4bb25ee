"""Whom to call before the season: those who bought before and have not asked lately, once each."""

from datetime import date
from fractions import Fraction

import pytest
from django.urls import reverse

from orders.models import Customer
from orders.selectors.call_list import call_list
from orders.services.customers import erase_customer
from tests.factories.inventory import an_instant
from tests.factories.orders import make_customer, make_order

ON = date(2027, 3, 1)
LIST = "/seller/customers?only=call"

pytestmark = pytest.mark.django_db


def bought(name, *days, state="settled", cords=Fraction(1), **person):
    customer = make_customer(name, **person)
    for on in days:
        make_order(
            customer=customer, asked_on=on, first_on=on, last_on=on, state=state, cords=cords, delivered_on=on
        )
    return customer


@pytest.fixture
def march(business):
    business.pinned_today = ON
    business.save()
    bought("Greta Sool", date(2025, 4, 10), date(2026, 4, 20), phone="+15415550142", language="es")
    bought(
        "Wilma Keats",
        date(2025, 9, 1),
        date(2026, 9, 9),
        cords=Fraction(1, 2),
        phone="+15415550143",
        is_landline=True,
    )
    bought("Bo Lind", date(2027, 1, 20))  # asked lately
    bought("Old Hand", date(2022, 4, 1))
    bought("Nell Bardo", date(2026, 4, 1), state="cancelled")


def test_by_when_they_usually_ask_with_what_they_take_a_year(march):
    rows = call_list(ON)

    assert [(row.name, row.usual_on.month, row.cords, row.orders) for row in rows] == [
        ("Greta Sool", 4, 1, 2),
        ("Wilma Keats", 9, Fraction(1, 2), 2),
    ]


def test_a_ready_text_in_their_language_or_a_call_and_called_takes_them_off(seller_client, march):
    page = seller_client.get(LIST).content.decode()
    assert page.count("sms:") == 1
    assert "última vez" in page
    assert "Call (541) 555-0143" in page

    greta = Customer.objects.get(name="Greta Sool")
    said = seller_client.post(reverse("customer-called", args=[greta.pk]), follow=True).content.decode()

    assert "off the list until next season" in said
    assert [row.name for row in call_list(ON)] == ["Wilma Keats"]
    seller_client.post(reverse("customer-called", args=[greta.pk]), {"act": "not"})
    assert len(call_list(ON)) == 2


def test_an_erased_person_is_called_no_more(march):
    greta = Customer.objects.get(name="Greta Sool")
    erase_customer(customer_id=greta.pk, owed=0, at=an_instant(), who="ruth")

    assert [row.name for row in call_list(ON)] == ["Wilma Keats"]


def test_nobody_is_called_from_empty_books(seller_client):
    assert "Nobody to call" in seller_client.get(LIST).content.decode()

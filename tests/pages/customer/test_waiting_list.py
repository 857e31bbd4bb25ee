"""Tell me when it is dry: on the list from the shop, told once when the wood can be had, gone on erasure."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from firewood_site import throttle
from firewood_site.daily import daily_work
from orders.models import Customer, Letter, Quote, WaitingEntry
from orders.services.customers import erase_customer
from tests.factories.inventory import an_instant, make_lot, make_reading, make_yard
from tests.factories.orders import make_market, make_sheet

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def sheet(business, monkeypatch):
    monkeypatch.setattr(throttle, "SOONEST_SECONDS", -1.0)  # a test fills a form faster than a hand
    return make_sheet()


def quoted(sheet, asked_by):
    return Quote.objects.create(
        made_at=an_instant(),
        made_on=date(2026, 9, 18),
        last_day=date(2026, 9, 25),
        sheet=sheet,
        market=make_market(),
        wood="fir",
        dryness="seasoned",
        cords=1,
        wood_dollars=260,
        total_dollars=260,
        asked_by=asked_by,
    )


def ask(client, *, key=None, phone="541 555 0177", **more):
    key = key or str(uuid4())
    filled = {"key": key, "stamp": throttle.stamp(key), "choice": "fir:seasoned", "name": "Alma Reyes"}
    return client.post("/tell-me", {**filled, "phone": phone, **more})


def wood_is_dry():
    make_reading(make_lot(code="K1", cords="2", yard=make_yard(name="Siding Yard")))


def told(client):
    rows = [str(pk) for pk in WaitingEntry.objects.values_list("pk", flat=True)]
    return client.post(reverse("waiting-step"), {"entry": rows, "act": "tell"}, follow=True)


def test_who_waits_is_told_once_when_the_wood_can_be_had(client, seller_client):
    assert "/tell-me" in client.get("/").content.decode()
    assert "You are on the list" in ask(client, email="alma@example.org").content.decode()
    today = reverse("today")
    assert "Alma Reyes" not in seller_client.get(today).content.decode()
    assert "Alma Reyes" in seller_client.get(reverse("tell")).content.decode()

    wood_is_dry()

    assert "Their wood is ready: tell Alma Reyes" in seller_client.get(today).content.decode()
    assert "1 message is written" in told(seller_client).content.decode()
    letter = Letter.objects.get()
    assert (letter.kind, letter.way, letter.to) == ("wood_ready", "email", "alma@example.org")
    assert "seasoned fir can be ordered now" in letter.body
    assert "/price?choice=fir%3Aseasoned" in letter.body
    assert "Alma Reyes" not in seller_client.get(today).content.decode()
    told(seller_client)
    assert Letter.objects.count() == 1


def test_a_caller_is_put_on_the_list_and_told_by_text_in_spanish(client, seller_client):
    wood_is_dry()
    ask(client, name="Luz Prado", choice=":seasoned")
    Customer.objects.update(language="es")
    told(seller_client)

    page = seller_client.get(reverse("tell")).content.decode()
    assert "ya puede pedir leña seca" in page
    assert "sms:" in page


def test_too_little_for_somebody_who_wants_more_does_not_call_for_telling(seller_client):
    typed = {"key": str(uuid4()), "name": "Bo Lind", "phone": "541 555 0188", "choice": "fir:seasoned"}
    seller_client.post(reverse("waiting-add"), {**typed, "cords": "3"})
    wood_is_dry()
    assert "ready today" not in seller_client.get(reverse("tell")).content.decode()

    WaitingEntry.objects.update(cords=2)
    assert "ready today" in seller_client.get(reverse("tell")).content.decode()


def test_the_same_form_twice_is_one_entry_and_a_stranger_changes_no_known_customer(client):
    key = str(uuid4())
    ask(client, key=key)
    ask(client, key=key)
    ask(client, name="Somebody Else")

    assert WaitingEntry.objects.count() == 2
    assert [row.name for row in Customer.objects.order_by("pk")] == ["Alma Reyes", "Somebody Else"]


def test_a_phone_nobody_can_call_is_said_and_nothing_is_lost(client):
    answer = ask(client, phone="12")

    assert answer.status_code == 422
    assert "does not look like a phone number" in answer.content.decode()
    assert 'value="Alma Reyes"' in answer.content.decode()
    assert not WaitingEntry.objects.exists()


def test_erasing_somebody_takes_them_off_the_list_and_out_of_what_was_noted_beside_prices(client, sheet):
    ask(client)
    customer = Customer.objects.get()
    mine, other = quoted(sheet, "Alma R., (541) 555-0177"), quoted(sheet, "Bo Lind 541 555 0188")

    erase_customer(customer_id=customer.pk, owed=0, at=an_instant(), who="ruth")

    assert not WaitingEntry.objects.exists()
    assert Quote.objects.get(pk=mine.pk).asked_by == ""
    assert Quote.objects.get(pk=other.pk).asked_by == "Bo Lind 541 555 0188"


def test_told_entries_are_forgotten_in_time(client, seller_client, a_day):
    wood_is_dry()
    ask(client)
    told(seller_client)
    WaitingEntry.objects.update(told_at=an_instant())

    daily_work(on=a_day + timedelta(days=59), at=an_instant() + timedelta(days=59))
    assert WaitingEntry.objects.exists()
    daily_work(on=a_day + timedelta(days=61), at=an_instant() + timedelta(days=61))
    assert not WaitingEntry.objects.exists()

"""Whom a change touches: one page of ready messages; told only when somebody said so."""

import re
from datetime import datetime, time, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from firewood_site.templatetags.firewood import clock as time_words
from orders.models import Customer, Letter, Order
from routing.models import Stop
from tests.factories.day import FRIDAY, drive_by_the_job, lay_out, make_friday

ISO = FRIDAY.isoformat()


@pytest.fixture
def committed(db, business, monkeypatch, an_instant, seller_client):
    """Friday, committed; Greta reads Spanish, Pilar e-mail."""
    drive_by_the_job(monkeypatch)
    it_is(monkeypatch, time(6))
    made = make_friday()
    Customer.objects.filter(orders__number=202).update(language="es")
    Customer.objects.filter(orders__number=203).update(email="pilar@example.org")
    lay_out(made, an_instant)
    seller_client.post(reverse("day-commit", args=[ISO]))
    return made


def it_is(monkeypatch, at):
    """The clock of the pages stands at this time of Friday."""
    moment = timezone.make_aware(datetime.combine(FRIDAY, at))
    for module in ("seller.views.tell", "seller.views.days", "seller.views.orders", "clock"):
        monkeypatch.setattr(f"firewood_site.{module}.now", lambda: moment)


def page(client):
    return client.get(reverse("tell")).content.decode()


def test_all_that_is_ready_is_told_from_one_page_one_tap_each(seller_client, committed):
    said = page(seller_client)
    assert "2 messages to tell" in said
    assert said.count("sms:") == 2
    assert "su 1/3" in said or "su leña" in said or "llega" in said  # Greta's, in Spanish
    assert "pilar@example.org" not in said  # her e-mail goes by itself
    assert "Tell 2 customers" in seller_client.get(reverse("today")).content.decode()

    for letter in Letter.objects.filter(way="text"):
        seller_client.post(reverse("told", args=[letter.pk]), {"act": "told"})

    assert "Everybody has been told." in page(seller_client)
    assert "Tell " not in seller_client.get(reverse("today")).content.decode()
    one = Letter.objects.filter(way="text")[0]
    seller_client.post(reverse("told", args=[one.pk]), {"act": "not"})
    assert "1 message to tell" in page(seller_client)


def test_a_customer_taken_off_a_committed_day_is_told(seller_client, committed):
    for letter in Letter.objects.filter(way="text"):
        seller_client.post(reverse("told", args=[letter.pk]), {"act": "told"})
    edit = reverse("day-edit", args=[ISO])
    seller_client.post(edit, {"act": "take-off", "number": "202"})

    answer = seller_client.post(reverse("day-commit", args=[ISO]), follow=True)

    off = Letter.objects.get(kind="day_off")
    assert off.order.number == 202
    assert "disculpe, no podemos llevarle" in off.body
    assert "18" in off.body
    assert "Nobody has to be told" not in answer.content.decode()
    assert "taken off the day" in page(seller_client)


def test_a_day_taken_back_lists_all_it_touches_and_sends_nothing_by_itself(seller_client, committed):
    seller_client.post(reverse("day-take-back", args=[ISO]))

    said = page(seller_client)

    assert "3 messages to tell" in said
    assert "Send by e-mail" in said
    assert not Letter.objects.filter(kind="day_off", way="email").exists()
    seller_client.post(reverse("day-commit", args=[ISO]))
    again = page(seller_client)
    assert "taken off the day" not in again  # the new day says it all
    assert "2 messages to tell" in again


def test_late_beyond_the_promise_is_on_the_list_until_told(seller_client, committed, monkeypatch):
    order = Order.objects.get(number=201)
    stop = Stop.objects.get(order=order)
    assert "running late" not in page(seller_client)
    it_is(monkeypatch, time(9, 30))  # and the rig has not left yet

    said = page(seller_client)
    assert "running late" in said
    answer = seller_client.post(reverse("told", args=[0]), {"act": "told", "stop": stop.pk})

    assert answer.status_code == 302
    assert Letter.objects.get(kind="late").sent_at is not None
    assert f'name="stop" value="{stop.pk}"' in said
    assert f'name="stop" value="{stop.pk}"' not in page(seller_client)
    assert seller_client.post(reverse("told", args=[0]), {"act": "told", "stop": "77"}).status_code == 404
    assert seller_client.post(reverse("told", args=[5]), {"act": "fly"}).status_code == 404


def test_an_order_tells_the_same_hours_as_the_day_and_its_sheet(seller_client, committed, monkeypatch):
    """An order said "about 11:00", its day "about 4:05 pm"; the sheet had the wish for the promise."""
    it_is(monkeypatch, time(9, 30))
    late = re.compile(r"running late, there about (\d+:\d+ [ap]m)")
    order = Order.objects.get(number=201)

    shown = seller_client.get(reverse("order", args=[201])).content.decode()

    assert late.findall(shown) == late.findall(page(seller_client))[:1] != []
    promised = [time_words(at) for at in (order.comes_from, order.comes_to)]
    for name in ("day", "load-sheet"):
        assert "–".join(promised) in seller_client.get(reverse(name, args=[ISO])).content.decode()


def test_what_nobody_needs_is_left_untold_and_no_stranger_sees_it(
    seller_client, driver_client, client, committed
):
    one = Letter.objects.filter(way="text")[0]

    seller_client.post(reverse("told", args=[one.pk]), {"act": "skip"})

    assert "1 message to tell" in page(seller_client)
    assert client.get(reverse("tell")).status_code == 302
    assert driver_client.get(reverse("tell")).status_code in (302, 403)
    assert Letter.objects.filter(made_at__gte=one.made_at - timedelta(days=1)).exists()


def test_the_order_page_offers_running_late_only_to_those_who_wait_too_long(
    seller_client, committed, monkeypatch
):
    address = reverse("order", args=[202])
    early = seller_client.get(address).content.decode()
    it_is(monkeypatch, time(22))
    late = seller_client.get(address).content.decode()

    assert early.count('class="copy" id="text-') == 2  # the day, and on the way
    assert late.count('class="copy" id="text-') == 3

"""Strangers: counted by the address that counts, never listed, spoken to in their language."""

from datetime import date
from decimal import Decimal

import pytest
from django.test import RequestFactory

from firewood_site import site_views
from firewood_site.access import order_path
from firewood_site.customer.views import quote
from firewood_site.throttle import sender
from inventory.models import AuditEntry
from inventory.services import audit
from orders.models import Order, Quote
from orders.services.asking import Access, change_order
from orders.services.customers import erase_customer
from tests.factories.inventory import an_instant, make_lot, make_reading, make_yard
from tests.factories.orders import make_order, make_sheet, make_town


def came_from(address="10.0.0.1", forwarded=""):
    extra = {"HTTP_X_FORWARDED_FOR": forwarded} if forwarded else {}
    return sender(RequestFactory().get("/", REMOTE_ADDR=address, **extra))


def test_without_a_proxy_the_header_counts_for_nothing(settings):
    settings.BEHIND_PROXY = False

    assert came_from(forwarded="1.1.1.1") == came_from(forwarded="2.2.2.2") == came_from()


def test_behind_the_proxy_people_are_told_apart_by_its_last_hop(settings):
    settings.BEHIND_PROXY = True

    assert came_from(forwarded="203.0.113.7") != came_from(forwarded="203.0.113.8")
    assert came_from(forwarded="9.9.9.9, 203.0.113.7") == came_from(forwarded="203.0.113.7")


def test_a_household_is_counted_as_one_however_many_addresses_it_has():
    assert came_from("2001:db8:1:2::1") == came_from("2001:db8:1:2:ffff::9")
    assert came_from("2001:db8:1:2::1") != came_from("2001:db8:1:3::1")
    assert came_from("::ffff:10.0.0.1") == came_from("10.0.0.1")


def test_no_address_is_kept_as_it_is():
    assert "10.0.0.1" not in came_from()


@pytest.fixture
def order(business):
    make_sheet()
    make_reading(make_lot(code="K1", yard=make_yard(name="Siding Yard", pick_up_here=True)))
    order = make_order(state="delivered", delivered_on=date(2026, 9, 18))
    order.refresh_from_db()
    return order


@pytest.mark.django_db
def test_an_order_is_kept_by_no_shared_cache_and_listed_nowhere(client, order):
    answer = client.get(order_path(order.number, order.link_secret))

    assert "private" in answer["Cache-Control"]
    assert answer["X-Robots-Tag"] == "noindex, nofollow"
    assert answer["Referrer-Policy"] == "same-origin"


@pytest.mark.django_db
def test_the_same_again_is_slowed_down_like_any_price(client, order, monkeypatch):
    monkeypatch.setattr("firewood_site.customer.views.order.QUOTES_A_WHILE", 2)
    path = order_path(order.number, order.link_secret) + "/again"

    answers = [client.post(path).status_code for _ in range(4)]

    assert answers == [302, 302, 429, 429]
    assert Quote.objects.count() == 2
    assert quote.QUOTES_A_WHILE == 40


@pytest.mark.django_db
def test_a_wrong_link_is_refused_in_spanish_too(client, business):
    client.cookies["django_language"] = "es"

    page = client.get("/o/not-a-link").content.decode()

    assert "Aquí no hay nada" in page
    assert "Este enlace ya no vale" in page


@pytest.mark.django_db
def test_advice_to_a_complaint_is_given_in_spanish(client, order):
    page = client.get(order_path(order.number, order.link_secret) + "/wrong?lang=es").content.decode()

    assert "no queme nada hasta que la veamos" in page
    assert "do not burn" not in page


@pytest.mark.django_db
def test_outside_the_area_the_nearest_yard_is_named(client, order):
    make_town("Marrow Bridge")
    make_yard(name="Annex Yard", lat=10.0, lon=10.0, pick_up_here=True)

    answer = client.post(
        "/price",
        {"choice": "fir:seasoned", "amount": "1/3", "how": "delivered", "lat": "45.9", "lon": "-150.0"},
    )

    assert answer.status_code == 422
    words = answer.content.decode()
    assert "welcome to pick wood up at Siding Yard." in words


@pytest.mark.django_db
@pytest.mark.parametrize("sign", ["\0", "\u202e", "\u2066"])
def test_characters_nobody_types_are_refused_before_anything_is_kept(client, order, sign):
    path = order_path(order.number, order.link_secret)

    answer = client.post(f"{path}/cancel", {"reason": f"moved{sign}away"})

    assert answer.status_code == 422
    assert "invisible control character" in answer.content.decode()
    order.refresh_from_db()
    assert order.state == "delivered"


@pytest.mark.django_db
def test_the_page_of_a_breakdown_names_whom_to_call(rf, business):
    page = site_views.broken(rf.get("/")).content.decode()

    assert "call Quarrel Ridge Wood: (541) 555-0100" in page


@pytest.mark.django_db
def test_an_erased_persons_words_are_in_no_trail(client, order):
    order.state = "asked"
    order.save()
    change_order(
        number=order.number,
        at=an_instant(),
        access=Access(drop_spot="behind Greta's barn", gate_code="4471"),
        note="call my mother first",
    )
    Order.objects.update(state="settled", ended_reason="moved to her sister in Fennick")
    audit.note(  # as versions before this one kept it
        at=an_instant(), who="customer", verb="changed", thing=order.reference,
        note="ring at the mill", after={"drop_spot": "by the wagon"},
    )  # fmt: skip

    erase_customer(customer_id=order.customer_id, owed=Decimal(0), at=an_instant(), who="ruth")

    kept = str(list(AuditEntry.objects.values())) + str(list(Order.objects.values()))
    for words in ("barn", "4471", "mother", "sister", "mill", "wagon"):
        assert words not in kept

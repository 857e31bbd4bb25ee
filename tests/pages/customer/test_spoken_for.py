"""Wood that unanswered requests have asked for: not offered again, said so, and kept from no one for long."""

import re
from datetime import timedelta
from fractions import Fraction

import pytest
from django.db.models import F

from firewood_site import throttle
from firewood_site.access import order_path
from firewood_site.clock import now, today
from orders.models import Order, WaitingEntry
from orders.selectors.waiting import ready_to_tell
from orders.services.orders import Picked, confirm_order
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_order, make_sheet, make_town
from tests.pages.customer.test_price_and_order import ask, order_form

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(business):
    """Two cords of dry fir and twenty bundles of kindling."""
    yard = make_yard(name="Siding Yard")
    make_reading(make_lot(code="K1", cords="2", yard=yard))
    make_lot(
        code="K7", name="Kindling", wood="kindling", form="kindling", cords="0.1171875", bundle_ft3="0.75",
        yard=yard,
    )  # fmt: skip
    make_sheet()
    make_town("Marrow Bridge")


@pytest.fixture(autouse=True)
def _patient_hand(monkeypatch):
    monkeypatch.setattr(throttle, "SOONEST_SECONDS", -1.0)


def request_of(**kwargs):
    return make_order(asked_at=now(), asked_on=today(), **kwargs)


def words(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def sizes(page):
    """The amounts of fir with a price on the first page."""
    return re.findall(r"choice=fir:seasoned&amp;amount=([^&\"]+)", page)


def test_the_first_page_offers_only_what_nobody_has_asked_for(client, shop):
    before = client.get("/")
    assert "1" in sizes(before.content.decode())
    assert "2 cords for sale" in words(before)

    request_of(cords=Fraction(3, 2))
    after = client.get("/")

    assert set(sizes(after.content.decode())) == {"1/3", "1/2"}
    assert "1/2 cord for sale" in words(after)
    assert "1 1/2 cords more is spoken for." in words(after)


def test_the_price_form_offers_no_amount_that_would_be_refused_at_the_order(client, shop):
    request_of(cords=Fraction(3, 2))

    page = client.get("/price").content.decode()
    amounts = re.search(r'value="fir:seasoned" data-amounts="([^"]*)"', page)[1].split()

    assert amounts == ["1/3", "1/2"]
    assert ask(client, amount="1").status_code == 422


def test_wood_all_spoken_for_is_shown_as_that_and_not_sold(client, shop):
    request_of(cords=Fraction(2))

    first = client.get("/")
    form = words(client.get("/price"))

    assert "All of it is spoken for just now" in words(first)
    assert "be next" in words(first)
    assert sizes(first.content.decode()) == []
    assert "spoken for" in form


def test_kindling_that_others_asked_for_is_not_sold_again(client, shop):
    request_of(wood="kindling", cords=Fraction(0), bundles=15)

    answer = ask(client, choice="kindling:seasoned", bundles="6", how="pick_up")

    assert answer.status_code == 422
    assert "5 are left" in words(answer)
    assert ask(client, choice="kindling:seasoned", bundles="5", how="pick_up").status_code == 302


def test_a_request_keeps_its_wood_for_the_sellers_hours_and_no_longer(client, shop):
    request_of(cords=Fraction(2))
    assert ask(client, amount="1").status_code == 422

    Order.objects.update(asked_at=F("asked_at") - timedelta(hours=49))

    answer = ask(client, amount="1")
    assert answer.status_code == 302, words(answer)


def test_of_two_who_saw_the_last_cord_the_second_is_told_and_loses_nothing(client, shop):
    """250 customers were accepted for a lot with a third of a cord."""
    first, second, third = (ask(client, amount="1")["Location"] for _ in range(3))
    for path in (first, second):
        assert client.post(f"{path}/order", order_form(client, path)).status_code == 302

    answer = client.post(f"{third}/order", order_form(client, third))

    assert answer.status_code == 422
    assert "is spoken for" in words(answer)
    assert "Greta Sool" in answer.content.decode()
    offer = answer.content.decode().partition('action="/tell-me"')[2].partition("</form>")[0]
    filled = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', offer))
    assert "You are on the list" in words(client.post("/tell-me", filled))
    entry = WaitingEntry.objects.get()
    assert (entry.customer.name, entry.wood, entry.dryness, entry.cords) == (
        "Greta Sool",
        "fir",
        "seasoned",
        1,
    )
    assert ready_to_tell(today(), at=now()) == ()  # others asked first, and may still get it
    Order.objects.update(asked_at=F("asked_at") - timedelta(hours=49))
    assert [row.name for row in ready_to_tell(today(), at=now())] == ["Greta Sool"]
    assert client.post(f"{third}/order", order_form(client, third)).status_code == 302


@pytest.mark.parametrize("is_confirmed", [False, True])
def test_who_changes_an_order_may_have_the_wood_it_stands_for(client, shop, is_confirmed):
    order = request_of(cords=Fraction(2))
    if is_confirmed:
        confirm_order(number=order.number, picks=[Picked(lot="K1", cords=Fraction(2))], at=now(), who="ruth")
        order.refresh_from_db()
    client.get(f"{order_path(order.number, order.link_secret)}/other")

    quote = ask(client, amount="1", where="12 Mill Street")

    assert quote.status_code == 302
    page = client.get(quote["Location"]).content.decode()
    action = re.search(r'action="(/o/[^"]+/take/[^"]+)"', page)[1]
    seen = re.search(r'name="seen" value="([^"]+)"', page)[1]
    taken = client.post(action, {"day": "any", "seen": seen})
    assert taken["Location"].startswith("/o/")
    order.refresh_from_db()
    assert order.cords == 1

"""Wood picked up at the yard: where it lies, when it is open, how to get there, the day, and how to pay."""

import re
from datetime import date, timedelta
from fractions import Fraction

import pytest

from firewood_site import throttle
from firewood_site.access import order_path
from firewood_site.clock import now, today
from orders.models import Letter, Order, PaymentKind
from routing.models import Shut
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_sheet, make_town
from tests.pages.customer.test_price_and_order import order_form

pytestmark = pytest.mark.django_db


@pytest.fixture
def yard(business):
    siding = make_yard(name="Siding Yard", pick_up_here=True, opens_at="08:00", closes_at="16:30")
    make_yard(name="Knob Landing", pick_up_here=True)
    make_reading(make_lot(code="K1", cords="2", yard=siding))
    make_sheet()
    PaymentKind.objects.filter(key="cash").update(name="Cash at the door")
    make_town("Marrow Bridge")
    return siding


@pytest.fixture(autouse=True)
def _patient_hand(monkeypatch):
    monkeypatch.setattr(throttle, "SOONEST_SECONDS", -1.0)


def priced(client):
    return client.post("/price", {"choice": "fir:seasoned", "amount": "1", "how": "pick_up"})["Location"]


def words(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def days(client, path):
    page = client.get(path).content.decode()
    return [date.fromisoformat(day) for day in re.findall(r'name="day" value="(\d{4}-\d\d-\d\d)"', page)]


def order(client, path, **changes):
    form = order_form(client, path, **changes)
    del form["address"], form["drop_spot"]
    client.post(f"{path}/order", form)
    return Order.objects.get()


def test_the_price_says_which_yard_has_the_wood_its_hours_and_the_way(client, yard):
    page = client.get(priced(client))

    assert "Siding Yard" in words(page)
    assert "Knob Landing" not in words(page)  # no wood of this kind lies there
    assert "Open 8:00" in words(page)
    assert f"geo:{yard.lat}" in page.content.decode()


def test_every_day_the_yard_is_open_can_be_chosen_at_one_price(client, yard):
    closed = today() + timedelta(days=4)
    Shut.objects.create(kind=Shut.Kind.YARD, yard=yard, from_on=closed, to_on=closed, reason="saw repair")

    path = priced(client)
    offered = days(client, path)

    assert today() + timedelta(days=1) in offered
    assert closed not in offered
    assert all(day.weekday() != 6 for day in offered)
    assert "The price is the same every day" in words(client.get(path))


def test_who_comes_to_the_yard_pays_at_the_yard(client, yard):
    page = words(client.get(priced(client)))

    assert "Cash at the yard" in page
    assert "at the door" not in page
    assert "at the yard" in page


def test_the_chosen_day_is_theirs_once_the_seller_confirms(client, seller_client, yard):
    path = priced(client)
    day = days(client, path)[2]
    placed = order(client, path, day=day.isoformat(), email="greta@example.org")
    link = order_path(placed.number, placed.link_secret)

    assert (placed.first_on, placed.last_on) == (day, day)
    assert "You want to come on" in words(client.get(link))

    seller_client.post(f"/seller/orders/{placed.number}/confirm", {"lot-K1": "1"})

    placed.refresh_from_db()
    assert (placed.state, placed.promised_on) == ("confirmed", day)
    page = words(client.get(link))
    assert "Your wood is ready for you on" in page
    assert "Siding Yard" in page
    assert "Knob Landing" not in page
    letter = Letter.objects.get(kind="confirmed").body
    assert "Siding Yard" in letter
    assert "when the day is set" not in letter


def test_another_day_can_be_taken_until_the_cut_off(client, yard):
    path = priced(client)
    second = days(client, path)[1]
    placed = order(client, path, day=second.isoformat())

    answer = client.post(
        f"{order_path(placed.number, placed.link_secret)}/change",
        {"day": days(client, path)[3].isoformat(), "window": "any"},
    )

    assert answer.status_code == 302
    placed.refresh_from_db()
    assert placed.first_on == days(client, path)[3]


def test_any_day_is_agreed_with_the_seller(client, yard):
    placed = order(client, priced(client), day="any")

    assert placed.first_on == today()
    assert placed.last_on > placed.first_on
    assert placed.cords == Fraction(1)
    assert placed.asked_at <= now()
    assert "We agree the day with you" in words(client.get(order_path(placed.number, placed.link_secret)))

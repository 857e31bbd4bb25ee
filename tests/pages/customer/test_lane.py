"""The lane: what a truck meets is ticked by its picture, and who drives reads it in their language."""

import re

import pytest

from firewood_site import throttle
from firewood_site.access import order_path
from orders.core.access import WAYS, access_words, stored_access
from orders.models import Order
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_order, make_place, make_sheet, make_town
from tests.factories.routing import make_rig
from tests.pages.customer.test_price_and_order import ask, order_form

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _patient_hand(monkeypatch):
    monkeypatch.setattr(throttle, "SOONEST_SECONDS", -1.0)


@pytest.fixture
def shop(business):
    yard = make_yard(name="Siding Yard")
    make_reading(make_lot(code="K1", cords="6.05", yard=yard))
    make_rig(home_yard=yard)
    make_sheet()
    make_town("Marrow Bridge")


def words(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def placed(client, **changes):
    path = ask(client)["Location"]
    client.post(f"{path}/order", order_form(client, path, **changes))
    return Order.objects.get()


def test_each_thing_to_tick_has_its_drawing(client, shop):
    page = client.get(ask(client)["Location"]).content.decode()

    lane = page[page.index('class="picks lane"') :].partition("</fieldset>")[0]
    assert lane.count("<svg") == lane.count('type="checkbox"') == len(WAYS)


def test_what_is_ticked_reaches_the_customer_and_the_seller(client, seller_client, shop):
    order = placed(client, ticked=["steep", "no_turn"], access_note="Chain across the lane")

    assert order.place.access == "steep,no_turn"
    seen = "Steep, no room to turn a trailer around. Chain across the lane"
    assert seen in words(client.get(order_path(order.number, order.link_secret)))
    assert seen in words(seller_client.get(f"/seller/orders/{order.number}"))


def test_it_can_be_changed_by_the_customer_and_put_right_by_the_seller(client, seller_client, shop):
    order = placed(client, ticked=["steep"])
    path = order_path(order.number, order.link_secret)
    page = client.get(f"{path}/change").content.decode()
    assert 'value="steep" checked' in page

    client.post(f"{path}/change", {"window": "any", "ticked": ["narrow"]})
    order.place.refresh_from_db()
    assert order.place.access == "narrow"

    client.post(f"{path}/change", {"window": "any"})
    order.place.refresh_from_db()
    assert order.place.access == ""


def test_a_made_up_tick_is_refused_and_nothing_else_is_lost(client, shop):
    path = ask(client)["Location"]

    answer = client.post(f"{path}/order", order_form(client, path, ticked=["helipad"]))

    assert answer.status_code == 422
    assert "Choose among those shown." in words(answer)
    assert "Greta Sool" in answer.content.decode()


def test_who_reads_spanish_reads_it_in_spanish():
    assert access_words("narrow,steep", "", language="es") == "Camino angosto, cuesta empinada"
    assert access_words("", "mind the dog", language="en") == "mind the dog"


def test_ticks_are_kept_in_one_order_and_nothing_unknown_is():
    assert stored_access(["no_turn", "narrow", "helipad"]) == "narrow,no_turn"


def test_the_same_again_to_the_same_place_keeps_the_ticks(client, business):
    order = make_order(place=make_place(access="narrow"))

    assert access_words(order.place.access, "", language="en") == "Narrow lane"

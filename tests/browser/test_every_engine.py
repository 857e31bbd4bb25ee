"""The customer's order and the driver's run in each engine people have: Chromium, Firefox, WebKit.

An engine that is not installed is skipped with the package's name, and fails where TEST_EVERY_ENGINE=1 (CI).
"""

import time
from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from typing import Any

import pytest

from firewood_site.access import order_path
from orders.models import Claim, Order, Payment
from routing.models import Stop
from tests.browser.engines import NAMES, Screen, opened
from tests.factories.orders import make_order

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    # Firefox's driver leaves the sockets open with which it waited for the window
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]

HAND_SECONDS = 1.1  # a hand is slower than a machine; the form asks for a second


@pytest.fixture(params=NAMES)
def screen(request: Any, live_server: Any) -> Iterator[Screen]:
    """A new window of each engine in turn, closed before the books are."""
    with opened(request.param, live_server.url) as window:
        yield window


def test_a_customer_asks_for_a_price_orders_changes_and_cancels(shop, screen):
    screen.open("/")
    screen.tap("//a[@aria-label='Get a price: seasoned fir']")
    screen.tap("//label[contains(@class, 'pick')][contains(., '1/3 cord')]")
    screen.choose("town", "Marrow Bridge")
    screen.tap("//*[@id='total']//button")
    screen.sees(".price", "$100")

    screen.tap(
        "//label[contains(@class, 'day-pick')][contains(., 'Sep 25')]"
    )  # tomorrow can't be changed after noon
    screen.type("input[name=address]", "12 Mill Street")
    screen.type("input[name=name]", "Greta Sool")
    screen.type("input[name=phone]", "541 555 0199")
    time.sleep(HAND_SECONDS)
    screen.tap("//*[@id='due-bar']//button")

    screen.sees("h1", "We have your order")
    order = Order.objects.get()
    assert order.place.address == "12 Mill Street, Marrow Bridge"

    screen.tap(f"a[href='{order_path(order.number, order.link_secret)}/change']")
    screen.type("#id_drop_spot", "behind the barn")
    screen.tap("//button[normalize-space()='Save']")
    screen.sees("main", "Your change is saved.")
    screen.sees("main", "behind the barn")

    screen.tap("//summary[contains(., 'Cancel this order')]")
    screen.tap("//button[normalize-space()='Yes, cancel it']")
    screen.sees("h1", "This order is cancelled")
    assert Order.objects.get().state == "cancelled"


def test_a_customer_says_what_is_wrong_with_delivered_wood(shop, screen):
    order = make_order(state="delivered", delivered_on=date(2026, 9, 18), delivered_cords=Fraction(1, 3))
    path = order_path(order.number, order.link_secret)
    screen.open(path)
    screen.tap(f"a[href='{path}/wrong']")
    screen.tap("//label[contains(@class, 'chip')][input[@name='kind'][@value='wet']]")
    screen.type("textarea[name=message]", "It hisses and smokes")
    screen.tap("//button[normalize-space()='Send']")

    screen.sees("main", "It hisses and smokes")
    assert Claim.objects.get().order == order


@pytest.mark.roads
def test_a_driver_delivers_and_takes_the_money(demo, screen):
    screen.open("/log-in")
    screen.type("#id_login", "tam")
    screen.type("#id_password", "split-in-spring")
    screen.tap("//button[normalize-space()='Log in']")
    screen.sees("h1", "Big trailer")

    stop = Stop.objects.select_related("order__customer").get(order__number=202)
    screen.tap(f"a[href='/driver/drop/{stop.pk}']")
    screen.sees("h1", stop.order.customer.name)
    screen.tap("//button[normalize-space()='Arrived']")
    screen.sees("main", "arrived")
    screen.type("#dollars", "100")
    screen.tap("//button[normalize-space()='Delivered']")

    screen.sees("h1", "Big trailer")
    screen.sees(f"a[href='/driver/drop/{stop.pk}']", "delivered")
    screen.until(
        lambda: Payment.objects.filter(order=stop.order, dollars=100).exists(), "the money is booked"
    )

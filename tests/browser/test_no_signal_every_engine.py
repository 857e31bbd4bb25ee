"""Without signal in Chromium, Firefox and WebKit: the driver's run, cards from the phone, taps kept over a
reload; a morning logged in the woods. Each is sent and counted once.

The way to the server is cut: not every engine can be told to be offline.
"""

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from inventory.models import LoggedWork, Lot, Movement, WorkEntry
from orders.models import Order, Payment
from routing.models import DriverEvent, Stop
from tests.browser.engines import NAMES, Screen, opened
from tests.browser.relay import Relay, relay_to
from tests.factories.inventory import make_lot, make_yard

pytestmark = [
    pytest.mark.browser,
    pytest.mark.roads,
    pytest.mark.django_db(transaction=True),
    # Firefox's driver leaves the sockets open with which it waited for the window
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]

KEPT_PAGES = """const told = arguments[arguments.length - 1];
caches.open("pages-1").then((cache) => cache.keys()).then(
  (keys) => told(keys.map((one) => new URL(one.url).pathname).join(" ")), (error) => told(String(error)));"""


@pytest.fixture
def relay(live_server: Any) -> Iterator[Relay]:
    with relay_to(live_server.url) as way:
        yield way


@pytest.fixture(params=NAMES)
def cab(request: Any, demo: None, relay: Relay) -> Iterator[Screen]:
    """Tam's phone in each engine, with today's run open and every card of it kept."""
    with opened(request.param, relay.address) as screen:
        signed_in(screen, "tam")
        screen.sees("h1", "Big trailer")
        screen.find("body[data-offline='1']")
        cards = {f"/driver/drop/{key}" for key in Stop.objects.values_list("pk", flat=True)}
        screen.until(
            lambda: cards <= set(screen.driver.execute_async_script(KEPT_PAGES).split()),
            "every card of the run is kept",
        )
        yield screen


@pytest.fixture(params=NAMES)
def woods(request: Any, business: Any, seller: Any, relay: Relay) -> Iterator[Screen]:
    """Ruth's phone in each engine, with Today open once and the sheet kept."""
    make_lot(code="K2", name="Knob fir rounds", cords=3, form="rounds", split_on=None, yard=make_yard())
    with opened(request.param, relay.address) as screen:
        signed_in(screen, "ruth")
        screen.sees("header", "Quarrel Ridge Wood")
        screen.open("/seller/")
        screen.find("body[data-offline='1']")
        screen.until(
            lambda: "/seller/log" in screen.driver.execute_async_script(KEPT_PAGES).split(),
            "the sheet is kept",
        )
        yield screen


def signed_in(screen: Screen, name: str) -> None:
    screen.open("/log-in")
    screen.type("#id_login", name)
    screen.type("#id_password", "split-in-spring")
    screen.tap("//button[normalize-space()='Log in']")


def card_of(number: int) -> str:
    return f"a[href='/driver/drop/{Stop.objects.get(order__number=number).pk}']"


def test_a_run_told_without_signal_is_sent_once_when_it_returns(cab: Screen, relay: Relay) -> None:
    relay.lose_signal()
    cab.tap(card_of(202))
    cab.sees("h1", "Greta Sool")
    cab.type("#dollars", "100")
    cab.tap("//button[normalize-space()='Delivered']")
    cab.sees("h1", "Big trailer")
    cab.sees(card_of(202), "delivered, kept")
    cab.tap(card_of(203))
    cab.tap("//summary[normalize-space()='Nobody there, or trouble']")
    cab.tap("//button[normalize-space()='Nobody there, wood comes home']")
    cab.sees("#signal", "2 kept on this phone")

    cab.open("/driver/")  # from what the phone keeps, taps included
    cab.sees(card_of(202), "delivered, kept")
    pilar = Stop.objects.get(order__number=203)
    asked = f"//form[@data-came-home][.//input[@name='stop' and @value='{pilar.pk}']]"
    cab.tap(f"{asked}//option[normalize-space()='Upper Yard, by itself']")
    cab.tap(f"{asked}//button[normalize-space()='It lies there']")
    cab.sees("#signal", "3 kept on this phone")
    assert not DriverEvent.objects.filter(kind__in=("delivered", "no_show", "put_back")).exists()

    relay.find_signal()
    cab.open("/driver/told")
    cab.sees("#queue", "Everything is sent.")

    told = DriverEvent.objects.filter(stop__order__number__in=(202, 203))
    assert sorted(told.values_list("kind", "outcome")) == [
        ("delivered", "applied"), ("no_show", "applied"), ("put_back", "applied"),
    ]  # fmt: skip
    assert Order.objects.get(number=202).state == Order.State.SETTLED
    assert [payment.dollars for payment in Payment.objects.filter(order__number=202)] == [100]
    assert Movement.objects.filter(kind="sold", reference="order 202").count() == 1
    assert Stop.objects.get(order__number=203).back_lot.yard.name == "Upper Yard"


def test_a_morning_logged_without_signal_is_in_the_books_once_when_it_returns(
    woods: Screen, relay: Relay
) -> None:
    relay.lose_signal()
    woods.tap("//a[normalize-space()='Log it']")
    woods.tap("//label[contains(@class, 'chip')][contains(., 'Split')]")
    woods.tap("//label[contains(@class, 'chip')][contains(., 'K2 Knob fir rounds')]")
    woods.tap("//label[contains(@class, 'chip')][contains(., 'a morning')]")
    woods.type("#id_cords", "5/6")
    woods.tap("//button[normalize-space()='Log it']")
    woods.sees("#signal", "1 kept on this phone")
    woods.open("/seller/wood")  # any page of hers: the sheet is what is there without signal
    woods.sees("h1", "Log it")
    woods.sees("#queue", "work logged")
    assert not LoggedWork.objects.exists()

    relay.find_signal()
    woods.open("/seller/log")
    woods.until(LoggedWork.objects.exists, "it is in the books")  # the queue is empty before it is shown, too
    woods.until(lambda: not woods.find("#queue").text, "everything is sent")
    woods.open("/seller/log")  # asked again, nothing is sent twice

    assert LoggedWork.objects.count() == 1
    assert WorkEntry.objects.get().hours_likely == Decimal(4)
    assert Lot.objects.get(code="K2b").on_hand_cords == Fraction(5, 6)

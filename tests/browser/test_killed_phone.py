"""A phone whose browser is killed in the valley: what was tapped is there again, and counts once."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from inventory.models import Movement
from orders.models import Order, Payment
from routing.models import DriverEvent, Stop
from tests.browser.engines import NAMES
from tests.browser.killable import Phone, phone_of
from tests.browser.relay import Relay, relay_to

pytestmark = [
    pytest.mark.browser,
    pytest.mark.roads,
    pytest.mark.django_db(transaction=True),
    # a killed browser leaves its driver's sockets open
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]

KEPT_PAGES = """(async () => (await (await caches.open("pages-1")).keys())
  .map((one) => new URL(one.url).pathname))()"""


@pytest.fixture
def relay(live_server: Any) -> Iterator[Relay]:
    with relay_to(live_server.url) as way:
        yield way


@pytest.fixture(params=NAMES)
def phone(request: Any, demo: None, relay: Relay, tmp_path: Path) -> Iterator[Phone]:
    with phone_of(request.param, tmp_path / "phone", relay.address) as held:
        yield held


def log_in(phone: Phone) -> None:
    phone.type("#id_login", "tam")
    phone.type("#id_password", "split-in-spring")
    phone.tap("main button", "Log in")
    phone.until("!location.pathname.startsWith('/log-in') && document.readyState === 'complete'")


def test_what_was_tapped_outlives_the_kill_of_the_browser_and_counts_once(phone: Phone, relay: Relay) -> None:
    phone.open("/log-in")
    log_in(phone)
    phone.open("/driver/")
    phone.until("document.body.dataset.offline === '1'")
    cards = {f"/driver/drop/{key}" for key in Stop.objects.values_list("pk", flat=True)}
    phone.until(f"({KEPT_PAGES}).then((kept) => {sorted(cards)}.every((card) => kept.includes(card)))")
    relay.lose_signal()
    phone.tap(".timeline a", "Greta Sool")
    phone.type("#dollars", "100")
    phone.tap("form[data-event=delivered] button", "Delivered")
    phone.tap(".timeline a", "Pilar Ostrander")
    phone.tap("summary", "Nobody there")
    phone.tap("form[data-event=no_show] button", "Nobody there, wood comes home")
    phone.sees("#signal", "2 kept")

    phone.kill()
    phone.start()
    phone.open("/driver/")
    phone.sees("#signal", "2 kept on this phone")
    phone.sees("li", "delivered, kept")
    assert not DriverEvent.objects.filter(kind__in=("delivered", "no_show")).exists()
    pilar = Stop.objects.get(order__number=203)
    home = f"form[data-came-home]:has([name=stop][value='{pilar.pk}'])"
    upper = "[...form.elements.place.options].find((one) => one.text === 'Upper Yard, by itself').value"
    phone.until(f"(() => {{ const form = document.querySelector(`{home}`);"
                f"return !form.hidden && (form.elements.place.value = {upper}); }})()")  # fmt: skip
    phone.tap(f"{home} button", "It lies there")
    phone.sees("#signal", "3 kept")

    phone.kill()
    relay.find_signal()
    phone.start()
    phone.open("/driver/told")
    if phone.ask("location.pathname").startswith("/log-in"):  # it may have lost its log-in, never its taps
        log_in(phone)
        phone.open("/driver/told")
    phone.sees("#queue", "Everything is sent.")

    told = DriverEvent.objects.filter(stop__order__number__in=(202, 203))
    assert sorted(told.values_list("kind", "outcome")) == [
        ("delivered", "applied"), ("no_show", "applied"), ("put_back", "applied"),
    ]  # fmt: skip
    assert Order.objects.get(number=202).state == Order.State.SETTLED
    assert [payment.dollars for payment in Payment.objects.filter(order__number=202)] == [100]
    assert Movement.objects.filter(kind="sold", reference="order 202").count() == 1
    assert Stop.objects.get(order__number=203).back_lot.yard.name == "Upper Yard"

"""A phone whose browser is killed in the valley: what was tapped is there again, and counts once."""

import os
import signal
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, Playwright, expect

from inventory.models import Movement
from orders.models import Order, Payment
from routing.models import DriverEvent, Stop
from tests.browser.conftest import FLAGS, PATIENCE_MS, PHONE, log_in
from tests.browser.test_no_signal import KEPT_PAGES, lose_signal, say_delivered, until

pytestmark = [pytest.mark.browser, pytest.mark.roads, pytest.mark.django_db(transaction=True)]

NO_WAY_OUT = ["--proxy-server=127.0.0.1:9", "--proxy-bypass-list=<-loopback>"]


class Phone:
    """A browser with a memory of its own that can be killed and started again."""

    def __init__(self, playwright: Playwright, chromium_path: str, folder: Path, address: str) -> None:
        self.playwright = playwright
        self.chromium_path = chromium_path
        self.folder = folder
        self.address = address

    def start(self, *, offline: bool = False) -> Page:
        """Without signal the server can't be reached by the service worker either: it starts first."""
        flags = [*FLAGS, *NO_WAY_OUT] if offline else FLAGS
        context: BrowserContext = self.playwright.chromium.launch_persistent_context(
            str(self.folder), executable_path=self.chromium_path, args=flags, viewport=PHONE,
            base_url=self.address,
        )  # fmt: skip
        context.set_default_timeout(PATIENCE_MS)
        page = context.new_page()
        if offline:
            lose_signal(page)
        return page

    def kill(self) -> None:
        """As the battery does it: no goodbye. Only the processes that hold this phone's folder."""
        for entry in Path("/proc").iterdir():
            if not entry.name.isdigit():
                continue
            with suppress(OSError):
                if f"--user-data-dir={self.folder}".encode() in (entry / "cmdline").read_bytes():
                    os.kill(int(entry.name), signal.SIGKILL)
        (self.folder / "SingletonLock").unlink(missing_ok=True)


@pytest.fixture
def phone(
    demo: None, live_server: Any, tmp_path: Path, playwright: Playwright, chromium_path: str
) -> Iterator[Phone]:
    held = Phone(playwright, chromium_path, tmp_path / "phone", live_server.url)
    yield held
    held.kill()


def test_what_was_tapped_outlives_the_kill_of_the_browser_and_counts_once(phone):
    page = phone.start()
    log_in(page, "tam")
    page.goto("/driver/")
    page.wait_for_selector('body[data-offline="1"]')
    cards = {link.get_attribute("href") for link in page.locator(".timeline a").all()}
    until(lambda: cards <= set(page.evaluate(KEPT_PAGES)), "every card of the run is kept")
    lose_signal(page)
    say_delivered(page, "Greta Sool", "100")
    page.get_by_role("link", name="Pilar Ostrander").click()
    page.get_by_text("Nobody there, or trouble").click()
    page.get_by_role("button", name="Nobody there, wood comes home").click()
    expect(page.locator("#signal")).to_contain_text("2 kept")

    phone.kill()
    page = phone.start(offline=True)
    page.goto("/driver/")
    expect(page.locator("#signal")).to_contain_text("2 kept on this phone")
    expect(page.locator("li", has_text="Greta Sool")).to_contain_text("delivered, kept")
    assert not DriverEvent.objects.filter(kind__in=("delivered", "no_show")).exists()
    page.locator("form[data-came-home]:visible select").select_option(label="Upper Yard, by itself")
    page.get_by_role("button", name="It lies there").click()
    expect(page.locator("#signal")).to_contain_text("3 kept", timeout=PATIENCE_MS)

    phone.kill()
    page = phone.start(offline=True)
    page.goto("/driver/told")
    expect(page.locator("#queue li")).to_have_count(3)

    phone.kill()
    page = phone.start()
    page.goto("/driver/told")
    if "log-in" in page.url:  # a killed browser may have lost its log-in, never its taps
        log_in(page, "tam")
        page.goto("/driver/told")
    expect(page.locator("#queue")).to_have_text("Everything is sent.", timeout=PATIENCE_MS)

    assert {event.outcome for event in DriverEvent.objects.filter(stop__order__number__in=(202, 203))} == {
        "applied"
    }
    assert Order.objects.get(number=202).state == Order.State.SETTLED
    assert [payment.dollars for payment in Payment.objects.filter(order__number=202)] == [100]
    assert Movement.objects.filter(kind="sold", reference="order 202").count() == 1
    assert Stop.objects.get(order__number=203).back_lot.yard.name == "Upper Yard"

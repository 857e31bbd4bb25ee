"""Chromium on the live pages: any policy violation, script error or failed request fails the test."""

import os
import re
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import caches
from django.core.management import call_command
from django.db import connection
from django.test import override_settings
from playwright.sync_api import Browser, BrowserContext, Locator, Page, Playwright, sync_playwright

from inventory.models import Business
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_sheet, make_town
from tests.factories.routing import make_rig

PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 800}
PATIENCE_MS = int(os.environ.get("TEST_PATIENCE_MS", 15_000))  # more of it on a busy machine
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]

os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # Playwright's loop runs in the test's own thread


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """The one of the session: it can't be started twice in a thread."""
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def chromium_path() -> str:
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        pytest.fail("Chromium was not found: install Debian's package chromium.")
    return path


@pytest.fixture(scope="session")
def chromium(playwright: Playwright, chromium_path: str) -> Iterator[Browser]:
    browser = playwright.chromium.launch(executable_path=chromium_path, args=FLAGS)
    yield browser
    browser.close()


@pytest.fixture(scope="session")
def demo_books(
    django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """The invented seller with roads, loaded once and kept aside as one file."""
    if connection.vendor != "sqlite" or not Path(connection.settings_dict["NAME"]).is_file():
        pytest.fail("Browser tests copy a database file: run make test-browser, or set TEST_DATABASE_FILE=1.")
    kept = tmp_path_factory.mktemp("books") / "demo.sqlite3"
    with django_db_blocker.unblock(), override_settings(ROAD_ENGINE="valhalla"):
        call_command("load_demo", verbosity=0)
        copy_books(connection.settings_dict["NAME"], kept)
        call_command("flush", interactive=False, verbosity=0)
        connection.close()
    return kept


@pytest.fixture
def demo(demo_books: Path, transactional_db: None, settings: Any) -> None:
    """The invented seller's books on the invented roads, fresh for this test."""
    settings.ROAD_ENGINE = "valhalla"
    connection.close()
    copy_books(demo_books, connection.settings_dict["NAME"])
    caches["default"].clear()


@pytest.fixture
def shop(business: Business) -> None:
    """A small shop with wood in the yard, without roads."""
    yard = make_yard(name="Siding Yard")
    make_reading(make_lot(code="K1", cords="6.05", yard=yard))
    make_rig(home_yard=yard)
    make_sheet()
    for name, market in (("Marrow Bridge", "near"), ("Larch Prairie", "near"), ("Sandhook", "far")):
        make_town(name, market=market)


def copy_books(source: Path | str, target: Path | str) -> None:
    with closing(sqlite3.connect(source)) as there, closing(sqlite3.connect(target)) as here:
        there.backup(here)


def log_in(page: Page, name: str) -> None:
    page.goto("/log-in")
    page.fill("#id_login", name)
    page.fill("#id_password", "split-in-spring")
    page.get_by_role("button", name="Log in", exact=True).click()
    page.wait_for_load_state()


def fits(page: Page) -> None:
    """Nothing sticks out sideways."""
    wide, seen = page.evaluate("() => [document.documentElement.scrollWidth, window.innerWidth]")
    assert wide <= seen, f"{page.url} is {wide} px wide on a {seen} px screen"


def chip(page: Page, words: str) -> Locator:
    """A radio button or box by its label, which is what a finger touches."""
    return page.locator("label.chip, label.pick, label.day-pick, label.tick").filter(
        has=page.get_by_text(words, exact=True)
    )


def seen_dollars(place: Locator) -> Decimal:
    """The one amount of money that stands there, as "$242", "$19.33" or "−$4.35"."""
    found = re.findall(r"([−-]?)\u2060?\$([\d,]+(?:\.\d\d)?)", place.inner_text())
    assert len(found) == 1, place.inner_text()
    sign, digits = found[0]
    return Decimal(digits.replace(",", "")) * (-1 if sign else 1)


@pytest.fixture
def open_page(chromium: Browser, live_server: Any) -> Iterator[Callable[..., Page]]:
    """Opens pages of the app; what the console complained about fails the test at its end.

    A test that takes the signal away, or is refused on purpose, names that complaint in `expected`.
    """
    contexts: list[BrowserContext] = []
    complaints: list[str] = []
    expected: list[str] = []

    def listen(page: Page) -> None:
        page.on("pageerror", lambda error: complaints.append(f"{page.url}: {error}"))
        page.on(
            "console",
            lambda message: (
                complaints.append(f"{page.url}: {message.text}")
                if message.type == "error" or "Security Policy" in message.text
                else None
            ),
        )

    def opened(path: str = "/", *, size: dict[str, int] = PHONE, **kwargs: Any) -> Page:
        context = chromium.new_context(viewport=size, base_url=live_server.url, **kwargs)
        context.set_default_timeout(PATIENCE_MS)
        contexts.append(context)
        context.on("page", listen)
        page = context.new_page()
        page.goto(path)
        return page

    opened.expected = expected  # type: ignore[attr-defined]
    yield opened
    for context in contexts:
        context.close()
    assert [one for one in complaints if not any(words in one for words in expected)] == []


@pytest.fixture
def axe() -> Iterator[Callable[[Page], None]]:
    """No accessibility violation on the pages as they stood when checked; all of them told at the end."""
    from axe_playwright_python.sync_playwright import Axe

    broken: list[str] = []

    def check(page: Page) -> None:
        bars = "how => document.querySelectorAll('.sticky-bar').forEach(bar => {bar.style.position = how})"
        page.evaluate(bars, "static")  # what a bar covers just now is scrolled free of it
        found = Axe().run(page, options={"runOnly": WCAG, "resultTypes": ["violations"]})
        page.evaluate(bars, "")
        broken.extend(
            f"{page.url} {rule['id']}: {node['html'][:160]}"
            for rule in found.response["violations"]
            for node in rule["nodes"]
        )

    yield check
    assert "\n".join(broken) == ""


@pytest.fixture
def shot(request: Any) -> Callable[..., None]:
    """Keeps a screenshot when TEST_SHOTS names a folder."""
    folder = os.environ.get("TEST_SHOTS")

    def keep(page: Page, name: str, *, full: bool = True) -> None:
        if folder:
            Path(folder).mkdir(parents=True, exist_ok=True)
            page.screenshot(path=str(Path(folder) / f"{name}.png"), full_page=full)

    return keep

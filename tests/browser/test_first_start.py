"""The first morning at 390 px: from empty books and a real map to a sent quote, without the admin."""

import os
import time
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page

from orders.models import Quote
from routing.models import RoadExtract
from tests.browser.conftest import fits, log_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SAMPLES = os.environ.get("ROADS_SAMPLES", "")
MOST_FIELDS = 40
MOST_MINUTES = 12
SECONDS_A_FIELD = 6  # to read, think and type one on a phone (estimate)
SECONDS_A_TAP = 2  # to find and tap a button or link (estimate)

ROADS_DRAWN = """async () => {
  const text = async (tile) => (await fetch(tile.src)).text();
  const drawn = await Promise.all([...document.querySelectorAll(".leaflet-tile")].map(text));
  return drawn.filter((tile) => tile.includes("<path")).length;
}"""


class Hand:
    """Types and taps as a seller would, and counts it."""

    def __init__(self, page: Page, shot) -> None:
        self.page = page
        self.typed = self.taps = self.pages = 0
        self.shot = shot

    def type(self, label: str, words: str) -> None:
        self.page.get_by_label(label, exact=True).last.fill(words)
        self.typed += 1

    def choose(self, label: str, value: str) -> None:
        self.page.get_by_label(label, exact=True).last.select_option(value)
        self.typed += 1

    def tap(self, words: str) -> None:
        self.page.get_by_role("button", name=words, exact=True).last.click()
        self.page.wait_for_load_state()
        self.taps += 1

    def seen(self) -> None:
        if self.page.locator(".map[data-pin]").count():
            self.page.locator(".leaflet-tile-loaded").first.wait_for()
            assert self.page.evaluate(ROADS_DRAWN) > 0
        fits(self.page)
        self.pages += 1
        self.shot(self.page, f"first-{self.pages:02}")

    def go_on(self, words: str) -> None:
        """The line of Today that names what is missing, and its link."""
        self.page.goto("/seller/")
        line = self.page.locator("[aria-labelledby=blocking] li").filter(has_text=words)
        line.get_by_role("link").click()
        self.page.wait_for_load_state()
        self.taps += 2
        self.seen()

    def missing(self) -> list[str]:
        self.page.goto("/seller/")
        return self.page.locator("[aria-labelledby=blocking] li b").all_inner_texts()


def test_from_empty_books_and_a_real_map_to_a_sent_quote(open_page, settings, tmp_path, axe, shot):
    pbf = Path(SAMPLES) / "harrisburg.osm.pbf"
    if not SAMPLES or not pbf.is_file():
        pytest.skip("set ROADS_SAMPLES to a folder that holds harrisburg.osm.pbf")
    settings.ROAD_ENGINE, settings.ROADS_DIR = "valhalla", tmp_path / "roads"
    User.objects.create_superuser("ruth", password="split-in-spring")
    page = open_page("/")
    began = time.monotonic()
    log_in(page, "ruth")
    hand = Hand(page, shot)
    hand.seen()
    assert hand.missing()[0] == "Enter your name and address"

    hand.go_on("Load the roads")
    page.set_input_files("input[type=file]", pbf)
    hand.typed += 1
    hand.tap("Load the roads")
    page.get_by_text("is in use, with").wait_for()
    hand.seen()
    assert RoadExtract.objects.get().name == "harrisburg"

    hand.go_on("Enter your name and address")
    hand.type("Name on tickets", "Blue Ridge Wood")
    hand.type("Address (optional)", "4 Mill Road, Highspire")
    hand.type("Phone (optional)", "717 555 0142")
    hand.tap("Save")

    hand.go_on("Add a yard")
    hand.type("Name", "Home")
    hand.type("Street, town, or latitude, longitude (optional)", "Highspire")
    hand.tap("Save")
    hand.seen()

    hand.go_on("Name the towns you sell to")
    hand.type("Town", "Colonial Park")
    hand.tap("Add the town")
    hand.seen()

    hand.go_on("Set a price")
    axe(page)
    hand.type("Seasoned fir, a cord ($)", "300")
    page.get_by_text("They pay").wait_for()
    page.locator("#example").get_by_text("$115").first.wait_for()
    hand.seen()
    hand.tap("Save")

    hand.go_on("Set how you get paid")
    hand.tap("Add it")

    hand.go_on("Open the first lot")
    hand.choose("Kind of tree (optional)", "fir")
    hand.choose("What it is (optional)", "splits")
    hand.type("Or cords (optional)", "4")
    hand.tap("Log it")
    page.get_by_text("Measured, lot").wait_for()
    hand.go_on("Offer a lot for sale")
    page.locator("label.chip").filter(has_text="for sale").first.click()
    hand.tap("Save")

    assert hand.missing() == ["Add a rig"]
    page.goto("/seller/quote")
    hand.seen()
    for words in ("green fir", "1/2", "Colonial Park", "dump"):
        page.locator("label.chip").filter(has_text=words).first.click()
        hand.taps += 1
    hand.tap("Answer")
    hand.seen()

    assert Quote.objects.count() == 1
    assert not Quote.objects.get().is_estimate
    spent = hand.typed * SECONDS_A_FIELD + hand.taps * SECONDS_A_TAP + (time.monotonic() - began)
    print(f"{hand.typed} fields, {hand.taps} taps, {spent / 60:.1f} minutes")
    assert hand.typed <= MOST_FIELDS
    assert spent <= MOST_MINUTES * 60

"""Four questions of somebody who has not seen the app, each answered within two taps from the first page."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import PHONE, log_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def in_sight(page: Page, words: str) -> None:
    """The answer stands on the first screen, without scrolling."""
    said = page.locator(".say, .say + p").filter(has_text=re.compile(words)).first
    expect(said).to_be_visible()
    box = said.bounding_box()
    assert box is not None
    assert box["y"] + box["height"] <= PHONE["height"], f"{words} stands below the screen"


def test_what_a_stranger_asks_is_answered_in_two_taps(demo, open_page):
    page = open_page("/log-in")
    page.set_viewport_size(PHONE)
    log_in(page, "ruth")
    tabs = page.get_by_role("navigation", name="Main")

    tabs.get_by_role("link", name="Worth").click()
    in_sight(page, r"September pays so far: you earned \$\d+ an hour")
    in_sight(page, r"Ground to thin next: East slope")

    page.goto("/seller/")
    tabs.get_by_role("link", name="Wood").click()
    page.get_by_role("link", name="K2 Knob fir rounds").first.click()
    in_sight(page, r"clear about \$\d+, or \$\d+ for each hour still to put in")  # what is it worth?
    in_sight(page, r"Split now|Leave it until spring, then split")  # should I split it now?

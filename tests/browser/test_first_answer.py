"""Each page's first answer stands on a phone's first screen, 390 x 844, without scrolling."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import PHONE, chip, log_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
ANSWERS = {  # what a page is opened for: its first sentence, figure or row
    "": ".answer",
    "wood": "main table a, main .note",
    "lots/K1": ".say",
    "lots/K2": ".say",
    "lots/K7": ".figure b",
    "orders": "main a[href*='/seller/orders/']",
    "orders/203": ".answer",
    "money": ".figure b",
    "money/books": ".figure b",
    "quote/given": "main li",
    "tell": "h1 + p",
    "customers": "main a[href*='/seller/customers/']",
    "claims": "main .card",
    "days": "main a[href*='/seller/days/2026']",
    "days/2026-09-18": "main b",
    "worth": ".say",
    "worth/margins": ".figure b",
    "worth/near-or-far": "#answer > *",
    "worth/pool": ".note",
    "worth/patches": "main b, main .note",
    "worth/season": ".figure b",
    "worth/ahead": "main p:not(:empty)",  # once planned, its advice: test_season_screen
    "set-up": ".note",
    "find?q=price": "main li a",
}


def first_bottom(page: Page, selector: str) -> float:
    """Where the first thing of a page that answers ends, below the top of its screen."""
    page.locator(selector).locator("visible=true").first.wait_for()
    spots = [one.bounding_box() for one in page.locator(selector).all() if one.is_visible()]
    return min(box["y"] + box["height"] for box in spots if box)


def last_bottom(page: Page, selector: str) -> float:
    """Where the last thing in sight of a kind ends, below the top of the screen."""
    spots = [one.bounding_box() for one in page.locator(selector).all() if one.is_visible()]
    return max(box["y"] + box["height"] for box in spots if box)


def bar_top(page: Page) -> float:
    """Where the bar with the button begins, which stays in sight."""
    spot = page.locator(".sticky-bar").first.bounding_box()
    assert spot
    return float(spot["y"])


def test_the_first_answer_of_every_page_is_in_sight(demo: Any, open_page: Any) -> None:
    page = open_page("/log-in")
    page.set_viewport_size(PHONE)
    log_in(page, "ruth")
    low = {}

    for path, selector in ANSWERS.items():
        page.goto(f"/seller/{path}")
        bottom = first_bottom(page, selector)
        if bottom > PHONE["height"]:
            low[path] = bottom

    assert low == {}


def test_a_common_morning_is_asked_on_one_screen_and_the_rest_is_a_tap_away(
    demo: Any, open_page: Any
) -> None:
    """What was done, which wood and how long stand above the button; older wood is one tap on."""
    page = open_page("/log-in")
    page.set_viewport_size(PHONE)
    log_in(page, "ruth")
    page.goto("/seller/log")

    assert page.locator("label.chip:has([name=steps]):visible").count() >= 6
    assert page.locator("label.chip:has([name=wood]):visible").count() >= 4
    assert last_bottom(page, "label.chip:has([name=how_long])") <= bar_top(page)
    old = page.locator("label.chip:has([name=wood])", has_text="K1 Knob fir")
    expect(old).not_to_be_visible()
    chip(page, "Other wood").click()
    old.click()
    chip(page, "Other wood").click()
    expect(old).to_be_visible()  # what is chosen stays in sight
    page.locator("fieldset", has_text="What was done").locator(".more").click()
    expect(chip(page, "Saws, splitter, truck")).to_be_visible()


def test_a_common_morning_is_asked_on_one_screen_in_spanish_too(demo: Any, open_page: Any) -> None:
    page = open_page("/log-in")
    page.set_viewport_size(PHONE)
    log_in(page, "ruth")
    page.goto("/seller/find")
    page.get_by_role("button", name="Español").click()
    page.wait_for_selector("html[lang=es]")
    page.goto("/seller/log")

    expect(chip(page, "sin horas")).to_be_visible()
    assert last_bottom(page, "label.chip:has([name=how_long])") <= bar_top(page)


def test_a_quote_is_asked_on_one_screen_and_its_price_begins_the_next(demo: Any, open_page: Any) -> None:
    page = open_page("/log-in")
    page.set_viewport_size(PHONE)
    log_in(page, "ruth")
    page.goto("/seller/quote")

    assert last_bottom(page, "label.chip:has([name=amount])") <= bar_top(page)
    page.locator("label.chip", has_text="Fennick").click()
    page.get_by_role("button", name="Answer").click()
    page.wait_for_url("**/seller/quote/*-*")

    assert first_bottom(page, "h1.price") <= PHONE["height"]
    assert first_bottom(page, "#line") <= PHONE["height"]

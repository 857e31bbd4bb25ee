"""Each page's first answer stands on a phone's first screen, 390 x 844, without scrolling."""

from typing import Any

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import PHONE, log_in

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
    "set-up": ".note",
    "find?q=price": "main li a",
}


def first_bottom(page: Page, selector: str) -> float:
    """Where the first thing of a page that answers ends, below the top of its screen."""
    page.locator(selector).locator("visible=true").first.wait_for()
    spots = [one.bounding_box() for one in page.locator(selector).all() if one.is_visible()]
    return min(box["y"] + box["height"] for box in spots if box)


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

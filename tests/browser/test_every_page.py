"""Every page of the demo in Chromium: policy kept, no script error, nothing for axe to find."""

import pytest

from tests.browser.conftest import DESK, PHONE, fits, log_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

CUSTOMER = ["/", "/price"]
SELLER = [
    "/seller/",
    "/seller/quote",
    "/seller/orders",
    "/seller/orders/203",
    "/seller/orders/212",
    "/seller/customers",
    "/seller/prices",
    "/seller/claims",
    "/seller/money",
    "/seller/wood",
    "/seller/lots/K1",
    "/seller/lots/K3/reading",
    "/seller/lots/K3/move",
    "/seller/measure",
    "/seller/restack",
    "/seller/readiness",
    "/seller/work",
    "/seller/yards",
    "/seller/yards",
    "/seller/ground",
    "/seller/ground/new",
    "/seller/woods",
    "/seller/days",
    "/seller/days/2026-09-18",
    "/seller/rigs",
    "/seller/shuts",
    "/seller/margins",
    "/seller/worth",
    "/seller/haul",
    "/seller/pool",
    "/seller/acre-sheet",
    "/seller/season",
    "/seller/settings",
    "/seller/audit",
]
DRIVER = ["/driver/"]


def names(path: str) -> str:
    return path.strip("/").replace("/", "-") or "front"


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_customers_pages_are_clean(demo, open_page, axe, shot, size, scheme):
    page = open_page("/", size=size, color_scheme=scheme)
    for path in CUSTOMER:
        page.goto(path)
        fits(page)
        axe(page)
        shot(page, f"{names(path)}-{size['width']}-{scheme}")


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_the_sellers_pages_are_clean(demo, open_page, axe, shot, size):
    page = open_page("/log-in", size=size)
    log_in(page, "ruth")
    missing = []
    for path in SELLER:
        answer = page.goto(path)
        if answer is None or answer.status != 200:
            missing.append(path)
            continue
        fits(page)
        axe(page)
        shot(page, f"{names(path)}-{size['width']}")
    assert missing == []


def test_the_sellers_pages_are_clean_in_the_dark(demo, open_page, axe):
    page = open_page("/log-in", color_scheme="dark")
    log_in(page, "ruth")
    for path in SELLER[::3]:
        page.goto(path)
        axe(page)


def test_the_drivers_pages_are_clean(demo, open_page, axe, shot):
    page = open_page("/log-in")
    log_in(page, "tam")
    for path in DRIVER:
        page.goto(path)
        fits(page)
        axe(page)
        shot(page, f"{names(path)}-390")
    for path in ("/driver/load/", "/driver/drop/"):
        page.goto("/driver/")
        page.locator(f"a[href^='{path}']").first.click()
        page.wait_for_load_state()
        fits(page)
        axe(page)
        shot(page, f"{names(path)}-390")

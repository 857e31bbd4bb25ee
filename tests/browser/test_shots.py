"""The pictures of README and guide, small enough for the books; TEST_PICTURES=yes keeps them."""

import os
import re
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import expect

from tests.browser.conftest import DESK, chip, log_in

pytestmark = [
    pytest.mark.browser,
    pytest.mark.roads,
    pytest.mark.django_db(transaction=True),
]

MOST_BYTES = 150_000
ROOT = Path(__file__).resolve().parents[2]
README_PICTURES = ROOT / "tests" / "pages" / "shots"
GUIDE_PICTURES = ROOT / "firewood_site" / "static" / "firewood_site" / "guide"
OF_THE_GUIDE = {
    "today-390": "/seller/",
    "lot-390": "/seller/lots/K1",
    "log-390": "/seller/log",
    "worth-390": "/seller/worth",
}


@pytest.fixture
def picture(tmp_path):
    """Keeps what is on the screen in 96 colors, and fails when the file is too heavy."""

    def keep(page, name: str, folder: Path = README_PICTURES) -> None:
        kept = (folder if os.environ.get("TEST_PICTURES") else tmp_path) / f"{name}.png"
        page.screenshot(path=str(kept))
        with Image.open(kept) as full:
            full.convert("RGB").quantize(96, dither=Image.Dither.NONE).save(kept, optimize=True)
        assert kept.stat().st_size < MOST_BYTES

    return keep


@pytest.mark.parametrize(("scheme", "mark"), [("light", ""), ("dark", "-dark")], ids=["light", "dark"])
def test_the_customers_order_is_pictured(demo, open_page, picture, scheme, mark):
    page = open_page("/", color_scheme=scheme, reduced_motion="reduce")
    picture(page, f"shop-390{mark}")

    page.get_by_role("link", name="2/3 cord $180").first.click()
    page.get_by_label("Street and number").press_sequentially("8 orchard ro")
    page.get_by_role("option", name="8 Orchard Road, Larch Prairie").click()
    page.evaluate("() => { document.activeElement.blur(); window.scrollTo(0, 0); }")
    picture(page, f"quote-390{mark}")

    chip(page, "Stack it").click()
    page.locator("#total button").click()
    expect(page.locator(".price")).to_be_visible()
    picture(page, f"price-390{mark}")

    page.get_by_label("Your name").fill("Tansy Orme")
    page.get_by_label("Phone").fill("541 555 0188")
    page.wait_for_timeout(1100)
    page.get_by_role("button", name="Place order").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("We have your order")
    picture(page, f"status-390{mark}")


def test_the_sellers_day_is_pictured(demo, open_page, picture):
    page = open_page("/log-in", size=DESK, reduced_motion="reduce")
    log_in(page, "ruth")

    page.goto("/seller/days/2026-09-18")
    page.wait_for_selector(".map[data-ready] .leaflet-tile-loaded")
    page.wait_for_load_state("networkidle")
    page.get_by_role("heading", name="Big trailer").scroll_into_view_if_needed()
    picture(page, "day-1280")


def test_the_guide_is_pictured(demo, open_page, picture):
    """What the guide shows is what the pages show now."""
    page = open_page("/log-in", reduced_motion="reduce")
    log_in(page, "ruth")
    for name, path in OF_THE_GUIDE.items():
        page.goto(path)
        picture(page, name, GUIDE_PICTURES)
    cab = open_page("/log-in", reduced_motion="reduce")
    log_in(cab, "tam")
    cab.goto("/driver/")
    cab.locator(".timeline a[href*='/driver/load/']").first.click()
    expect(cab.get_by_role("heading", name="What goes on first")).to_be_visible()
    picture(cab, "load-390", GUIDE_PICTURES)

    page.set_viewport_size(DESK)
    page.goto("/seller/days/2026-09-18")
    page.wait_for_selector(".map[data-ready] .leaflet-tile-loaded")
    page.wait_for_load_state("networkidle")
    picture(page, "day-1280", GUIDE_PICTURES)

    shown = {
        found
        for path in (ROOT / "firewood_site" / "templates" / "guide").glob("*.html")
        for found in re.findall(r"guide/([\w-]+)\.png", path.read_text("utf-8"))
    }
    assert shown == {*OF_THE_GUIDE, "load-390", "day-1280"}

"""The board's map on the demo and on a real country: nothing hides a name, a run is one color everywhere."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page, expect

from orders.models import Order
from routing.services.days import plan_day
from tests.bench.board import book_day
from tests.browser.conftest import DESK, PHONE, fits, log_in
from tests.routing.roads.test_real_ground import NOON, THE_DAY, real_roads, ten_orders

__all__ = ["real_roads", "ten_orders"]  # fixtures, found by name

pytestmark = [pytest.mark.browser, pytest.mark.roads, pytest.mark.django_db(transaction=True)]

LEAST_TARGET = 44
LOOKS = [(size, scheme) for size in (PHONE, DESK) for scheme in ("light", "dark")]

# What lies on what, and every color as red, green and blue.
MAP_FACTS = """() => {
  const boxes = (kind) => [...document.querySelectorAll(`.map ${kind}`)].map((one) => {
    const {left, top, right, bottom} = one.getBoundingClientRect();
    return [one.textContent.trim() || one.title, left, top, right, bottom];
  });
  const rgb = (color) => color.match(/[\\d.]+/g).slice(0, 3).map(Number);
  const style = (query, what) => {
    const one = document.querySelector(query);
    return one && rgb(getComputedStyle(one)[what]);
  };
  const runs = {};
  for (const run of ["run-a", "run-b", "run-c"]) {
    if (!document.querySelector(`.map .map-way.${run}`)) continue;
    runs[run] = {
      list: style(`.legs .run-mark.${run} :is(circle, rect, path)`, "fill"), words: style(`.legs .run-mark.${run} text`, "fill"),
      key: style(`.run-key.${run} line`, "stroke"), strip: style(`.strip.${run} .stop rect`, "fill"),
      pin: style(`.map .map-mark.stop.${run}`, "backgroundColor"), letter: style(`.map .map-mark.stop.${run}`, "color"),
      way: style(`.map .map-way.${run}`, "stroke"), arrow: style(`.map .map-arrow.${run}`, "fill"),
    };
  }
  return { runs, names: boxes(".map-name span"), pins: boxes(".map-mark"), controls: boxes(".leaflet-control"),
           frame: boxes("")[0] || null, buttons: boxes(".leaflet-bar a"),
           edge: style(".map .leaflet-bar a", "borderTopColor"), paper: style(".map .map-way-casing", "stroke") };
}"""  # noqa: E501

type Box = tuple[str, float, float, float, float]


def lightness(color: list[float]) -> float:
    """Relative luminance (WCAG 2.2)."""
    parts = [part / 255 for part in color]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: list[float], other: list[float]) -> float:
    low, high = sorted((lightness(one), lightness(other)))
    return (high + 0.05) / (low + 0.05)


def meets(one: Box, other: Box) -> bool:
    return one[1] < other[3] and other[1] < one[3] and one[2] < other[4] and other[2] < one[4]


def is_readable(page: Page, *, runs: int) -> None:
    """Names and pins clear of each other and of the buttons; a run has one color on map, list and line."""
    page.wait_for_selector(".map[data-ready] .leaflet-tile-loaded")
    page.locator(".map").scroll_into_view_if_needed()
    facts: dict[str, Any] = page.evaluate(MAP_FACTS)

    assert facts["names"]
    hidden = [
        (one[0], other[0])
        for one in facts["names"]
        for other in (*facts["controls"], *facts["pins"])
        if meets(one, other)
    ]
    pins = facts["pins"]
    hidden += [(one[0], other[0]) for one in pins for other in facts["controls"] if meets(one, other)]
    hidden += [(one[0], pins[n][0]) for k, one in enumerate(pins) for n in range(k) if meets(one, pins[n])]
    assert hidden == []
    _, left, top, right, low = facts["frame"]
    cut = [pin for pin in pins if pin[1] < left or pin[2] < top or pin[3] > right or pin[4] > low]
    assert cut == []
    assert all(min(right - left, low - top) >= LEAST_TARGET for _, left, top, right, low in facts["buttons"])
    assert len(facts["runs"]) == runs
    for name, seen in facts["runs"].items():
        own = seen["way"]
        colors = {part: color for part, color in seen.items() if color and part not in ("letter", "words")}
        assert colors == dict.fromkeys(colors, own), name
        assert seen["pin"] == seen["list"] == own, name
        assert seen["letter"] == seen["words"], name
        assert contrast(own, facts["paper"]) >= 4.5, name
        assert contrast(seen["pin"], seen["letter"]) >= 4.5, name
    assert contrast(facts["edge"], facts["paper"]) >= 3


def walk_the_boards(page: Page, on: date, axe: Callable[[Page], None], shot: Callable[[str], None]) -> None:
    """The day's board and the week's: read, nothing to find for axe, nothing too small for a finger."""
    page.goto(f"/seller/days/{on}")
    fits(page)
    is_readable(page, runs=page.locator("section.run").count())
    axe(page)
    shot("day")
    page.goto(f"/seller/days/week?from={on}")
    fits(page)
    axe(page)
    assert page.evaluate(SMALL_TARGETS) == []
    shot("week")


def test_three_runs_of_25_drops_are_read_at_every_width_in_light_and_dark(
    demo: None, open_page: Callable[..., Page], axe: Callable[[Page], None], shot: Any
) -> None:
    on = book_day()
    for size, scheme in LOOKS:
        page = open_page(size=size, color_scheme=scheme)
        log_in(page, "ruth")

        walk_the_boards(page, on, axe, lambda name: shot(page, f"demo-{name}-{size['width']}-{scheme}"))  # noqa: B023

        page.goto(f"/seller/days/{on}")
        page.wait_for_selector(".map[data-ready]")
        pins = page.locator(".map .map-mark.stop")
        assert pins.count() == 25
        page.locator("figure a[data-run='1']").click()
        expect(pins).to_have_count(8)  # one run looked at, closer
        assert page.locator(".map .map-way.run-b").count() > 0
        assert page.locator(".map .map-way.run-a").count() == 0
        pins.first.click()  # and its place, closer still
        page.wait_for_selector(".map img[src*='/roads/tiles/14/']", state="attached")


SMALL_TARGETS = """() => [...document.querySelectorAll('.week .grip, main .button')].filter((one) => {
  const {width, height} = one.getBoundingClientRect();
  return width < 44 || height < 44;
}).map((one) => one.outerHTML)"""


@pytest.fixture
def real_board(ten_orders: tuple[Order, ...]) -> None:
    """Seven drops of a real country on Friday, and three that wait for a day of the week."""
    User.objects.create_superuser("ruth", password="split-in-spring")
    Order.objects.filter(number__gt=307).update(last_on=THE_DAY + timedelta(days=4))
    plan_day(on=THE_DAY, at=NOON, who="ruth", order_numbers=range(301, 308), steps=200)


def test_a_real_country_is_read_at_every_width_in_light_and_dark(
    real_board: None, open_page: Callable[..., Page], axe: Callable[[Page], None], shot: Any
) -> None:
    for size, scheme in LOOKS:
        page = open_page(size=size, color_scheme=scheme)
        log_in(page, "ruth")
        walk_the_boards(page, THE_DAY, axe, lambda name: shot(page, f"real-{name}-{size['width']}-{scheme}"))  # noqa: B023
        assert page.locator(".week-drop").count() == 10

"""The moving map in the cab: today's way over tiles kept on the phone, with the next turn, without signal."""

import gzip
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.test_no_signal import cab, until

__all__ = ["cab"]  # a fixture, found by name

pytestmark = [pytest.mark.browser, pytest.mark.roads, pytest.mark.django_db(transaction=True)]

MOST_BYTES = 150_000  # over the air, all pages and scripts of the day's run, map tiles aside
KEPT_TILES = """async () => { let kept = 0;
  for (const name of await caches.keys())
    if (name.startsWith('tiles-')) kept += (await (await caches.open(name)).keys()).length;
  return kept; }"""
KEPT_TEXTS = """async () => { const found = {};
  for (const name of await caches.keys()) if (!name.startsWith('tiles-'))
    for (const one of await (await caches.open(name)).keys())
      found[one.url] = await (await caches.match(one)).text();
  return found; }"""
CREEK_YARD = {"latitude": 44.0463, "longitude": -150.0604}


def all_tiles(page: Page) -> int:
    paths = "JSON.parse(document.getElementById('kept-tiles').textContent).paths"
    return int(page.evaluate(f"() => {paths}.length"))


def test_it_follows_the_phone_and_says_the_next_turn_without_signal(cab: Page, axe: Any, shot: Any) -> None:
    wanted = all_tiles(cab)
    until(lambda: cab.evaluate(KEPT_TILES) == wanted, f"{wanted} tiles are kept")
    cab.context.grant_permissions(["geolocation"])
    cab.context.set_geolocation(CREEK_YARD)
    cab.context.set_offline(True)
    cab.reload()
    pane = cab.locator(".moving")
    expect(pane.locator("polyline.way").first).to_be_visible()
    pane.scroll_into_view_if_needed()
    drawn = "() => [...document.querySelectorAll('.moving img')].filter((one) => one.naturalWidth).length"
    until(lambda: cab.evaluate(drawn) > 0, "kept tiles are drawn")
    cab.locator("[data-turns] summary").filter(has_text="Pilar Ostrander").click()  # the list of turns too
    assert cab.locator("[data-turns]").filter(has_text="Pilar Ostrander").locator("li:visible").count() >= 2
    expect(cab.get_by_text("A navigation app does not know the posted bridges.")).to_be_visible()

    cab.get_by_role("button", name="Show where I am").click()
    expect(pane.locator(".here")).to_be_visible()
    box, dot = pane.bounding_box(), pane.locator(".here").bounding_box()
    assert box is not None
    assert dot is not None
    assert abs(box["x"] + box["width"] / 2 - dot["x"] - dot["width"] / 2) < 3
    expect(cab.locator(".next-turn")).to_contain_text("In ")
    shot(cab, "moving-map")
    axe(cab)
    cab.context.set_geolocation({"latitude": 44.03, "longitude": -150.3})
    expect(cab.locator(".next-turn")).to_contain_text("off the planned way")


HIDDEN_NAMES = """() => {
  const boxes = (kind) => [...document.querySelectorAll(`.moving ${kind}`)].map((one) => [one.textContent, one.getBoundingClientRect()]);
  const pins = boxes("circle.halt"), names = boxes("text.name");
  const meets = (one, other) => one.left < other.right && other.left < one.right && one.top < other.bottom && other.top < one.bottom;
  return {
    names: names.map(([text]) => text), small: [...document.querySelectorAll(".moving text")].filter((one) => parseFloat(getComputedStyle(one).fontSize) < 12).length,
    over: pins.filter(([, pin], place) => pins.slice(place + 1).some(([, other]) => meets(pin, other))).length,
    hidden: names.filter(([, box]) => pins.some(([, pin]) => meets(box, pin))).map(([text]) => text),
  };
}"""  # noqa: E501


def test_its_names_are_large_enough_and_no_name_or_pin_lies_under_a_pin(cab: Page) -> None:
    seen = cab.evaluate(HIDDEN_NAMES)

    assert {"Marrow Bridge", "Larch Prairie"} <= set(seen["names"])
    assert (seen["hidden"], seen["small"], seen["over"]) == ([], 0, 0)


def test_every_button_of_the_map_is_large_enough_and_keys_move_it(cab: Page) -> None:
    small = cab.evaluate(
        "() => [...document.querySelectorAll('[data-moving] button')].filter((one) => "
        "one.offsetWidth < 44 || one.offsetHeight < 44).map((one) => one.textContent)"
    )
    assert small == []
    pane, way = cab.locator(".moving"), cab.locator(".moving polyline.way").first
    before = way.get_attribute("points")
    pane.focus()
    pane.press("ArrowRight")
    moved = way.get_attribute("points")
    pane.press("+")

    assert before != moved != way.get_attribute("points")
    cab.get_by_role("button", name="Whole run").click()
    assert way.get_attribute("points") == before


def test_all_pages_and_scripts_of_the_run_are_light(cab: Page) -> None:
    until(lambda: "/driver/told" in str(cab.evaluate(KEPT_TEXTS).keys()), "the pages are kept")
    texts = cab.evaluate(KEPT_TEXTS)
    sizes = {url: len(gzip.compress(text.encode(), 6)) for url, text in texts.items()}

    assert any("here" in url for url in sizes)
    assert sum(sizes.values()) <= MOST_BYTES, sizes

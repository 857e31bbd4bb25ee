"""The map in a browser, under the site's own policy: a way is drawn, a pin is set by mouse and by keys."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page

from routing.core.road_engine import CAR
from routing.engines.valhalla import ValhallaEngine
from routing.maps.run_drawing import MapStop, RunLine
from routing.selectors.roads.road_maps import map_payload
from tests.browser.conftest import DESK
from tests.routing.roads.conftest import PLACES, engine, region_folder, roads_loaded

__all__ = ["engine", "region_folder", "roads_loaded"]  # fixtures, found by name

pytestmark = [pytest.mark.browser, pytest.mark.roads, pytest.mark.django_db(transaction=True)]

HEAD = (
    '<!doctype html><html lang="en"><head><title>Map</title>'
    '<link rel="icon" href="/static/firewood_site/icon.svg">'
    '<link rel="stylesheet" href="/static/firewood_site/site.css">'
    '<link rel="stylesheet" href="/static/firewood_site/vendor/leaflet/leaflet.css"></head><body>'
    "<main><h1>Map</h1>"
)
FOOT = (
    '</main><script src="/static/firewood_site/vendor/leaflet/leaflet.js"></script>'
    '<script src="/static/firewood_site/map.js"></script></body></html>'
)


def test_a_way_is_drawn_over_our_own_tiles(
    open_page: Callable[..., Page],
    axe: Callable[[Page], None],
    shot: Callable[..., None],
    roads_loaded: Any,
    engine: ValhallaEngine,
) -> None:
    stops = [
        MapStop(mark="1", name="Siding Yard", lat=44.0, lon=-150.0, is_yard=True),
        MapStop(mark="2", name="Marlow Finch", lat=PLACES["Marrow"].lat, lon=PLACES["Marrow"].lon),
    ]
    route = engine.route([PLACES["Siding"], PLACES["Marrow"]], CAR)
    line = RunLine(legs=(tuple((point.lat, point.lon) for point in route.line),))
    told = map_payload(stops=stops, lines=(line,))
    page = open_page("/roads/near", size=DESK)

    page.set_content(
        f'{HEAD}<div class="map" data-json="way" aria-label="Map of the way"></div>'
        f'<script type="application/json" id="way">{json.dumps(told)}</script>{FOOT}'
    )

    page.wait_for_selector(".map[data-ready]")
    page.wait_for_selector(".leaflet-tile-loaded")
    assert page.locator(".map-mark").all_inner_texts() == ["1", "2"]
    way = page.locator("path.map-way").bounding_box()
    assert way is not None
    assert way["width"] > 200
    assert "Invented map" in page.locator(".leaflet-control-attribution").inner_text()
    axe(page)
    shot(page, "map-way")


def test_a_pin_tells_where_it_is(
    open_page: Callable[..., Page], axe: Callable[[Page], None], shot: Callable[..., None], roads_loaded: Any
) -> None:
    page = open_page("/roads/near")
    page.set_content(
        f'{HEAD}<div class="map" data-pin="1" data-lat="a" data-lon="b" aria-label="Set a pin"></div>'
        f'<input type="hidden" id="a"><input type="hidden" id="b">{FOOT}'
    )
    page.wait_for_selector(".map[data-ready]")
    page.wait_for_selector(".leaflet-tile-loaded")
    box = page.locator(".map").bounding_box()
    assert box is not None

    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    by_mouse = (page.input_value("#a"), page.input_value("#b"))
    page.locator(".map").focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_timeout(600)
    page.locator(".map").press("Enter")
    by_keys = (page.input_value("#a"), page.input_value("#b"))

    assert float(by_mouse[0]) == pytest.approx(PLACES["Marrow"].lat, abs=0.01)
    assert float(by_mouse[1]) == pytest.approx(PLACES["Marrow"].lon, abs=0.01)
    assert float(by_keys[1]) > float(by_mouse[1])
    assert page.locator(".map-mark.pin").count() == 1
    axe(page)
    shot(page, "map-pin")

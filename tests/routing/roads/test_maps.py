"""Tiles, drawn routes, GPX and GeoJSON."""

import json
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as some

from inventory.core import local
from routing.core.road_engine import CAR
from routing.core.roads import Route
from routing.engines.straight_line import StraightLineEngine
from routing.engines.valhalla import ValhallaEngine
from routing.maps.geojson import runs_geojson
from routing.maps.gpx import NAMESPACE, route_gpx
from routing.maps.mercator import degrees, tile_edges, tile_of, units_per_mile, world, zoom_that_fits
from routing.maps.run_drawing import MapStop, RunLine, draw_runs, place_pins
from routing.maps.svgmap import STREETS_FROM, TILE, MapName, RoadLine, draw_tile
from routing.maps.vector_tiles import BadTile, read_tile
from routing.models import RoadExtract
from routing.selectors.roads.road_maps import map_opening, map_payload, runs_map, tile_svg
from tests.routing.roads.conftest import PLACES

SVG = "{http://www.w3.org/2000/svg}"
STOPS = (
    MapStop(mark="1", name="Siding Yard", lat=44.0, lon=-150.0, is_yard=True),
    MapStop(mark="2", name="Ruth & <Tam>", lat=44.0086, lon=-150.0603),
    MapStop(mark="3", name="Siding Yard", lat=44.0, lon=-150.0, is_yard=True),
)


def hand_tile() -> bytes:
    """One layer "edges" of extent 4096 with one line of road_class 2, written by hand."""
    geometry = bytes([9, 4, 4, 18, 0, 16, 16, 0])
    feature = bytes([0x12, 2, 0, 0, 0x18, 2, 0x22, len(geometry)]) + geometry
    key, value = b"road_class", bytes([0x28, 2])
    layer = (
        b"\x0a\x05edges"
        + bytes([0x12, len(feature)]) + feature
        + bytes([0x1A, len(key)]) + key
        + bytes([0x22, len(value)]) + value
        + bytes([0x28, 0x80, 0x20, 0x78, 2])
    )  # fmt: skip
    return bytes([0x1A, len(layer)]) + layer


def test_a_tile_is_read_as_the_specification_writes_it() -> None:
    """Line (2,2) (2,10) (10,10): worked example of the Mapbox Vector Tile Specification, section 4.3.5.3."""
    (layer,) = read_tile(hand_tile())

    assert (layer.name, layer.extent) == ("edges", 4096)
    assert layer.features[0].tags == {"road_class": 2}
    assert layer.features[0].lines == (((2, 2), (2, 10), (10, 10)),)


def test_no_bytes_are_an_empty_tile() -> None:
    assert read_tile(b"") == ()


@pytest.mark.parametrize("cut", [3, 9, 20, 30])
def test_a_tile_that_breaks_off_is_refused(cut: int) -> None:
    with pytest.raises(BadTile, match="cannot be read"):
        read_tile(hand_tile()[:cut])


@given(some.binary(max_size=60))
def test_any_bytes_are_read_or_refused(raw: bytes) -> None:
    try:
        layers = read_tile(raw)
    except BadTile:
        return
    assert all(layer.extent >= 0 for layer in layers)


@given(lat=some.floats(-84, 84), lon=some.floats(-179.9, 179.9), z=some.integers(0, 18))
def test_the_map_and_back_is_the_same_spot(lat: float, lon: float, z: int) -> None:
    assert degrees(*world(lat, lon, z), z) == pytest.approx((lat, lon), abs=1e-6)
    west, south, east, north = tile_edges(z, *tile_of(lat, lon, z))
    assert west - 1e-9 <= lon <= east + 1e-9
    assert south - 1e-9 <= lat <= north + 1e-9


def test_tile_numbers_agree_with_the_published_scheme() -> None:
    """Tile 10/511/340 holds Greenwich (51.4779 N, 0.0015 W), by the OpenStreetMap wiki's formula."""
    assert tile_of(51.4779, -0.0015, 10) == (511, 340)
    assert tile_of(0.0, 0.0, 1) == (1, 1)


def test_a_mile_on_the_map_grows_with_latitude() -> None:
    """156,543.03 m a pixel at zoom 0 on the equator (web Mercator), halved by each zoom and by 60 N."""
    assert units_per_mile(0, 0) == pytest.approx(1609.344 / 156543.03, rel=1e-5)
    assert units_per_mile(60, 3) == pytest.approx(16 * units_per_mile(0, 0), rel=1e-6)


def test_a_spot_alone_is_not_zoomed_in_without_end() -> None:
    assert zoom_that_fits(((44.0, -150.0),), 700, 500) == 16


def test_a_drawn_tile_has_roads_and_names() -> None:
    name = MapName(name="Dry & Fork", lat=84.99, lon=-179.9)

    drawn = ElementTree.fromstring(draw_tile(read_tile(hand_tile()), z=0, x=0, y=0, names=(name,)))

    assert [path.get("class") for path in drawn.iter(f"{SVG}path")] == ["casing", "main"]
    assert [text.text for text in drawn.iter(f"{SVG}text")] == ["Dry & Fork"]
    assert "prefers-color-scheme:dark" in "".join(style.text or "" for style in drawn.iter(f"{SVG}style"))


def test_a_deeper_tile_is_a_part_of_its_parent() -> None:
    """The line lies in the north-west corner: two zooms deeper it is in the first tile and in no other."""
    layers = read_tile(hand_tile())

    inside = draw_tile(layers, z=16, x=0, y=0, parent_zoom=14)
    outside = draw_tile(layers, z=16, x=3, y=3, parent_zoom=14)

    assert "<path" in inside
    assert "<path" not in outside


def line_of(route: Route, run: int = 0) -> RunLine:
    legs = (tuple((point.lat, point.lon) for point in route.line),)
    return RunLine(legs=legs, run=run, is_estimate=route.estimated)


def test_runs_are_told_apart_by_dash_and_stop_not_by_color_alone() -> None:
    there, back = ((44.0, -150.0), (44.1, -150.1)), ((44.1, -150.1), (44.0, -150.0))
    stops = [MapStop(mark=f"{n}", name=f"{n}", lat=44.1 + n / 50, lon=-150.1, run=n) for n in range(3)]

    drawn = draw_runs(roads=(), lines=[RunLine(legs=(there, back), run=n) for n in range(3)], stops=stops)
    ways = [
        group for group in ElementTree.fromstring(drawn).iter(f"{SVG}g") if "way" in group.get("class", "")
    ]
    lines = [next(path for path in way if path.get("class") == "line") for way in ways]

    assert [line.get("stroke-dasharray") for line in lines] == [None, "9 5", "2 6"]
    assert all(sum(path.get("class") == "arrow" for path in way) >= 2 for way in ways)
    assert lines[0].get("d").count("M") == 2
    corners = [rect.get("rx") for rect in ElementTree.fromstring(drawn).iter(f"{SVG}rect") if rect.get("rx")]
    assert len(set(corners)) == 2


@given(some.lists(some.tuples(some.floats(40, 320), some.floats(40, 300)), min_size=1, max_size=14))
def test_no_pin_covers_another(spots: list[tuple[float, float]]) -> None:
    stops = [(x, y, MapStop(mark=f"{n}", name="", lat=0, lon=0)) for n, (x, y) in enumerate(spots)]

    pins, _ = place_pins(stops, 358, 380)

    for n, (x, y, _, _) in enumerate(pins):
        assert all(abs(x - ox) >= 26 or abs(y - oy) >= 26 for ox, oy, _, _ in pins[n + 1 :])


def test_a_name_stands_below_its_place_where_a_pin_is_set() -> None:
    """The name of a yard lay under the pin that was set on it."""
    yard = MapName(name="Creek Yard", lat=44.0463, lon=-150.0604, rank=6)
    z = STREETS_FROM
    east, south = world(yard.lat, yard.lon, z)

    drawn = draw_tile((), z=z, x=int(east // TILE), y=int(south // TILE), names=(yard,))

    (name,) = (one for one in ElementTree.fromstring(drawn).iter(f"{SVG}text") if one.text == yard.name)
    assert float(name.get("y", 0)) - 12 > south % TILE


def test_a_drawn_route_says_what_it_shows() -> None:
    way = Route(line=(PLACES["Siding"], PLACES["Marrow"]), legs=())
    road = RoadLine(level=3, spots=((44.0, -150.0), (44.0086, -150.0603)))

    drawn = draw_runs(
        roads=(road,),
        lines=(RunLine(legs=(tuple((point.lat, point.lon) for point in way.line),)),),
        stops=STOPS,
        names=(MapName(name="Marrow Bridge", lat=44.0086, lon=-150.0603),),
        credit="© someone",
    )
    tree = ElementTree.fromstring(drawn)

    assert tree.get("role") == "img"
    assert tree.get("aria-label") == "Map of the way: 1 Siding Yard, 2 Ruth & <Tam>, 3 Siding Yard."
    texts = [text.text for text in tree.iter(f"{SVG}text")]
    assert {"1", "2", "3"} <= set(texts)
    assert 'class="arrow"' in drawn
    assert "© someone" in texts
    assert any((text or "").endswith(("mile", "miles")) for text in texts)
    assert "style=" not in drawn


def test_an_estimated_way_is_dashed() -> None:
    line = ((44.0, -150.0), (44.1, -150.1))

    assert "stroke-dasharray" in draw_runs(
        roads=(), lines=(RunLine(legs=(line,), is_estimate=True),), stops=()
    )
    assert "stroke-dasharray" not in draw_runs(roads=(), lines=(RunLine(legs=(line,)),), stops=())


def test_a_map_of_nothing_is_still_a_drawing() -> None:
    assert ElementTree.fromstring(draw_runs(roads=(), lines=(), stops=())).get("aria-label")


def test_geojson_puts_longitude_first() -> None:
    route = StraightLineEngine().route([PLACES["Siding"], PLACES["Marrow"]], CAR)

    told = json.loads(json.dumps(runs_geojson(lines=(line_of(route),), stops=STOPS)))

    way, *stops = told["features"]
    assert way["geometry"]["type"] == "LineString"
    assert way["geometry"]["coordinates"][0] == [-150.0, 44.0]
    assert way["properties"]["estimated"] is True
    assert stops[0]["geometry"]["coordinates"] == [-150.0, 44.0]
    assert [stop["properties"]["mark"] for stop in stops] == ["1", "2", "3"]


def test_gpx_holds_waypoints_route_and_track_in_the_order_of_the_schema() -> None:
    route = StraightLineEngine().route([PLACES["Siding"], PLACES["Marrow"]], CAR)

    raw = route_gpx(name="Friday", route=route, stops=STOPS)
    root = ElementTree.fromstring(raw)

    assert root.get("version") == "1.1"
    assert [child.tag.removeprefix(f"{{{NAMESPACE}}}") for child in root] == [
        "metadata", "wpt", "wpt", "wpt", "rte", "trk",
    ]  # fmt: skip
    assert root[1].get("lat") == "44.000000"
    assert root[2][0].text == "2 Ruth & <Tam>"
    assert len(root.findall(f".//{{{NAMESPACE}}}trkpt")) == 2


@pytest.mark.roads
def test_the_loaded_roads_make_tiles_and_keep_them(
    roads_loaded: RoadExtract, monkeypatch: pytest.MonkeyPatch
) -> None:
    z = 12
    x, y = tile_of(44.0086, -150.0603, z)
    drawn = tile_svg(z, x, y)
    assert drawn is not None
    assert "Marrow Bridge" in drawn
    assert drawn.count("<path") >= 4

    monkeypatch.setattr(ValhallaEngine, "tile", lambda *_: pytest.fail("asked twice"))

    assert tile_svg(z, x, y) == drawn


@pytest.mark.roads
def test_streets_are_named_from_near(roads_loaded: RoadExtract) -> None:
    names = ""
    for dx in (-1, 0, 1):
        x, y = tile_of(44.0086, -150.0603, 16)
        names += tile_svg(16, x + dx, y) or ""

    assert "Mill Street" in names
    assert "Marrow Bridge" not in names


@pytest.mark.roads
@pytest.mark.parametrize(("z", "x", "y"), [(5, 0, 0), (19, 0, 0), (8, 256, 0), (8, 0, 256), (8, -1, 0)])
def test_there_is_no_tile_off_the_map(roads_loaded: RoadExtract, z: int, x: int, y: int) -> None:
    assert tile_svg(z, x, y) is None


@pytest.mark.roads
def test_a_tile_of_the_sea_is_empty_paper(roads_loaded: RoadExtract) -> None:
    drawn = tile_svg(10, 5, 5)

    assert drawn is not None
    assert "<path" not in drawn


@pytest.mark.roads
def test_a_route_is_drawn_over_the_loaded_roads(roads_loaded: RoadExtract, engine: ValhallaEngine) -> None:
    route = engine.route([PLACES["Siding"], PLACES["Marrow"]], CAR)

    drawn = runs_map(stops=STOPS, lines=(line_of(route),))

    assert "Invented map" in drawn
    assert 'class="way run-a"' in drawn
    assert drawn.count('class="casing"') >= 2
    assert len(drawn) < 60_000
    assert runs_map(stops=STOPS, lines=(line_of(route),)) == drawn


@pytest.mark.django_db
def test_without_roads_a_route_is_still_drawn() -> None:
    route = StraightLineEngine().route([PLACES["Siding"], PLACES["Marrow"]], CAR)

    drawn = runs_map(stops=STOPS, lines=(line_of(route),))

    assert "stroke-dasharray" in drawn
    assert 'class="casing"' not in drawn
    assert map_opening()["bounds"] is None


@pytest.mark.roads
def test_a_map_opens_on_the_largest_town(roads_loaded: RoadExtract) -> None:
    told = map_payload(stops=STOPS)

    assert told["bounds"] == [[43.37, -151.26], [44.12, -149.81]]
    assert told["center"] is not None
    assert len(told["features"]["features"]) == 3


def test_a_drawing_counts_km_where_the_place_does():
    spots = {"Vaduz": (47.14, 9.52), "Balzers": (47.06, 9.5)}
    stops = [MapStop(mark=name[0], name=name, lat=lat, lon=lon) for name, (lat, lon) in spots.items()]
    in_miles = draw_runs(roads=(), lines=(), stops=stops)
    local.remember(local.Local(is_metric=True))
    in_km = draw_runs(roads=(), lines=(), stops=stops)

    assert " mile" in in_miles
    assert " km" in in_km
    assert " mile" not in in_km

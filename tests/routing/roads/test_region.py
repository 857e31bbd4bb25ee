"""The invented region keeps to the demo's road table: the engine answers it within 2 %."""

from functools import partial
from pathlib import Path

import osmium
import pytest

from fixtures.roads.make_region import make_region, write_region
from fixtures.roads.winding import lat_lon
from inventory.core.units import METERS_PER_MILE
from routing.core.road_engine import rig_profile
from routing.core.roads import Point, Route
from routing.engines.street_index import StreetIndex
from routing.engines.valhalla import ValhallaEngine
from tests.routing.roads.conftest import EMPTY, HEAVY_LOADED, LIGHT_LOADED, PLACES, REGION, RIGS, place

WITHIN = 0.02

ROAD_TABLE = (  # from, to, miles, minutes; empty times equal loaded ones except over the pass
    ("Upper", "Creek", 6.4, 17),
    ("Upper", "Siding", 11.2, 24),
    ("Creek", "Siding", 5.1, 10),
    ("Siding", "Marrow", 3.8, 8),
    ("Siding", "Larch", 19.5, 29),
    ("Marrow", "Larch", 17.0, 25),
    ("Siding", "Fennick", 14.0, 27),
)
HOPS = (  # second drop in town: as far from Siding as the first
    ("Marrow", "7 Smithy Row, Marrow Bridge", 2.0, 5, 3.8, 8),
    ("Larch", "25 Station Street, Larch Prairie", 3.0, 7, 19.5, 29),
    ("Sandhook", "3 Beacon Lane, Sandhook", 2.5, 7, 73.0, 105),
)

pytestmark = pytest.mark.roads


@pytest.fixture(scope="module")
def streets(region_folder: Path) -> StreetIndex:
    return StreetIndex(region_folder / "region" / "streets.sqlite3")


def house(streets: StreetIndex, address: str) -> Point:
    found = streets.search(address, limit=1)[0]
    assert found.exact, address
    return Point(lat=found.lat, lon=found.lon)


def measured(route: Route) -> tuple[float, float]:
    return route.meters / METERS_PER_MILE, route.seconds / 60


@pytest.mark.parametrize("rig", ["light", "heavy", "empty"])
@pytest.mark.parametrize(("start", "end", "miles", "minutes"), ROAD_TABLE)
def test_the_engine_answers_the_road_table(
    engine: ValhallaEngine, rig: str, start: str, end: str, miles: float, minutes: float
) -> None:
    for way in ((start, end), (end, start)):
        found = measured(engine.route([PLACES[name] for name in way], RIGS[rig]))

        assert found == (pytest.approx(miles, rel=WITHIN), pytest.approx(minutes, rel=WITHIN)), way


def test_the_pass_is_slower_loaded(engine: ValhallaEngine) -> None:
    over = [PLACES["Siding"], PLACES["Sandhook"]]

    assert measured(engine.route(over, HEAVY_LOADED)) == pytest.approx((73.0, 112.0), rel=WITHIN)
    assert measured(engine.route(over, EMPTY)) == pytest.approx((73.0, 105.0), rel=WITHIN)


def test_the_long_way_round_goes_by_larch_prairie(engine: ValhallaEngine) -> None:
    halfway = place(lat_lon(make_region().lines["South Coast Road"][200]))
    around = [PLACES["Siding"], PLACES["Larch"], halfway, PLACES["Sandhook"]]

    assert measured(engine.route(around, HEAVY_LOADED)) == pytest.approx((118.0, 155.0), rel=WITHIN)


@pytest.mark.parametrize("rig", ["light", "empty"])
def test_a_light_rig_drives_over_the_old_mill_bridge(engine: ValhallaEngine, rig: str) -> None:
    route = engine.route([PLACES["Creek"], PLACES["Marrow"]], RIGS[rig])

    assert measured(route) == pytest.approx((3.0, 7.0), rel=WITHIN)


def test_a_full_cord_goes_round_the_bridge_by_siding(engine: ValhallaEngine) -> None:
    ends = [PLACES["Creek"], PLACES["Marrow"]]

    route = engine.route(ends, HEAVY_LOADED)
    leg = engine.matrix(ends, ends, HEAVY_LOADED).leg(0, 1)

    assert measured(route) == pytest.approx((5.1 + 3.8, 10 + 8), rel=WITHIN)
    assert leg is not None
    assert leg.meters == pytest.approx(route.meters, rel=0.001)


def test_twelve_thousand_pounds_may_just_pass_the_bridge(engine: ValhallaEngine) -> None:
    ends = [PLACES["Creek"], PLACES["Marrow"]]
    posted = engine.route(ends, rig_profile(weight_lb=12000, is_loaded=True))
    one_step_more = engine.route(ends, rig_profile(weight_lb=12250, is_loaded=True))

    assert posted.meters < 5000 < one_step_more.meters


def test_a_pickup_alone_keeps_the_posted_bridge_too(engine: ValhallaEngine) -> None:
    ends = [PLACES["Creek"], PLACES["Marrow"]]
    pickup = partial(rig_profile, has_trailer=False, length_ft=20, height_ft=7.5, is_loaded=True)

    posted = engine.matrix(ends, ends, pickup(weight_lb=12000)).leg(0, 1)
    one_step_more = engine.matrix(ends, ends, pickup(weight_lb=12250)).leg(0, 1)

    assert posted is not None
    assert one_step_more is not None
    assert posted.meters < 5000 < one_step_more.meters
    assert engine.route(ends, pickup(weight_lb=12250)).meters > 5000


@pytest.mark.parametrize(("town", "address", "miles", "minutes", "from_siding", "from_siding_minutes"), HOPS)
def test_hops_in_town(
    engine: ValhallaEngine,
    streets: StreetIndex,
    town: str,
    address: str,
    miles: float,
    minutes: float,
    from_siding: float,
    from_siding_minutes: float,
) -> None:
    second = house(streets, address)

    hop = measured(engine.route([PLACES[town], second], EMPTY))
    out = measured(engine.route([PLACES["Siding"], second], EMPTY))

    assert hop == pytest.approx((miles, minutes), rel=WITHIN)
    assert out == pytest.approx((from_siding, from_siding_minutes), rel=WITHIN)


def test_first_drops_stand_by_the_middle_of_town(engine: ValhallaEngine, streets: StreetIndex) -> None:
    for address, miles in (("12 Mill Street", 3.8), ("31 Ferry Lane", 3.8), ("8 Orchard Road", 19.5)):
        found, _ = measured(engine.route([PLACES["Siding"], house(streets, address)], LIGHT_LOADED))

        assert found == pytest.approx(miles, rel=WITHIN), address


def test_the_last_five_miles_to_fennick_are_gravel() -> None:
    meters = 0.0
    for way in osmium.FileProcessor(str(REGION)).with_locations():
        if way.is_way() and way.tags.get("name") == "Fennick Road" and way.tags.get("surface") == "gravel":
            meters += osmium.geom.haversine_distance(way.nodes)

    assert meters / METERS_PER_MILE == pytest.approx(5.0, rel=WITHIN)


def test_the_committed_extract_is_what_the_generator_draws(tmp_path: Path) -> None:
    again = tmp_path / "again.osm.pbf"

    write_region(make_region(), again)

    assert _content(again) == _content(REGION)


def _content(pbf: Path) -> list[tuple[object, ...]]:
    told: list[tuple[object, ...]] = []
    for thing in osmium.FileProcessor(str(pbf)):
        tags = tuple(sorted((tag.k, tag.v) for tag in thing.tags))
        if thing.is_node():
            told.append(("n", thing.id, thing.location.x, thing.location.y, tags))
        else:
            told.append(("w", thing.id, tuple(node.ref for node in thing.nodes), tags))
    return told

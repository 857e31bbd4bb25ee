"""Points, legs, rigs and polylines."""

from functools import reduce

import pytest
from hypothesis import given
from hypothesis import strategies as some

from inventory.core.units import METERS_PER_MILE
from routing.core.road_engine import CAR, BadRigProfile, RigProfile, RigRoads, rig_profile, rig_roads
from routing.core.roads import BadPoint, Leg, Point, meters_between
from routing.engines.straight_line import estimated_leg
from routing.maps.polyline import decode_polyline, encode_polyline

LATS, LONS = some.floats(-90, 90), some.floats(-180, 180)


def test_a_point_is_kept_to_a_millionth_of_a_degree() -> None:
    point = Point(lat=44.12345678, lon=-150.00000049)

    assert (point.lat_e6, point.lon_e6) == (44123457, -150000000)
    assert Point.from_e6(44123457, -150000000) == point


@pytest.mark.parametrize(("lat", "lon"), [(91, 0), (0, 181), (float("nan"), 0), (0, float("inf"))])
def test_a_point_off_the_globe_is_refused(lat: float, lon: float) -> None:
    with pytest.raises(BadPoint, match="no place on earth"):
        Point(lat=lat, lon=lon)


def test_minutes_are_rounded_up() -> None:
    assert Leg(meters=10, seconds=61).minutes == 2
    assert Leg(meters=1609, seconds=60).minutes == 1


def test_a_loaded_trailer_is_slower_than_an_empty_one() -> None:
    loaded = rig_profile(weight_lb=12000, is_loaded=True, top_speed_mph=55)
    empty = rig_profile(weight_lb=8500, top_speed_mph=55)
    slow = rig_profile(weight_lb=12000, is_loaded=True, top_speed_mph=40)

    assert (loaded.top_speed_mph, empty.top_speed_mph, slow.top_speed_mph) == (47, 55, 40)


def roads_of(*posted_lb: int) -> RigRoads:
    return rig_roads(
        empty_lb=8500, payload_lb=5100, posted_lb=posted_lb, length_ft=37, height_ft=7.5, has_trailer=True,
        top_speed_mph=55, mile_seconds=(108, 94),
    )  # fmt: skip


def test_a_rig_has_roads_of_its_own_for_each_posted_limit_its_load_can_cross() -> None:
    roads = roads_of(12_000, 20_000, 8_000)

    assert [(over_lb, profile.weight_lb) for over_lb, profile in roads.loaded] == [
        (0, 12_000),
        (3_500, 13_600),
    ]
    assert roads.empty.weight_lb == 8_500


def test_the_wood_aboard_chooses_the_road() -> None:
    roads = roads_of(12_000)

    assert roads.aboard(0) == roads.empty
    assert roads.aboard(1).weight_lb == roads.aboard(3_500).weight_lb == 12_000
    assert roads.aboard(3_501).weight_lb == roads.aboard(9_999).weight_lb == 13_600


def test_where_nothing_is_posted_one_table_serves_all_loads() -> None:
    assert len(roads_of().loaded) == 1


@given(
    some.lists(some.tuples(some.integers(0, 90_000), some.integers(0, 9_000)), min_size=2, max_size=6),
    some.integers(0, 400),
)
def test_the_way_taken_is_the_cheapest_offered(ways: list[tuple[int, int]], mile_seconds: int) -> None:
    rig = RigProfile(mile_seconds=mile_seconds)
    legs = [Leg(meters=meters, seconds=seconds) for meters, seconds in ways]

    taken = reduce(rig.cheaper, legs)

    assert taken is not None
    costs = [leg.seconds + leg.meters * mile_seconds / METERS_PER_MILE for leg in legs]
    assert taken.seconds + taken.meters * mile_seconds / METERS_PER_MILE == min(costs)


def test_a_way_is_better_than_none() -> None:
    leg = Leg(meters=1, seconds=1)

    assert CAR.cheaper(None, leg) == CAR.cheaper(leg, None) == leg
    assert CAR.cheaper(None, None) is None


@pytest.mark.parametrize(("field", "value"), [("weight_lb", -1), ("height_ft", -0.1), ("top_speed_mph", 5)])
def test_an_impossible_rig_is_refused(field: str, value: float) -> None:
    with pytest.raises(BadRigProfile, match="mend its figures"):
        RigProfile(**{field: value})


def test_a_degree_of_latitude_is_about_sixty_nine_miles() -> None:
    """69.093 miles on a sphere of 6,371,009 m: pi / 180 x radius."""
    meters = meters_between(Point(lat=44, lon=-150), Point(lat=45, lon=-150))

    assert meters / 1609.344 == pytest.approx(69.093, abs=0.002)


def test_without_roads_a_drive_is_the_straight_line_and_a_third_more() -> None:
    """A degree is 69.09 miles; 69.09 x 1.3 = 89.8 miles, at 35 miles an hour 154 minutes."""
    leg = estimated_leg(Point(lat=44, lon=-150), Point(lat=45, lon=-150))

    assert (round(leg.miles, 1), leg.minutes) == (89.8, 154)


@given(LATS, LONS, LATS, LONS)
def test_an_estimate_is_the_same_both_ways(lat: float, lon: float, to_lat: float, to_lon: float) -> None:
    here, there = Point(lat=lat, lon=lon), Point(lat=to_lat, lon=to_lon)

    assert abs(estimated_leg(here, there).meters - estimated_leg(there, here).meters) <= 1
    assert 0 <= estimated_leg(here, there).miles <= 16_200  # half the way round, times the detour


def test_a_polyline_reads_as_printed_by_its_maker() -> None:
    """Worked example of the encoded polyline format, scaled to six digits by its own steps."""
    assert decode_polyline("_izlhA~rlgdF_{geC~ywl@_kwzCn`{nI") == (
        (38.5, -120.2),
        (40.7, -120.95),
        (43.252, -126.453),
    )


@given(some.lists(some.tuples(LATS, LONS), max_size=20))
def test_a_line_survives_being_written(places: list[tuple[float, float]]) -> None:
    rounded = tuple((round(lat, 6), round(lon, 6)) for lat, lon in places)

    assert decode_polyline(encode_polyline(rounded)) == rounded

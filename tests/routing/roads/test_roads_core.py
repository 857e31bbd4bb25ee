"""Points, legs, rigs and polylines."""

import pytest
from hypothesis import given
from hypothesis import strategies as some

from routing.core.polyline import decode_polyline, encode_polyline
from routing.core.roads import (
    CAR,
    BadPoint,
    BadRigProfile,
    Leg,
    Point,
    RigProfile,
    great_circle_meters,
    rig_profile,
)

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


def test_a_pickup_alone_drives_as_a_car_that_knows_its_weight() -> None:
    loaded = rig_profile(weight_lb=6600, has_trailer=False, is_loaded=True)

    assert (loaded.kind, loaded.weight_lb, loaded.top_speed_mph) == ("auto", 6750, CAR.top_speed_mph)
    assert loaded.key != CAR.key


def test_a_loaded_trailer_is_slower_than_an_empty_one() -> None:
    loaded = rig_profile(weight_lb=12000, is_loaded=True, top_speed_mph=55)
    empty = rig_profile(weight_lb=8500, top_speed_mph=55)
    slow = rig_profile(weight_lb=12000, is_loaded=True, top_speed_mph=40)

    assert (loaded.top_speed_mph, empty.top_speed_mph, slow.top_speed_mph) == (47, 55, 40)


def test_weights_are_rounded_up_so_that_no_bridge_is_overloaded() -> None:
    assert rig_profile(weight_lb=11751).weight_lb == 12000
    assert rig_profile(weight_lb=12000).weight_lb == 12000
    assert rig_profile(weight_lb=12001).weight_lb == 12250
    assert rig_profile(weight_lb=12001, weight_step_lb=1).weight_lb == 12001


def test_profiles_that_drive_alike_share_a_key() -> None:
    assert rig_profile(weight_lb=9084).key == rig_profile(weight_lb=9250).key
    assert rig_profile(weight_lb=9084).key != rig_profile(weight_lb=9084, is_loaded=True).key


@pytest.mark.parametrize(("field", "value"), [("weight_lb", -1), ("height_ft", -0.1), ("top_speed_mph", 5)])
def test_an_impossible_rig_is_refused(field: str, value: float) -> None:
    with pytest.raises(BadRigProfile, match="mend its figures"):
        RigProfile(**{field: value})


def test_a_degree_of_latitude_is_about_sixty_nine_miles() -> None:
    """69.093 miles on a sphere of 6,371,009 m: pi / 180 x radius."""
    meters = great_circle_meters(Point(lat=44, lon=-150), Point(lat=45, lon=-150))

    assert meters / 1609.344 == pytest.approx(69.093, abs=0.002)


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

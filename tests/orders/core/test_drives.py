"""Drives: guessed when no roads are loaded, and measured from where the wood lies."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core.drives import BadDrive, Drive, NoDrive, estimated_drive, nearest_drive

LATS = st.floats(min_value=-80, max_value=80)
LONS = st.floats(min_value=-179, max_value=179)


def drive_of(yard: str, miles: str) -> Drive:
    return Drive(miles=Decimal(miles), minutes=10, from_yard=yard)


def test_one_degree_of_latitude_is_69_miles_and_a_third_more_by_road():
    """One degree of a great circle of 3,958.8 miles radius is 69.09 miles (radius x pi / 180)."""
    drive = estimated_drive(from_lat=44.0, from_lon=-150.0, to_lat=45.0, to_lon=-150.0, from_yard="Siding")

    assert drive.miles == Decimal("89.8")  # 69.094 x 1.3 = 89.82
    assert drive.minutes == 154  # 89.82 / 35 x 60
    assert drive.estimated


@given(lat=LATS, lon=LONS, other_lat=LATS, other_lon=LONS)
def test_a_guess_is_the_same_both_ways(lat, lon, other_lat, other_lon):
    there = estimated_drive(from_lat=lat, from_lon=lon, to_lat=other_lat, to_lon=other_lon, from_yard="a")
    back = estimated_drive(from_lat=other_lat, from_lon=other_lon, to_lat=lat, to_lon=lon, from_yard="a")

    assert abs(there.miles - back.miles) <= Decimal("0.1")
    assert 0 <= there.miles <= Decimal("16200")  # half the way round, times the detour


def test_a_spot_off_the_globe_is_refused():
    with pytest.raises(BadDrive, match="latitude of 91"):
        estimated_drive(from_lat=91, from_lon=0, to_lat=0, to_lon=0, from_yard="Siding")


@pytest.mark.parametrize("miles", ["-1", "NaN", "Infinity"])
def test_miles_that_cannot_be_are_refused(miles):
    with pytest.raises(BadDrive, match="miles of"):
        drive_of("Siding", miles)


def test_minutes_below_nothing_are_refused():
    with pytest.raises(BadDrive, match="minutes of -5"):
        Drive(miles=Decimal(1), minutes=-5, from_yard="Siding")


def test_the_drive_counts_from_the_yard_that_holds_the_wood():
    """Fennick is 14.0 miles from Siding, but the madrone lies at Creek, 19.1 away."""
    drives = [drive_of("Siding", "14.0"), drive_of("Creek", "19.1"), drive_of("Upper", "25.2")]

    assert nearest_drive(drives, holding={"Creek", "Upper"}).miles == Decimal("19.1")


def test_no_drive_from_the_wood_is_refused_naming_its_yards():
    with pytest.raises(NoDrive, match=r"\(Creek, Upper\)"):
        nearest_drive([drive_of("Siding", "14.0")], holding=["Upper", "Creek"])

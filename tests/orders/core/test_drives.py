"""What a drive cannot be."""

from decimal import Decimal

import pytest

from orders.core.drives import BadDrive, Drive


def drive_of(yard: str, miles: str) -> Drive:
    return Drive(miles=Decimal(miles), minutes=10, from_yard=yard)


@pytest.mark.parametrize("miles", ["-1", "NaN", "Infinity"])
def test_miles_that_cannot_be_are_refused(miles):
    with pytest.raises(BadDrive, match="miles of"):
        drive_of("Siding", miles)


def test_minutes_below_nothing_are_refused():
    with pytest.raises(BadDrive, match="minutes of -5"):
        Drive(miles=Decimal(1), minutes=-5, from_yard="Siding")

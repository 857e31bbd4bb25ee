"""Time worked, as people say it."""

from decimal import Decimal

import pytest

from inventory.core.hours import NotHours, parse_hours


@pytest.mark.parametrize(
    ("said", "low", "likely", "high"),
    [
        ("a morning", "3", "4", "5"),
        ("Half a day", "3", "4", "5"),
        ("an hour", "0.75", "1", "1.5"),
        ("2 to 3 h", "2", "2.5", "3"),
        ("2-3", "2", "2.5", "3"),
        ("between 2 and 4 hours", "2", "3", "4"),
        ("30 to 45 min", "0.5", "0.63", "0.75"),
        ("2", "1.70", "2", "2.60"),
        ("about 2 h", "1.70", "2", "2.60"),
        ("1 h 30 min", "1.28", "1.5", "1.95"),
        ("1 1/2", "1.28", "1.5", "1.95"),
        ("2½ h", "2.13", "2.5", "3.25"),
        ("1,5", "1.28", "1.5", "1.95"),
    ],
)
def test_hours_are_read_as_they_are_said(said, low, likely, high):
    found = parse_hours(said)

    assert (found.low, found.likely, found.high) == (Decimal(low), Decimal(likely), Decimal(high))


@pytest.mark.parametrize("said", ["", "a while", "3 to 2", "-1", "0", "900", "1/0 h", "two cords"])
def test_what_is_no_time_is_refused_with_what_to_write(said):
    with pytest.raises(NotHours, match="write hours, such as 3, 2 to 3"):
        parse_hours(said)


def test_hours_of_several_steps_are_shared_and_less_sure():
    part = parse_hours("a morning").shared(2)

    assert (part.low, part.likely, part.high) == (Decimal("0.75"), Decimal(2), Decimal("3.75"))

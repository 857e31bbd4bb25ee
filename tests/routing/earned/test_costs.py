"""The cost of a load, part by part."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from inventory.core.money import dollars
from routing.earned.costs import (
    BadCost,
    DropWork,
    NoRates,
    RunningRates,
    Stretch,
    exact_road_dollars,
    hand_minutes,
    minutes_rule,
    rates_on,
)
from tests.routing.earned.demo import RATES


def road_dollars(**trip) -> Decimal:
    return dollars(exact_road_dollars(**trip))


def test_the_coast_and_back_costs_what_the_example_says():
    """Worked example 4, first row."""
    assert road_dollars(loaded_miles=Fraction(73), empty_miles=Fraction(73), rates=RATES) == Decimal("102.20")


def test_the_day_of_example_eleven_costs_what_it_says():
    """Worked example 11: 29.7 miles loaded, 40.9 empty."""
    assert road_dollars(loaded_miles=Fraction("29.7"), empty_miles=Fraction("40.9"), rates=RATES) == Decimal(
        "48.86"
    )


def test_hire_and_fixed_cost_join_the_road():
    assert road_dollars(
        loaded_miles=Fraction(10),
        empty_miles=Fraction(0),
        rates=RATES,
        hire=Decimal(95),
        fixed=Decimal("2.50"),
    ) == Decimal("105.00")


def test_stacking_comes_on_top_of_throwing_off():
    minutes = hand_minutes(DropWork(order="B", cords=Fraction(2, 3), is_stacked=True), minutes_rule())

    assert (minutes.loading, minutes.halt, minutes.throwing_off, minutes.stacking) == (24, 10, 20, 50)


def test_the_newest_rate_that_has_started_holds():
    dearer = RunningRates(from_on=date(2026, 6, 1), loaded_mile=Decimal("0.80"), empty_mile=Decimal("0.70"))

    assert rates_on((dearer, RATES), date(2026, 5, 31)) == RATES
    assert rates_on((dearer, RATES), date(2026, 6, 1)) == dearer


def test_a_day_before_any_rate_is_refused_with_the_first_date():
    with pytest.raises(NoRates, match="Oct 1, 2025"):
        rates_on((RATES,), date(2025, 9, 30))


def test_miles_below_zero_are_refused():
    with pytest.raises(BadCost, match="miles"):
        Stretch.of("-1", 2)


def test_an_engine_mile_is_1609_meters():
    stretch = Stretch.measured(meters=16_093_440, seconds=90)

    assert stretch.miles == 10_000
    assert stretch.minutes == Fraction(3, 2)

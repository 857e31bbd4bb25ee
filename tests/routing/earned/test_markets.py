"""Worked example 4, the far market, to the cent."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from routing.earned.costs import Stretch, minutes_rule
from routing.earned.markets import (
    BadTrip,
    MarketTrip,
    break_even_cords,
    break_even_miles,
    haul_or_not,
    kept_instead,
    side_of,
)

RULE = minutes_rule()
TARGET = Decimal(25)
COAST_HOP, TOWN_HOP = Stretch.of("2.5", 7), Stretch.of("2.0", 5)


def coast(revenue, *, cords=1, drops=1, hire=0, loaded="0.75", empty="0.65"):
    return MarketTrip(
        revenue=Decimal(revenue),
        cords=Fraction(cords),
        out=Stretch.of(73, 112),
        back=Stretch.of(73, 105),
        hop=COAST_HOP,
        drops=drops,
        hire=Decimal(hire),
        loaded_mile=Decimal(loaded),
        empty_mile=Decimal(empty),
    )


def town(revenue, *, cords=1, drops=1, trips=1):
    return MarketTrip(
        revenue=Decimal(revenue),
        cords=Fraction(cords),
        out=Stretch.of("3.8", 8),
        back=Stretch.of("3.8", 8),
        hop=TOWN_HOP,
        drops=drops,
        trips=trips,
        loaded_mile=Decimal("0.75"),
        empty_mile=Decimal("0.65"),
    )


def hired(revenue):
    return coast(revenue, cords=2, drops=2, hire=95, loaded="0.95", empty="0.75")


ROWS = {
    "1 cord fir": (coast(375), town(260), False, "102.20", "5.32", 303, 102, "18.12", "5.41", False),
    "fir as two halves": (
        coast(410, drops=2), town(290, drops=2), False, "104.08", "6.82", 320, 117, "22.74", "6.72", False,
    ),
    "hardwood as two halves": (
        coast(590, drops=2), town(390, drops=2), False, "104.08", "6.82", 320, 117, "102.74", "30.37", True,
    ),
    "fir, going anyway": (coast(375), town(260), True, "7.30", "5.32", 86, 102, "113.02", None, True),
    "2 cords fir, hired trailer": (
        hired(750), town(520, cords=2, trips=2), False, "221.48", "10.64", 386, 204, "19.16", "6.32", False,
    ),
    "2 cords hardwood, hired trailer": (
        hired(1080), town(700, cords=2, trips=2), False, "221.48", "10.64", 386, 204, "169.16", "55.77", True,
    ),
}  # fmt: skip


@pytest.mark.parametrize("row", ROWS.values(), ids=ROWS)
def test_each_row_of_the_far_market_stands_to_the_cent(row):
    far_trip, near_trip, anyway, far_cost, near_cost, far_min, near_min, gain, per_hour, worth_it = row
    far = side_of(far_trip, RULE, is_going_anyway=anyway)
    near = side_of(near_trip, RULE)

    answer = haul_or_not(far, near, target_wage=TARGET)

    assert (far.cost, near.cost) == (Decimal(far_cost), Decimal(near_cost))
    assert (far.minutes, near.minutes) == (far_min, near_min)
    assert answer.gain == Decimal(gain)
    assert answer.per_extra_hour == (Decimal(per_hour) if per_hour else None)
    assert answer.is_worth_it is worth_it


def test_unrounded_costs_are_kept_underneath():
    assert side_of(coast(410, drops=2), RULE).exact_cost == Fraction("104.075")
    assert side_of(hired(750), RULE).exact_cost == Fraction("221.475")


def test_going_anyway_saves_sixteen_minutes():
    far = side_of(coast(375), RULE, is_going_anyway=True)

    answer = haul_or_not(far, side_of(town(260), RULE), target_wage=TARGET)

    assert answer.saves_minutes == 16
    assert answer.sentence == "Hauling brings $113.02 more and saves 16 min: worth it."


def test_the_needed_premium_single_and_pooled():
    single = haul_or_not(side_of(coast(375), RULE), side_of(town(260), RULE), target_wage=TARGET)
    pooled = haul_or_not(
        side_of(hired(750), RULE), side_of(town(520, cords=2, trips=2), RULE), target_wage=TARGET
    )

    assert single.needed_premium == Decimal("180.63")
    assert pooled.needed_premium == Decimal("143.33")
    assert "$180.63 a cord more than here" in single.sentence


def test_a_premium_of_115_breaks_even_at_48_miles():
    miles = break_even_miles(
        premium_per_cord=Decimal(115),
        trip=coast(375),
        near=side_of(town(260), RULE),
        rule=RULE,
        target_wage=TARGET,
    )

    assert miles is not None
    assert round(float(miles), 1) == 48.1


def test_no_premium_reaches_nowhere():
    assert (
        break_even_miles(
            premium_per_cord=Decimal(0),
            trip=hired(750),
            near=kept_instead(Decimal(0), Fraction(2)),
            rule=RULE,
            target_wage=TARGET,
        )
        is None
    )


@given(st.integers(60, 400))
def test_at_the_break_even_cords_the_extra_hour_pays_just_the_target(premium):
    near = side_of(town(260), RULE)
    cords = break_even_cords(
        premium_per_cord=Decimal(premium), trip=coast(375), near=near, rule=RULE, target_wage=TARGET
    )

    assert cords is not None
    far = side_of(coast(0, cords=cords), RULE)
    gain = (
        premium * cords
        - (far.exact_cost - near.exact_cost * cords)
        - Fraction(TARGET) * (far.minutes - near.minutes * cords) / 60
    )
    assert gain == 0


@given(st.integers(1, 300))
def test_at_the_break_even_miles_the_needed_premium_is_the_premium(premium):
    near = side_of(town(260), RULE)
    miles = break_even_miles(
        premium_per_cord=Decimal(premium), trip=coast(375), near=near, rule=RULE, target_wage=TARGET
    )

    assert miles is not None
    there = MarketTrip(
        revenue=Decimal(0),
        cords=Fraction(1),
        out=Stretch(miles=miles, minutes=miles * Fraction(112, 73)),
        back=Stretch(miles=miles, minutes=miles * Fraction(105, 73)),
        loaded_mile=Decimal("0.75"),
        empty_mile=Decimal("0.65"),
    )
    answer = haul_or_not(side_of(there, RULE), near, target_wage=TARGET)
    assert answer.needed_premium == Decimal(premium)


def test_wood_that_would_not_sell_here_is_compared_with_keeping_it():
    far = side_of(coast(375), RULE)

    answer = haul_or_not(far, kept_instead(Decimal(150), Fraction(1)), target_wage=TARGET)

    assert answer.near.cost == 0
    assert answer.near.minutes == 0
    assert answer.gain == Decimal("122.80")  # 375 - 150 - 102.20
    assert answer.per_extra_hour == Decimal("24.32")  # over 303 minutes
    assert not answer.is_worth_it


def test_a_trip_without_a_drop_is_refused():
    with pytest.raises(BadTrip, match="a drop and a trip"):
        coast(375, drops=0)

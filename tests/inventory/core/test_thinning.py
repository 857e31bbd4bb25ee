"""What a cord took to make."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.thinning import (
    WOOD_STEPS,
    NoWoodMade,
    Worked,
    cord_cost,
)


def worked(**hours):
    return [Worked(step=step, hours=Fraction(spent)) for step, spent in hours.items()]


def test_a_cord_takes_the_production_hours_of_the_wage_example():
    """Example 5, likely: rounds 3, haul .5, split 1.2, heap .75 = 5.45 h; $32 cash."""
    cost = cord_cost(
        worked=worked(rounds="3", haul="0.5", split="1.2", heap="0.75", slash="4"),
        cash=Decimal(32),
        cords=Fraction(1),
    )

    assert cost.hours == Fraction("5.45")
    assert cost.cash == Decimal("32.00")


def test_the_seasons_hours_without_slash_are_the_seasons_cords():
    """The invented season: rounds 70, haul 20, split 34, heap 21, slash 20; 29.50 cords; 1,983 cash out."""
    cost = cord_cost(
        worked=worked(rounds="70", haul="20", split="34", heap="21", slash="20"),
        cash=Decimal(1983),
        cords=Fraction("29.5"),
    )

    assert cost.hours == Fraction(145) / Fraction("29.5")
    assert cost.cash == Decimal("67.22")
    assert [step for step, _ in cost.by_step] == list(WOOD_STEPS)


def test_cost_per_cord_needs_cords():
    with pytest.raises(NoWoodMade, match="measure the lot first"):
        cord_cost(worked=[], cash=Decimal(10), cords=Fraction(0))


@pytest.mark.slow
@given(
    st.lists(st.tuples(st.sampled_from((*WOOD_STEPS, "slash")), st.fractions(0, 40)), max_size=12),
    st.fractions(Fraction(1, 12), 40),
)
def test_hours_by_step_add_up_to_the_hours_that_made_wood(entries, cords):
    cost = cord_cost(
        worked=[Worked(step=step, hours=hours) for step, hours in entries], cash=Decimal(0), cords=cords
    )

    assert sum(hours for _, hours in cost.by_step) == cost.hours
    assert cost.hours * cords == sum(hours for step, hours in entries if step != "slash")

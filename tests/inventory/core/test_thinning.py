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
    against_benchmark,
    cash_by_use,
    cord_cost,
    productivity,
    wood_cost_per_cord,
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
    assert cost.at_wage(Decimal(25)) == Decimal("168.25")


def test_cash_only_and_with_hours_paid_are_both_shown():
    hours, cash = Fraction("5.45"), Decimal(32)

    assert wood_cost_per_cord(hours_per_cord=hours, cash_per_cord=cash, wage=None) == Decimal("32.00")
    assert wood_cost_per_cord(hours_per_cord=hours, cash_per_cord=cash, wage=Decimal(25)) == Decimal("168.25")


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


def test_productivity_is_cords_an_hour_by_step():
    speeds = dict(productivity(worked=worked(split="34", rounds="70"), cords=Fraction("29.5")))

    assert float(speeds["split"]) == pytest.approx(0.868, abs=0.001)
    assert list(speeds) == ["rounds", "split"]


def test_hours_are_told_against_what_others_need():
    """Cornell webcast: six hours with little equipment; one person's account: eight."""
    assert "usual" in against_benchmark(Fraction("5.45"))
    assert "slow" in against_benchmark(Fraction(9))
    assert "quick" in against_benchmark(Fraction(3))


def test_expense_lines_go_to_the_cord_the_mile_or_the_year():
    """Lines of the invented season: fuel by the mile, chains by the cord, insurance by the year."""
    by_use = cash_by_use(
        {
            "truck fuel": (Decimal(402), "mile"),
            "chains and bars": (Decimal(168), "cord"),
            "insurance rider": (Decimal(340), "year"),
        },
        cords=Fraction("29.5"),
        miles=Fraction(844),
    )

    assert by_use == {"cord": Decimal("5.69"), "mile": Decimal("0.48"), "year": Decimal("340.00")}


def test_nothing_driven_or_cut_costs_nothing_by_the_mile_or_the_cord():
    by_use = cash_by_use({"fuel": (Decimal(10), "mile")}, cords=Fraction(0), miles=Fraction(0))

    assert by_use["mile"] == by_use["cord"] == 0


def test_cost_per_cord_needs_cords():
    with pytest.raises(NoWoodMade, match="measure the lot first"):
        cord_cost(worked=[], cash=Decimal(10), cords=Fraction(0))


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

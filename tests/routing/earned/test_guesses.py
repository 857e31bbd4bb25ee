"""Worked example 5: the wage per cord under guesses."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from routing.earned.guesses import (
    BadGuess,
    Guess,
    HourGuesses,
    measure_next,
    pert,
    simulated,
    swings,
    wage_range,
)

CORD = HourGuesses(
    hours=(
        Guess.of("rounds", "2.5", "3", "4"),
        Guess.of("haul", ".5", ".5", ".75"),
        Guess.of("split", "1", "1.2", "1.5"),
        Guess.of("heap", ".5", ".75", "1"),
        Guess.of("deliver", "1.75", "2", "2.5"),
        Guess.of("paper", ".25", ".35", ".5"),
    ),
    revenue=Guess.of("revenue", 250, 260, 280),
    expenses=Guess.of("expenses", 45, 65, 70),
)


def test_worst_likely_and_best_stand_to_the_cent():
    wages = wage_range(CORD)

    assert (wages.worst, wages.likely, wages.best) == (Decimal("17.56"), Decimal("25.00"), Decimal("36.15"))


def test_pert_gives_the_printed_hours_and_band():
    result = pert(CORD)

    assert round(float(result.hours), 3) == 7.992
    assert round(result.spread, 3) == 0.309
    assert result.per_hour == Decimal("24.40")
    assert (result.band_low, result.band_high) == (Decimal("23.25"), Decimal("25.67"))


def test_making_rounds_is_the_thing_to_measure_next():
    swing = measure_next(CORD)

    assert swing is not None
    assert swing.name == "rounds"
    assert (swing.at_low, swing.at_high) == (Decimal("26.71"), Decimal("22.16"))  # 195/7.3 and 195/8.8
    assert [found.name for found in swings(CORD)][:3] == ["rounds", "revenue", "expenses"]


def test_when_nothing_is_guessed_nothing_need_be_measured():
    measured = HourGuesses(
        hours=(Guess.known("all", 8),),
        revenue=Guess.known("revenue", 260),
        expenses=Guess.known("expenses", 60),
    )

    assert measure_next(measured) is None
    assert simulated(measured, seed=1).median == Decimal("25.00")


def test_the_same_seed_gives_the_same_draws():
    assert simulated(CORD, seed=7) == simulated(CORD, seed=7)
    assert simulated(CORD, seed=7) != simulated(CORD, seed=8)


def test_independent_guesses_center_on_the_pert_means_and_the_wage_range_holds_them():
    result = simulated(CORD, seed=3, together=0.0)

    money = float(CORD.revenue.mean - CORD.expenses.mean)
    assert float(result.median) == pytest.approx(money / float(pert(CORD).hours), abs=0.1)
    assert Decimal("17.56") < result.band_low < result.median < result.band_high < Decimal("36.15")


def test_guesses_that_err_together_widen_the_band():
    apart = simulated(CORD, seed=3, together=0.0)
    together = simulated(CORD, seed=3, together=0.9)

    assert together.band_high - together.band_low > apart.band_high - apart.band_low


def test_the_chance_of_the_target_falls_as_the_target_rises():
    chances = [
        simulated(CORD, seed=3, target_wage=Decimal(wage)).chance_of_target for wage in (15, 22, 25, 30, 40)
    ]

    assert chances == sorted(chances, reverse=True)
    assert chances[0] == 1.0
    assert chances[-1] == 0.0


@given(
    st.lists(st.tuples(*[st.integers(1, 50)] * 3).map(sorted), min_size=1, max_size=6),
    st.tuples(*[st.integers(100, 900)] * 3).map(sorted),
    st.tuples(*[st.integers(0, 99)] * 3).map(sorted),
)
def test_the_likely_wage_lies_between_worst_and_best(hours, revenue, expenses):
    wages = wage_range(
        HourGuesses(
            hours=tuple(Guess.of(str(i), *three) for i, three in enumerate(hours)),
            revenue=Guess.of("revenue", *revenue),
            expenses=Guess.of("expenses", *expenses),
        )
    )

    assert wages.worst <= wages.likely <= wages.best


def test_a_guess_out_of_order_is_refused_with_its_name():
    with pytest.raises(BadGuess, match="split"):
        Guess.of("split", 3, 2, 4)


def test_no_hours_at_all_are_refused():
    with pytest.raises(BadGuess, match="no work at all"):
        HourGuesses(hours=(Guess.known("all", 0),), revenue=Guess.known("r", 1), expenses=Guess.known("e", 1))

"""Halts and drives beside their plan, shrunken toward what is usual."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from routing.core.paces import MOST_TIMES, pace_of


def test_no_tap_leaves_the_plan_and_a_wide_band():
    pace = pace_of([])

    assert (pace.ratio, pace.count) == (1.0, 0)
    assert pace.low == pytest.approx(1 / pace.high)
    assert pace.percents == (0, -39, 63)  # 1.2816 x 0.35 x sqrt(1.2) either way in logarithms


def test_one_slow_drop_moves_it_a_little_and_many_move_it_all_the_way():
    once, often = pace_of([(600, 1200)]), pace_of([(600, 1200)] * 200)

    assert 1.1 < once.ratio < 1.15  # a sixth of the way, in logarithms
    assert often.ratio == pytest.approx(2, rel=0.02)
    assert often.high / often.low < once.high / once.low


def test_a_forgotten_tap_teaches_nothing():
    assert pace_of([(600, 600 * 9), (600, 20), (0, 300)]).count == 0


def test_a_yard_nobody_knows_yet_is_taken_as_the_others_are():
    assert pace_of([], around=1.3).ratio == pytest.approx(1.3)


@settings(suppress_health_check=[HealthCheck.too_slow])  # a busy machine draws slowly
@given(
    taken=st.lists(st.tuples(st.integers(60, 9000), st.integers(60, 9000)), max_size=30),
    around=st.floats(0.5, 2),
)
def test_it_lies_between_what_was_usual_and_what_was_seen(taken, around):
    seen = [took / planned for planned, took in taken if 1 / MOST_TIMES <= took / planned <= MOST_TIMES]
    pace = pace_of(taken, around=around)

    assert min([around, *seen]) * 0.999 <= pace.ratio <= max([around, *seen]) * 1.001
    assert pace.low <= pace.ratio <= pace.high

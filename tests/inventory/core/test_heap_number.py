"""A rig's heap number, learned from few restacks."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.heap_number import BadRestack, RestackSeen, history, learned, own_number
from inventory.core.measure import cords_of

FIRST = date(2026, 3, 1)
NUMBERS = st.lists(st.floats(140, 240), min_size=1, max_size=12)


def restacks(*numbers):
    return [
        RestackSeen(on=FIRST + timedelta(place), loose_ft3=number, stacked_ft3=128)
        for place, number in enumerate(numbers)
    ]


def test_one_restack_shows_its_own_number():
    """Example 9: 180 loose ft3 restacked to 117.333: 196.4."""
    assert round(own_number(180, 22 * 4 * 16 / 12), 1) == 196.4


def test_without_restacks_the_published_figure_and_its_range_stand():
    number = learned([], form="splits")

    assert (number.mean, number.low, number.high, number.restacks) == (190, 175, 215, 0)
    assert cords_of(180, form="splits", per_cord=number.as_figure()).low == pytest.approx(180 / 215)


def test_one_restack_moves_the_number_most_of_the_way_but_does_not_rule():
    number = learned(restacks(196.4), form="splits")

    assert 192 < number.mean < 196.4
    assert number.restacks == 1
    assert number.as_figure().source == "1 restack of this rig"


def test_many_alike_settle_it():
    number = learned(restacks(*[196.4] * 12), form="splits")

    assert number.mean == pytest.approx(196.4, abs=0.5)
    assert number.high - number.low < 5


def test_restacks_that_disagree_widen_what_is_claimed():
    alike = learned(restacks(189, 190, 191, 190), form="splits")
    apart = learned(restacks(170, 210, 172, 208), form="splits")

    assert apart.mean == pytest.approx(alike.mean, abs=2.5)
    assert apart.high - apart.low > 1.5 * (alike.high - alike.low)


def test_a_load_to_come_is_less_certain_than_the_rigs_number():
    number = learned(restacks(190, 200, 195), form="splits")

    assert number.load_low < number.low < number.mean < number.high < number.load_high


def test_the_history_shows_each_step_in_order_of_days():
    late, early = restacks(200, 185)[::-1], restacks(200)
    steps = history([*late], form="splits")

    assert [seen.number for seen, _ in steps] == [200, 185]
    assert [number.restacks for _, number in steps] == [1, 2]
    assert steps[0][1] == learned(early, form="splits")


@given(NUMBERS)
def test_the_number_lies_between_the_figure_and_the_restacks(numbers):
    number = learned(restacks(*numbers), form="splits")
    mean = sum(numbers) / len(numbers)

    assert min(190, mean) - 0.01 <= number.mean <= max(190, mean) + 0.01
    assert number.low <= number.mean <= number.high


@given(NUMBERS)
def test_the_order_of_the_restacks_does_not_matter(numbers):
    one, other = learned(restacks(*numbers), form="splits"), learned(restacks(*numbers[::-1]), form="splits")

    assert one.mean == pytest.approx(other.mean)
    assert one.high == pytest.approx(other.high, abs=0.2)


@pytest.mark.parametrize(
    ("loose", "stacked", "message"),
    [(0, 128, "above 0"), (180, 0, "above 0"), (180, 20, "1152 loose ft3"), (100, 128, "100 loose ft3")],
)
def test_a_restack_that_cannot_be_is_refused(loose, stacked, message):
    with pytest.raises(BadRestack, match=message):
        own_number(loose, stacked)

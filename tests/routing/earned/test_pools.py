"""The pool of the demo: two hardwood halves and forty bundles to the coast, and a fir cord too many."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from routing.earned.costs import Stretch, minutes_rule
from routing.earned.pools import BadPool, PoolTrip, Waiting, fits_together, pool_answer, what_is_full
from tests.routing.earned.demo import BIG

RULE = minutes_rule()
TODAY = date(2026, 9, 18)
TRIP = PoolTrip(
    out=Stretch.of(73, 112),
    back=Stretch.of(73, 105),
    hop=Stretch.of("2.5", 7),
    near_out=Stretch.of("3.8", 8),
    near_back=Stretch.of("3.8", 8),
    near_hop=Stretch.of("2.0", 5),
    loaded_mile=Decimal("0.75"),
    empty_mile=Decimal("0.65"),
    box_ft3=Fraction(180),
    payload_lb=5100,
    bed_ft3=Fraction(40),
)
IDA = Waiting(
    order="205",
    customer="Ida Crewe",
    cords=Fraction(1, 2),
    far_price=Decimal(295),
    near_price=Decimal(195),
    box_ft3=Fraction(90),
    lb=2000,
    waits_until=date(2026, 10, 10),
)
LEN = replace(IDA, order="206", customer="Len Abbot")
SAL = Waiting(
    order="207",
    customer="Sal Dufrane",
    cords=Fraction(1),
    far_price=Decimal(375),
    near_price=Decimal(260),
    box_ft3=Fraction(180),
    lb=3168,
    is_firm=False,
)
CAMP = Waiting(
    order="211",
    customer="Sandbar camp",
    cords=Fraction(0),
    far_price=Decimal(200),
    near_price=Decimal(0),
    box_ft3=Fraction(0),
    lb=500,
    bundle_ft3=Fraction(30),
)


def answer(*waiting, trip=TRIP, on=TODAY):
    return pool_answer(waiting, trip, rule=RULE, target_wage=Decimal(25), on=on)


def test_two_halves_gain_what_example_four_says():
    pool = answer(IDA, LEN)

    assert pool.answer is not None
    assert pool.answer.gain == Decimal("590.00") - Decimal("390.00") - Decimal("97.26")
    assert pool.answer.per_extra_hour == Decimal("30.37")
    assert pool.verdict == "go"


def test_the_gain_grows_as_the_pool_fills():
    pool = answer(IDA, LEN, CAMP)

    assert [step.joined.customer for step in pool.steps] == ["Ida Crewe", "Len Abbot", "Sandbar camp"]
    gains = [step.answer.gain for step in pool.steps]
    assert gains == sorted(gains)
    assert gains[0] == Decimal("3.12")  # 100 more, less 102.20 - 5.32
    assert gains[2] == Decimal("300.87")  # 102.745 + 200 - 2.5 miles at .75, costs to the cent
    assert [step.box_share for step in pool.steps] == [Fraction(1, 2), 1, 1]


def test_the_fir_cord_cannot_ride_with_the_halves():
    pool = answer(IDA, LEN, SAL, CAMP)

    assert SAL not in [step.joined for step in pool.steps]
    assert not fits_together((IDA, SAL), TRIP)


def test_bundles_ride_in_the_box_while_it_has_room():
    """The bed was full of bundles beside a box half empty."""
    pool = answer(IDA, CAMP)

    assert [(step.box_share, step.bed_ft3) for step in pool.steps][-1] == (Fraction(2, 3), 0)
    assert [step.bed_ft3 for step in answer(IDA, LEN, CAMP).steps] == [0, 0, 30]


def test_a_reason_belongs_to_its_order():
    """A half cord without bundles waited because "the bundles are 743 lb"."""
    trip = replace(TRIP, rig=replace(BIG, bed_payload_lb=1300))
    full = what_is_full((IDA, CAMP, LEN), trip)

    assert full.startswith("With it the box is full and the bundles of order 211 would ride in the ")
    assert what_is_full((IDA, LEN, CAMP), trip).startswith("With it the box is full and its bundles would")
    assert fits_together((IDA, CAMP), trip)


def test_one_half_alone_waits_and_says_how_much_is_missing():
    pool = answer(IDA)

    assert pool.verdict == "wait"
    assert pool.sentence == "Wait: the pool is $81 short of paying your hours. Decide by Thu, Oct 8."


def test_the_last_day_to_decide_leaves_two_days_of_notice():
    assert answer(IDA, LEN).decide_by == date(2026, 10, 8)
    assert answer(IDA, LEN).sentence.endswith("Say so by Thu, Oct 8.")


def test_a_thin_pool_is_called_off_once_the_last_day_has_passed():
    assert answer(IDA, on=date(2026, 10, 9)).verdict == "call off"


def test_an_order_whose_patience_has_ended_is_left_behind():
    pool = answer(IDA, on=date(2026, 10, 11))

    assert pool.steps == ()
    assert pool.sentence == "Nobody is waiting who fits on one trip."


def test_going_anyway_takes_even_a_half():
    assert answer(IDA, trip=replace(TRIP, is_going_anyway=True)).verdict == "go"


def test_an_order_that_waits_twice_is_refused():
    with pytest.raises(BadPool, match="twice"):
        answer(IDA, IDA)

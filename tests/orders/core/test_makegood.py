"""Example 9: a stack that measured short, the credit or the wood to bring, the lesson learned."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core.makegood import BadMeasurement, MakeGood, make_good, stack_cords

CORDS = st.fractions(min_value=Fraction(1, 12), max_value=4, max_denominator=48)


def put_right(measured: Fraction, **kwargs: Any) -> MakeGood:
    fields = {
        "promised_cords": Fraction(1),
        "wood_dollars": Decimal(300),
        "balance_dollars": Decimal(240),
        "loaded_ft3": Fraction(180),
        "heap_number": Fraction(180),
    }
    return make_good(measured_cords=measured, **{**fields, **kwargs})


def test_example_9_comes_out_to_the_printed_digit():
    measured = stack_cords(length_ft=Decimal(22), height_ft=Decimal(4), depth_in=Decimal(16))

    answer = put_right(measured)

    assert measured == Fraction(11, 12)  # 117.333 cubic feet
    assert answer.short_pct == Decimal("8.33")
    assert answer.is_owed
    assert answer.credit_dollars == Decimal("25.00")
    assert answer.balance_dollars == Decimal("215.00")
    assert answer.refund_dollars == 0
    assert answer.loose_ft3 == Decimal("15.0")
    assert answer.heap_number == Decimal("196.4")


@pytest.mark.parametrize(("cribbed_ends", "cords"), [(0, "4/3"), (1, "119/90"), (2, "59/45")])
def test_example_1_counts_cribbed_ends_a_fifth_short(cribbed_ends, cords):
    """Stack 32 ft x 4 ft x 16 in: 1.333, with two cribbed ends 1.311."""
    measured = stack_cords(
        length_ft=Decimal(32), height_ft=Decimal(4), depth_in=Decimal(16), cribbed_ends=cribbed_ends
    )

    assert measured == Fraction(cords)


@pytest.mark.parametrize(("measured", "is_owed"), [("97/100", False), ("969/1000", True), ("1", False)])
def test_within_three_percent_nothing_is_owed(measured, is_owed):
    answer = put_right(Fraction(measured))

    assert answer.is_owed is is_owed
    assert bool(answer.credit_dollars) is is_owed
    assert bool(answer.loose_ft3) is is_owed


def test_a_generous_load_owes_nothing_and_still_teaches_the_heap_number():
    answer = put_right(Fraction(11, 10))

    assert answer.short_pct == Decimal("-10.00")
    assert (answer.credit_dollars, answer.balance_dollars) == (0, 240)
    assert answer.heap_number == Decimal("163.6")


def test_a_credit_above_the_balance_is_refunded():
    answer = put_right(Fraction(1, 2), balance_dollars=Decimal(100))

    assert answer.credit_dollars == 150
    assert (answer.balance_dollars, answer.refund_dollars) == (0, 50)


@pytest.mark.parametrize(
    "side", [{"length_ft": Decimal(0)}, {"height_ft": Decimal(-4)}, {"depth_in": Decimal("NaN")}]
)
def test_a_stack_without_a_side_is_refused(side):
    with pytest.raises(BadMeasurement, match="measure it again"):
        stack_cords(**{"length_ft": Decimal(22), "height_ft": Decimal(4), "depth_in": Decimal(16), **side})


@pytest.mark.parametrize(("length", "ends"), [(22, 3), (2, 2)])
def test_cribs_longer_than_the_row_are_refused(length, ends):
    with pytest.raises(BadMeasurement, match="cribbed ends"):
        stack_cords(length_ft=Decimal(length), height_ft=Decimal(4), depth_in=Decimal(16), cribbed_ends=ends)


def test_nothing_measured_is_refused():
    with pytest.raises(BadMeasurement, match="amount measured cannot be 0"):
        put_right(Fraction(0))


@given(promised=CORDS, measured=CORDS, cents=st.integers(min_value=0, max_value=10**6))
def test_a_credit_is_never_more_than_the_wood_nor_less_than_nothing(promised, measured, cents):
    price = Decimal(cents) / 100

    answer = put_right(measured, promised_cords=promised, wood_dollars=price)

    assert 0 <= answer.credit_dollars <= price
    assert answer.balance_dollars + answer.credit_dollars - answer.refund_dollars == 240
    assert answer.loose_ft3 >= 0

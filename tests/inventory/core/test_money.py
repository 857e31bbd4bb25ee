"""Rounding half up, and shares that lose no cent."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.money import (
    NothingToShareBy,
    dollars,
    dollars_for,
    dollars_over,
    from_cents,
    round_to,
    share_out,
    to_cents,
)

WEIGHTS = st.lists(st.fractions(min_value=0, max_value=1000, max_denominator=400), min_size=1, max_size=9)
PRICES = st.decimals(min_value=-9_999, max_value=9_999, places=4)
AMOUNTS = st.fractions(min_value=0, max_value=50, max_denominator=76_800)
CENTS = st.integers(min_value=-10_000_000, max_value=10_000_000)


@pytest.mark.parametrize(
    ("amount", "step", "rounded"),
    [
        # example 3 of the worked examples: wood prices to the nearest 5 dollars, half up
        ("182.00", 5, "180.00"),
        ("192.50", 5, "195.00"),
        ("143.00", 5, "145.00"),
        ("99.67", 5, "100.00"),
        ("61.50", 5, "60.00"),
        ("297.00", 5, "295.00"),
        ("0.07", Decimal("0.05"), "0.05"),
        ("0.075", Decimal("0.05"), "0.10"),
    ],
)
def test_a_price_is_rounded_to_the_nearest_step_half_up(amount, step, rounded):
    assert round_to(Decimal(amount), step) == Decimal(rounded)


@pytest.mark.parametrize(
    ("amount", "rounded"),
    [("28.275", "28.28"), ("104.075", "104.08"), ("221.475", "221.48"), ("4.345", "4.35"), ("1.004", "1.00")],
)
def test_half_a_cent_goes_up(amount, rounded):
    assert dollars(Decimal(amount)) == Decimal(rounded)


def test_a_credit_is_rounded_like_the_debt_it_cancels():
    assert dollars(Decimal("-28.275")) == -dollars(Decimal("28.275"))
    assert dollars(Decimal("-0.005")) == Decimal("-0.01")


def test_thirds_of_a_dollar_are_rounded_once():
    assert dollars(Fraction(200, 3)) == Decimal("66.67")
    assert dollars("25") == Decimal("25.00")


@given(CENTS)
def test_cents_and_dollars_invert_each_other(cents):
    assert to_cents(from_cents(cents)) == cents


@given(CENTS, WEIGHTS)
def test_sharing_out_loses_no_cent(total, weights):
    if sum(weights) == 0:
        with pytest.raises(NothingToShareBy):
            share_out(total, weights)
        return

    shares = share_out(total, weights)

    assert sum(shares) == total
    assert len(shares) == len(weights)


@given(CENTS, WEIGHTS.filter(any))
def test_no_share_is_a_cent_or_more_off_its_due(total, weights):
    due = [total * weight / sum(weights) for weight in weights]

    assert all(abs(share - exact) < 1 for share, exact in zip(share_out(total, weights), due, strict=True))


@given(st.integers(min_value=0, max_value=100_000), WEIGHTS.filter(any))
def test_a_larger_weight_never_pays_less(total, weights):
    paid = sorted(zip(weights, share_out(total, weights), strict=True))

    assert [share for _, share in paid] == sorted(share for _, share in paid)


def test_the_odd_cents_go_to_the_largest_remainders():
    assert share_out(100, [1, 1, 1]) == (34, 33, 33)
    assert share_out(2828, [532, 2730]) == (461, 2367)  # example 6's drive by solo drives


@pytest.mark.parametrize("weights", [[], [0, 0], [2, -1]])
def test_money_is_not_shared_by_weights_that_make_no_sense(weights):
    with pytest.raises(NothingToShareBy, match="one must be above zero"):
        share_out(100, weights)


def half_up(amount: Fraction) -> int:
    """The nearest whole number by the plainest way there is, halves away from zero."""
    nearest = int(abs(amount) + Fraction(1, 2))
    return nearest if amount >= 0 else -nearest


@given(PRICES, AMOUNTS)
def test_dollars_by_whole_numbers_are_those_of_plain_fractions(price, amount):
    exact = Fraction(price) * amount

    assert to_cents(exact) == half_up(exact * 100)
    assert to_cents(price) == half_up(Fraction(price) * 100)
    assert dollars_for(price, amount) == dollars(exact) == from_cents(half_up(exact * 100))
    if amount:
        assert dollars_over(price, amount) == dollars(Fraction(price) / amount)


@given(CENTS, WEIGHTS.filter(any))
def test_shares_by_whole_numbers_are_those_of_plain_fractions(total, weights):
    ideal = [total * weight / sum(weights) for weight in weights]
    shares = [share.numerator // share.denominator for share in ideal]
    by_rest = sorted(range(len(ideal)), key=lambda place: (shares[place] - ideal[place], place))
    for place in by_rest[: total - sum(shares)]:
        shares[place] += 1

    assert share_out(total, weights) == tuple(shares)

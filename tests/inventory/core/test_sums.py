"""Fractions added up by whole numbers are the plain sum."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from inventory.core.sums import exact_sum


@given(st.lists(st.fractions(max_denominator=10**12), max_size=30))
def test_the_sum_is_the_plain_sum(amounts):
    assert exact_sum(iter(amounts)) == sum(amounts, Fraction(0))

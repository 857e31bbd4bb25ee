"""A lot as a row of log ends: every part of it shows, and the scale is one for the whole page."""

from fractions import Fraction as F

import pytest

from inventory.core.charts.piles import MOST_LOGS, Pile, cords_a_log, pile_bar


@pytest.mark.parametrize(
    ("most", "each"), [(F(6), F(1, 4)), (F("6.05"), F(1, 2)), (F(0), F(1, 16)), (F(40), F(2))]
)
def test_a_log_stands_for_a_round_amount(most, each):
    assert cords_a_log(most) == each
    assert most / each <= MOST_LOGS


def test_any_wood_beyond_the_steps_still_fits_the_row():
    assert F(100_000) / cords_a_log(F(100_000)) == MOST_LOGS


def test_each_part_is_drawn_for_what_it_is():
    lot = Pile(sale=F("2.80"), soft=F(1), firm=F("2.25"))

    drawn = pile_bar(lot, a_log=F(1, 4), title="K1: 6.05 cords on hand")

    parts = ("sale", "soft", "firm", "later", "kept")
    assert [drawn.count(f'"pile-{part}"') for part in parts] == [11, 4, 9, 0, 0]
    assert lot.whole == F("6.05")
    assert 'aria-label="K1: 6.05 cords on hand"' in drawn


def test_a_little_wood_is_one_log_and_none_is_none():
    assert pile_bar(Pile(kept=F("0.01")), a_log=F(1), title="t").count("pile-kept") == 1
    assert "circle" not in pile_bar(Pile(), a_log=F(1), title="t")

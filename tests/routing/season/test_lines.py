"""Rows that add up to the sum they explain."""

import pytest

from routing.season.ledger import Part, Sum, What
from routing.season.lines import CENT, grouped, lines, rounded, sum_of


@pytest.mark.parametrize(
    ("values", "unit", "to", "found"),
    [
        ([33.4, 33.3, 33.3], 1, None, [34, 33, 33]),
        ([-1.5, 2.5], 1, None, [-1, 2]),
        ([0.26, 0.26], 0.1, None, [0.3, 0.2]),
        ([1.0, 1.0], 1, 3.0, [2, 1]),
        ([1.0, 2.0], 1, 2.0, [1, 1]),
        ([], 1, None, []),
    ],
)
def test_rounded_values_add_up_to_their_rounded_sum(values, unit, to, found):
    assert rounded(values, unit, to=to) == found


def sold(kind, dollars, cords=1.0):
    return {Part(What.SALE, "near", kind, "seasoned"): Sum(cords, dollars)}


def test_lines_add_up_and_what_rounds_to_nothing_is_left_out():
    ledger = sold("fir", 100.4) | sold("oak", 50.4) | {Part(What.DRIVE, "near"): Sum(2.0, -0.3)}

    rows = lines(ledger, {})

    assert [row["dollars"] for row in rows] == [100, 50]
    assert sum_of(rows) == 150 == round(100.4 + 50.4 - 0.3)


def test_small_changes_of_a_sum_in_cents_are_one_row():
    ledger = sold("fir", 5.0) | sold("oak", 0.1) | sold("mixed", 0.1)

    rows = lines(ledger, {}, unit=CENT)

    assert [(row["what"], row["dollars"]) for row in rows] == [("sale", 5), ("small", 0.2)]


def test_groups_add_up_to_their_net():
    ledger = sold("fir", 100.6) | {
        Part(What.TRIP, "far"): Sum(1.0, -40.3), Part(What.SHARE, "knob"): Sum(1.0, 10.3),
        Part(What.LEFT, "green", "fir"): Sum(1.0, 5.3), Part(What.HOURS): Sum(3.0, -24.0),
    }  # fmt: skip

    row = grouped(ledger)

    assert (
        row["net"]
        == round(100.6 - 40.3 + 10.3 + 5.3)
        == sum(row[k] for k in ("sold", "share", "paid", "left"))
    )

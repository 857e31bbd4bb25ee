"""Movements folded into balances."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.core.stock import (
    LIFE,
    BadMovement,
    Move,
    TooLittleThere,
    account,
    balances,
    next_step,
    open_wood,
    timeline,
)

MAY = date(2026, 5, 12)
THIRD = Fraction(1, 3)


def move(lot, kind, cords, days=0, pair=""):
    return Move(lot=lot, kind=kind, cords=Fraction(cords), on=MAY + timedelta(days), pair=pair)


A_LIFE = [
    move("K1", "felled", 4),
    move("K1", "bucked", 0, 1),
    move("K1", "hauled", 0, 2),
    move("K1", "split", 0, 3),
    move("K1", "sorted_out", "-1/2", 3, pair="oak out"),
    move("K3", "sorted_out", "1/2", 3, pair="oak out"),
    move("K1", "stacked", 0, 4),
    move("K1", "lost", "-1/12", 5),
    move("K1", "sold", -THIRD, 10),
    move("K1", "sold", -2 * THIRD, 11),
    move("K1", "own_use", "-1/4", 12),
    move("K1", "corrected", "1/12", 13),
]


def test_a_lots_life_adds_up():
    assert balances(A_LIFE) == {"K1": Fraction(9, 4), "K3": Fraction(1, 2)}


def test_stock_can_be_asked_for_any_day():
    assert balances(A_LIFE, on=MAY + timedelta(2)) == {"K1": 4}
    assert balances(A_LIFE, on=MAY + timedelta(10))["K1"] == 4 - Fraction(1, 2) - Fraction(1, 12) - THIRD
    assert balances(A_LIFE, on=MAY - timedelta(1)) == {}


def test_what_became_of_the_wood_adds_up():
    became = account(A_LIFE)

    assert became.between_lots == 0
    assert became.came - became.sold - became.own_use - became.lost + became.corrected == became.on_hand
    assert became.sold == 1


def test_a_lots_line_shows_each_day_something_happened():
    line = timeline(A_LIFE, lot="K1")

    assert line[0] == (MAY, Fraction(4))
    assert line[-1] == (MAY + timedelta(13), Fraction(9, 4))
    assert [day for day, _ in line] == sorted(day for day, _ in line)


def test_more_than_is_there_can_never_leave():
    with pytest.raises(TooLittleThere, match="Lot K1 had 1 cord on May 13, 2026; 1 1/3 cords can't leave it"):
        balances([move("K1", "measured", 1), move("K1", "sold", -4 * THIRD, 1)])


def test_what_was_sold_before_it_came_is_caught_whatever_the_order_written():
    with pytest.raises(TooLittleThere):
        balances([move("K1", "measured", 1, 5), move("K1", "sold", -1, 1)])


def test_wood_that_came_today_may_be_sold_today_whichever_was_written_first():
    assert balances([move("K1", "sold", -1), move("K1", "measured", 1)]) == {"K1": 0}


@pytest.mark.parametrize(
    ("kind", "cords", "message"),
    [
        ("sold", 1, "below 0"),
        ("lost", 1, "below 0"),
        ("felled", -1, "0 or more"),
        ("split", 1, "stays the same solid wood"),
        ("vanished", -1, "no movement called 'vanished'"),
    ],
)
def test_a_movement_that_makes_or_hides_wood_is_refused(kind, cords, message):
    with pytest.raises(BadMovement, match=message):
        move("K1", kind, cords)


@pytest.mark.parametrize(
    ("lot", "on_hand", "firm", "soft", "open_cords"),
    [
        ("K1", "6.05", "2.25", "1.00", "2.80"),
        ("K4", "1.90", "1.50", "0", ".40"),
        ("K5", "2.00", "1.00", "0", "1.00"),
        ("K6", "2.50", "2.00", "0", ".50"),
    ],
)
def test_open_wood_is_what_the_demo_says(lot, on_hand, firm, soft, open_cords):
    """Holds of the invented seller: K1 6.05-2.25 firm-1.00 soft = 2.80; K4 1.90-1.50 = .40."""
    left = open_wood(Fraction(on_hand), firm=Fraction(firm), soft=Fraction(soft), kept=Fraction(0))

    assert left == Fraction(open_cords), lot


def test_wood_kept_for_the_own_stove_is_not_open():
    assert open_wood(Fraction(3), firm=Fraction(1), soft=Fraction(0), kept=Fraction(3)) == -1


@pytest.mark.parametrize(
    ("kind", "done"),
    [("felled", ("bucked",)), ("bucked", ("split",)), ("split", ("split", "stacked")), ("felled", LIFE)],
)
def test_a_step_that_comes_too_late_is_refused(kind, done):
    with pytest.raises(BadMovement, match=f"can't be {kind} after that"):
        next_step(kind, done=done)


@pytest.mark.parametrize(
    ("kind", "done"), [("split", ("felled", "bucked", "hauled")), ("hauled", LIFE), ("stacked", LIFE)]
)
def test_steps_in_order_and_hauling_or_stacking_again_are_fine(kind, done):
    assert next_step(kind, done=done) is None


LOTS = ("K1", "K2", "K3")


@st.composite
def histories(draw):
    """Seasons of movements as they would be written: some refused, those that stand kept."""
    kept = []
    there = dict.fromkeys(LOTS, Fraction(0))
    for place in range(draw(st.integers(0, 25))):
        lot, other = draw(st.permutations(LOTS))[:2]
        amount = draw(st.fractions(min_value=0, max_value=4, max_denominator=12))
        kind = draw(st.sampled_from(("measured", "sold", "lost", "own_use", "moved", "merged", "stacked")))
        if kind == "measured":
            kept.append(move(lot, kind, amount, place))
            there[lot] += amount
        elif kind == "stacked":
            kept.append(move(lot, kind, 0, place))
        elif amount <= there[lot]:
            there[lot] -= amount
            kept.append(move(lot, kind, -amount, place, pair=f"{place}"))
            if kind in ("moved", "merged"):
                there[other] += amount
                kept.append(move(other, kind, amount, place, pair=f"{place}"))
    return kept, there


@settings(max_examples=50, deadline=None)
@given(histories())
def test_solid_wood_is_conserved(season):
    moves, there = season
    became = account(moves)

    assert balances(moves) == {lot: cords for lot, cords in there.items() if lot in {m.lot for m in moves}}
    assert became.came == became.on_hand + became.sold + became.lost + became.own_use
    assert became.between_lots == 0


@settings(max_examples=50, deadline=None)
@given(histories(), st.integers(-1, 30))
def test_balances_are_never_negative_on_any_day(season, days):
    moves, _ = season

    assert all(cords >= 0 for cords in balances(moves, on=MAY + timedelta(days)).values())


@settings(max_examples=50, deadline=None)
@given(histories(), st.randoms(use_true_random=False))
def test_the_order_in_which_days_were_written_down_does_not_matter(season, shuffler):
    moves, _ = season
    shuffled = list(moves)
    shuffler.shuffle(shuffled)

    assert balances(shuffled) == balances(moves)


@settings(max_examples=50, deadline=None)
@given(histories(), st.integers(-1, 30))
def test_the_account_adds_up_on_every_day(season, days):
    moves, _ = season
    became = account(moves, on=MAY + timedelta(days))

    assert became.came - became.sold - became.own_use - became.lost + became.corrected == became.on_hand
    assert became.between_lots == 0


@settings(max_examples=50, deadline=None)
@given(histories(), st.fractions(min_value=Fraction(1, 1200), max_value=5, max_denominator=1200))
def test_not_even_a_stick_more_than_is_there_can_be_sold(season, more):
    moves, there = season
    lot = moves[0].lot if moves else "K1"

    with pytest.raises(TooLittleThere) as refused:
        balances([*moves, move(lot, "sold", -(there[lot] + more), 40)])

    assert refused.value.there == there[lot]

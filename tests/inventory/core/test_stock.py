"""Movements folded into balances: wood is moved, sold or lost, and never made from nothing."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.stock import (
    BadMovement,
    Move,
    TooLittleThere,
    account,
    balances,
    check_pairs,
    next_step,
    open_wood,
    timeline,
    with_loss,
)

SPRING = date(2026, 4, 1)
LOTS = ("fir at Upper", "oak at Creek", "mixed at Siding")
CORDS = st.fractions(min_value=Fraction(1, 100), max_value=8, max_denominator=600)


def move(lot, kind, cords, *, day=0, pair=""):
    return Move(lot=lot, kind=kind, cords=Fraction(cords), on=SPRING + timedelta(day), pair=pair)


@st.composite
def seasons(draw):
    """Any season that can have happened: each step takes a part of what is there, or brings wood."""
    there = dict.fromkeys(LOTS, Fraction(0))
    moves = []
    for day in range(draw(st.integers(min_value=1, max_value=14))):
        kind = draw(
            st.sampled_from(["felled", "measured", "split", "moved", "merged", "sold", "lost", "own_use"])
        )
        lot, other = draw(st.permutations(LOTS))[:2]
        part = there[lot] * draw(st.fractions(min_value=0, max_value=1, max_denominator=12))
        if kind in ("felled", "measured"):
            cords = draw(CORDS)
            moves.append(move(lot, kind, cords, day=day))
            there[lot] += cords
        elif kind == "split":
            moves.append(move(lot, kind, 0, day=day))
        elif kind in ("moved", "merged"):
            pair = f"{day}"
            moves += [move(lot, kind, -part, day=day, pair=pair), move(other, kind, part, day=day, pair=pair)]
            there[lot] -= part
            there[other] += part
        else:
            moves.append(move(lot, kind, -part, day=day))
            there[lot] -= part
    return tuple(moves)


@given(seasons())
def test_no_sequence_of_movements_makes_or_loses_wood(moves):
    told = account(moves)

    assert told.came - told.sold - told.own_use - told.lost == told.on_hand
    assert told.between_lots == 0
    assert told.on_hand == sum(balances(moves).values())


@given(seasons(), st.integers(min_value=-1, max_value=15))
def test_no_balance_is_below_nothing_on_any_day(moves, day):
    there = balances(moves, on=SPRING + timedelta(day))

    assert all(cords >= 0 for cords in there.values())


@given(seasons(), st.randoms(use_true_random=False))
def test_the_order_of_writing_down_changes_no_balance(moves, shuffle):
    mixed = list(moves)
    shuffle.shuffle(mixed)

    assert balances(mixed) == balances(moves)


@given(seasons(), st.integers(min_value=0, max_value=15))
def test_the_account_of_a_day_holds_on_every_day(moves, day):
    told = account(moves, on=SPRING + timedelta(day))

    assert told.came - told.sold - told.own_use - told.lost + told.corrected == told.on_hand
    assert told.between_lots == 0


@given(seasons())
def test_every_move_between_lots_has_both_its_sides(moves):
    check_pairs(moves)

    for lot in LOTS:
        steps = timeline(moves, lot=lot)
        assert (steps[-1][1] if steps else 0) == balances(moves).get(lot, 0)


@given(seasons(), CORDS)
def test_more_than_is_there_never_leaves(moves, extra):
    there = balances(moves).get(LOTS[0], Fraction(0))

    with pytest.raises(TooLittleThere) as refused:
        balances([*moves, move(LOTS[0], "sold", -(there + extra), day=20)])

    assert refused.value.there == there


def test_wood_felled_split_moved_and_sold_can_be_followed_from_day_to_day():
    moves = (
        move("fir", "felled", 5),
        move("fir", "bucked", 0, day=10),
        move("fir", "split", 0, day=20),
        move("fir", "moved", Fraction(-5, 2), day=30, pair="to Creek"),
        move("fir at Creek", "moved", Fraction(5, 2), day=30, pair="to Creek"),
        move("fir at Creek", "sold", Fraction(-1, 3), day=150),
        move("fir", "lost", Fraction(-1, 10), day=151),
        move("fir", "corrected", Fraction(1, 10), day=152),
    )

    assert balances(moves, on=SPRING + timedelta(29)) == {"fir": 5}
    assert balances(moves, on=SPRING + timedelta(150)) == {
        "fir": Fraction(5, 2),
        "fir at Creek": Fraction(13, 6),
    }
    assert account(moves).on_hand == 5 - Fraction(1, 3)
    assert timeline(moves, lot="fir at Creek")[-1] == (SPRING + timedelta(150), Fraction(13, 6))


def test_what_comes_and_goes_on_one_day_is_counted_coming_first():
    assert balances([move("fir", "sold", -1), move("fir", "felled", 1)]) == {"fir": 0}


def test_selling_too_much_says_what_was_there():
    with pytest.raises(
        TooLittleThere, match=r"Lot fir had 1/3 cord on 2 Apr 2026; 1/2 cord can't leave it\."
    ):
        balances([move("fir", "felled", Fraction(1, 3)), move("fir", "sold", Fraction(-1, 2), day=1)])


@pytest.mark.parametrize(
    ("kind", "cords", "why"),
    [
        ("eaten", 1, "no movement called 'eaten'"),
        ("sold", 1, "leaves the lot; its cords are below 0"),
        ("felled", -1, "comes to the lot; its cords are 0 or more"),
        ("split", 1, "stays the same solid wood; its cords are 0"),
    ],
)
def test_a_movement_that_cannot_have_happened_is_refused(kind, cords, why):
    with pytest.raises(BadMovement, match=why):
        move("fir", kind, cords)


def test_a_move_to_nowhere_is_refused():
    with pytest.raises(BadMovement, match="moved wood to nowhere"):
        check_pairs([move("fir", "moved", -1)])


def test_a_move_that_arrives_smaller_is_refused():
    with pytest.raises(BadMovement, match="1/2 cord went missing in the move 7"):
        check_pairs([move("fir", "moved", -1, pair="7"), move("fir at Creek", "moved", "1/2", pair="7")])


@pytest.mark.parametrize(
    ("kind", "done"),
    [
        ("felled", ["bucked"]),
        ("bucked", ["split"]),
        ("split", ["stacked"]),
        ("felled", ["bucked", "stacked"]),
    ],
)
def test_a_step_before_one_already_done_is_refused(kind, done):
    with pytest.raises(BadMovement, match=f"is {done[-1]} already; it can't be {kind} after that"):
        next_step(kind, done=done)


@pytest.mark.parametrize("kind", ["split", "stacked", "hauled", "sold"])
def test_wood_may_be_hauled_and_stacked_again_at_any_time(kind):
    next_step(kind, done=["felled", "bucked", "split"])
    next_step("hauled", done=["felled", "stacked"])

    with pytest.raises(BadMovement):
        next_step("felled", done=["felled", "bucked", "split"])


def test_open_wood_is_what_no_one_was_promised():
    six = Fraction(6)

    assert open_wood(six, firm=Fraction(2), soft=Fraction(1, 3), kept=Fraction(1)) == Fraction(8, 3)
    assert open_wood(six, firm=Fraction(7), soft=Fraction(0), kept=Fraction(0)) == -1


@given(CORDS, st.fractions(min_value=0, max_value=Fraction(99, 100)))
def test_a_handling_loss_and_what_arrives_are_all_there_was(cords, loss):
    arrives, lost = with_loss(cords, loss=loss)

    assert arrives + lost == cords
    assert arrives > 0
    assert lost >= 0


@pytest.mark.parametrize("loss", [Fraction(1), Fraction(-1, 10), Fraction(3, 2)])
def test_a_loss_of_everything_is_refused(loss):
    with pytest.raises(BadMovement, match="handling loss"):
        with_loss(Fraction(1), loss=loss)

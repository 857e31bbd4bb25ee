"""This week's work given to people: what it adds up to, who is not given it, how few share a piece."""

from dataclasses import replace

import pytest

from routing.season.hands import Piece, hand_out
from routing.season.problem import Person, Step
from tests.routing.season.seasons import season


def two(ruth, tam, *, tam_does=frozenset(Step) - {Step.FELL}, **changes):
    """A week with so many hours of Ruth's, who does everything, and of Tam's."""
    rest = (0.0,) * (season().periods - 1)
    people = (
        Person(key="ruth", name="Ruth", hours=(ruth, *rest)),
        Person(key="tam", name="Tam", hours=(tam, *rest), steps=frozenset(tam_does)),
    )
    return season(people=people, **changes)


def test_a_piece_nobody_else_does_leaves_the_rest_to_the_other():
    """By hand: Ruth has 3 h and must fell them; Tam splits."""
    work = [Piece(Step.FELL, 30), Piece(Step.SPLIT, 25)]

    assert hand_out(two(3.0, 4.0), work) == {(0, 0): 30, (1, 1): 25}


def test_work_is_shared_only_where_one_has_too_few_hours():
    work = [Piece(Step.SPLIT, 40), Piece(Step.STACK, 20)]

    given = hand_out(two(4.0, 2.0), work)

    assert given == {(0, 0): 40, (1, 1): 20}
    shared = hand_out(two(3.0, 3.0), work)
    assert sum(shared.values()) == 60
    assert len(shared) == 3  # one of the two pieces has two people


def test_of_ways_with_as_few_hands_nobody_is_pressed_more_than_the_other():
    work = [Piece(Step.SPLIT, 20), Piece(Step.STACK, 20)]

    assert {who for who, _ in hand_out(two(4.0, 4.0), work)} == {0, 1}


def test_closed_saws_leave_each_feller_their_share_of_the_week():
    both = two(4.0, 4.0, tam_does=frozenset(Step), allowed={Step.FELL: (0.5,) * 6})

    assert hand_out(both, [Piece(Step.FELL, 40)]) == {(0, 0): 20, (1, 0): 20}


def test_what_nobody_does_is_nobodys():
    asked = replace(two(4.0, 4.0), people=(replace(season().people[0], steps=frozenset({Step.SPLIT})),))

    assert hand_out(asked, [Piece(Step.FELL, 10), Piece(Step.SPLIT, 5)]) == {(0, 1): 5}


@pytest.mark.parametrize("over", [0, 1])
def test_a_tenth_that_rounding_asks_for_is_given_all_the_same(over):
    work = [Piece(Step.FELL, 30 + over)]

    assert hand_out(two(3.0, 9.0), work) == {(0, 0): 30 + over}


def test_what_is_somebodys_already_stays_theirs_though_it_takes_more_than_they_have():
    work = [Piece(Step.DELIVER_NEAR, 30, only=1), Piece(Step.SPLIT, 20)]

    assert hand_out(two(4.0, 2.0), work) == {(1, 0): 30, (0, 1): 20}

"""Hand edits: re-timed, re-refereed, priced."""

import pytest

from routing.core.check import check_plan
from routing.core.edit import (
    NoSuchPlace,
    fixed,
    move_load,
    move_part,
    pinned,
    remove_order,
    reorder_load,
    swap_yard,
    unpinned,
)
from routing.core.plan import timed
from routing.core.planner import StopRule, plan
from routing.core.problem import FrozenLoad

from .days import day

SKETCH = (("Friday-big", (("Siding", ("Tanner.1", "Finch.1")), ("Creek", ("Sool.1",)))),)


@pytest.fixture
def problem():
    return day()


@pytest.fixture
def before(problem):
    return timed(problem, SKETCH)


def loads_of(edit):
    return [(load.yard, load.parts) for load in edit.plan.runs[0].loads]


def test_moving_a_drop_to_another_load_is_timed_and_priced(problem, before):
    edit = move_part(problem, before, part="Finch.1", shift="Friday-big", load=1, position=0)

    assert edit.ok
    assert loads_of(edit) == [("Siding", ("Tanner.1",)), ("Creek", ("Finch.1", "Sool.1"))]
    assert edit.change_c == check_plan(problem, edit.plan).cost_c - check_plan(problem, before).cost_c
    assert edit.plan.runs[0].home_s > edit.plan.runs[0].leave_s > 0


def test_a_left_out_drop_may_open_a_new_load(problem, before):
    edit = move_part(problem, before, part="Keats.1", shift="Friday-big", load=2, position=0, yard="Siding")

    assert edit.ok
    assert loads_of(edit)[2] == ("Siding", ("Keats.1",))


def test_moving_within_a_load_counts_places_as_they_were(problem, before):
    edit = move_part(problem, before, part="Tanner.1", shift="Friday-big", load=0, position=2)

    assert loads_of(edit)[0] == ("Siding", ("Finch.1", "Tanner.1"))


def test_an_edit_that_breaks_a_rule_says_which(problem, before):
    edit = swap_yard(problem, before, shift="Friday-big", load=1, yard="Siding")

    assert not edit.ok
    assert any("holds 0" in sentence for sentence in edit.verdict.sentences)


def test_an_edit_that_misses_a_window_still_gives_its_plan(problem, before):
    edit = move_load(problem, before, shift="Friday-big", load=0, to_shift="Friday-big", position=1)

    assert [load.yard for load in edit.plan.runs[0].loads] == ["Creek", "Siding"]
    assert edit.ok == (not edit.verdict.faults)


def test_removing_an_order_saves_its_drive_and_loses_its_value(problem, before):
    edit = remove_order(problem, before, order="Sool")

    assert edit.ok
    assert loads_of(edit) == [("Siding", ("Tanner.1", "Finch.1"))]
    assert edit.verdict.left_out_c == check_plan(problem, before).left_out_c + 10_500


def test_reordering_back_costs_what_it_saved(problem, before):
    there = reorder_load(problem, before, shift="Friday-big", load=0, parts=("Finch.1", "Tanner.1"))
    back = reorder_load(problem, there.plan, shift="Friday-big", load=0, parts=("Tanner.1", "Finch.1"))

    assert there.change_c == -back.change_c
    assert back.plan == before


@pytest.mark.parametrize(
    "wrong",
    [
        lambda p, b: move_part(p, b, part="Nobody.1", shift="Friday-big", load=0, position=0),
        lambda p, b: move_part(p, b, part="Finch.1", shift="Monday", load=0, position=0),
        lambda p, b: move_part(p, b, part="Finch.1", shift="Friday-big", load=9, position=0),
        lambda p, b: swap_yard(p, b, shift="Friday-big", load=0, yard="Nowhere"),
        lambda p, b: reorder_load(p, b, shift="Friday-big", load=0, parts=("Finch.1",)),
        lambda p, b: remove_order(p, b, order="Nobody"),
        lambda p, b: pinned(p, b, part="Keats.1"),
        lambda p, b: fixed(p, b, shifts=["Monday"]),
    ],
)
def test_a_place_that_is_not_there_is_refused_with_a_sentence(problem, before, wrong):
    with pytest.raises(NoSuchPlace, match="reload the page"):
        wrong(problem, before)


def test_a_pin_holds_through_planning_anew_and_can_be_taken_out(problem, before):
    held = pinned(problem, before, part="Sool.1", with_yard=True)

    again = plan(held, stop=StopRule(steps=100))

    assert again.plan.place_of("Sool.1")[0] == "Friday-big"
    assert unpinned(held, part="Sool.1") == problem


def test_fixing_a_run_plans_only_what_is_left(problem, before):
    held = fixed(problem, before, shifts=["Friday-big"])

    again = plan(held, stop=StopRule(steps=50))

    assert held.frozen[0].loads[1] == FrozenLoad(yard="Creek", parts=("Sool.1",))
    assert again.plan.sketch == before.sketch
    assert {p.order for p in again.postponed} == {"Keats", "Bardo"}

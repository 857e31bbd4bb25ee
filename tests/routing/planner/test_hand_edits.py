"""Hand edits: re-timed, checked again, priced."""

import random
from fractions import Fraction

import pytest

from routing.planner.clock import timed
from routing.planner.fault_sentences import fault_sentences
from routing.planner.fleet import Truck
from routing.planner.hand_edits import Judge, NoSuchPlace, move_part, remove_order
from routing.planner.referee import check_plan

from .days import day, order, rig, rig_run, yard

SKETCH = (("Friday-big", (("Siding", ("Tanner.1", "Finch.1")), ("Creek", ("Sool.1",)))),)


@pytest.fixture
def problem():
    return day()


@pytest.fixture
def before(problem):
    return timed(problem, SKETCH)


def loads_of(edit):
    return [load.sketch for load in edit.plan.runs[0].loads]


def test_moving_a_drop_to_another_load_is_timed_and_priced(problem, before):
    edit = move_part(problem, before, part="Finch.1", run="Friday-big", load=1, position=0)

    assert edit.ok
    assert loads_of(edit) == [("Siding", ("Tanner.1",)), ("Creek", ("Finch.1", "Sool.1"))]
    assert edit.change_c == check_plan(problem, edit.plan).cost_c - check_plan(problem, before).cost_c
    assert edit.plan.runs[0].home_s > edit.plan.runs[0].leave_s > 0


def test_a_left_out_drop_may_open_a_new_load(problem, before):
    edit = move_part(problem, before, part="Keats.1", run="Friday-big", load=2, position=0, yard="Siding")

    assert edit.ok
    assert loads_of(edit)[2] == ("Siding", ("Keats.1",))


def test_moving_within_a_load_counts_places_as_they_were(problem, before):
    edit = move_part(problem, before, part="Tanner.1", run="Friday-big", load=0, position=2)

    assert loads_of(edit)[0] == ("Siding", ("Finch.1", "Tanner.1"))


def test_moving_there_and_back_costs_nothing(problem, before):
    there = move_part(problem, before, part="Tanner.1", run="Friday-big", load=0, position=2)
    back = move_part(problem, there.plan, part="Tanner.1", run="Friday-big", load=0, position=0)

    assert there.change_c == -back.change_c
    assert back.plan == before


def test_an_edit_that_breaks_a_rule_says_which(problem, before):
    edit = move_part(problem, before, part="Sool.1", run="Friday-big", load=0, position=0)

    assert not edit.ok
    assert any("has 0" in str(sentence) for sentence in fault_sentences(problem, edit.verdict))


def test_an_edit_that_misses_a_window_still_gives_its_plan():
    problem = day(orders=(order("Finch", 2), order("Tanner", 4, window_s=(8 * 3600, 8 * 3600 + 60))))
    before = timed(problem, (("Friday-big", (("Siding", ("Tanner.1", "Finch.1")),)),))

    edit = move_part(problem, before, part="Tanner.1", run="Friday-big", load=0, position=2)

    assert loads_of(edit) == [("Siding", ("Finch.1", "Tanner.1"))]
    assert edit.verdict.rules == ("clock",)


def test_removing_an_order_saves_its_drive_and_loses_its_value(problem, before):
    edit = remove_order(problem, before, order="Sool")

    assert edit.ok
    assert loads_of(edit) == [("Siding", ("Tanner.1", "Finch.1"))]
    assert edit.verdict.left_out_c == check_plan(problem, before).left_out_c + 10_500


def test_a_drop_of_another_yard_makes_a_load_of_two_yards_where_that_is_allowed(before):
    problem = day(fill_yards=2, rigs=(rig("big", "Siding", cap_ft3=300, cap_lb=9000),))

    edit = move_part(problem, before, part="Sool.1", run="Friday-big", load=0, position=0, yard="Creek")

    assert edit.ok
    assert loads_of(edit) == [
        ((("Siding", ("Tanner.1", "Finch.1")), ("Creek", ("Sool.1",))), ("Sool.1", "Tanner.1", "Finch.1"))
    ]
    back = remove_order(problem, edit.plan, order="Sool")
    assert loads_of(back) == [("Siding", ("Tanner.1", "Finch.1"))]


def one_pickup():
    """Two trailers behind it, and Keats wants the wood early."""
    return day(
        trucks=(Truck(id="pickup", hitch_s=900),),
        rigs=(
            rig("big", "Siding", truck="pickup"),
            rig("small", "Siding", truck="pickup", loaded_c_km=Fraction(45)),
        ),
        runs=(rig_run("Friday-big", "big"), rig_run("Friday-small", "small")),
        yards=(yard("Siding", 0), yard("Creek", 1, stock=(("fir", 12), ("oak", 12)))),
        orders=(
            order("Finch", 2),
            order("Sool", 3, quantity=4, wood="oak"),
            order("Tanner", 4),
            order("Keats", 5, quantity=3, window_s=(8 * 3600, 8 * 3600 + 900)),
        ),
    )


def test_a_new_run_of_the_same_pickup_goes_where_it_can_be_driven(before):
    """The small trailer must go before the big one, whatever order they stand in."""
    problem = one_pickup()

    edit = move_part(problem, before, part="Keats.1", run="Friday-small", load=0, position=0, yard="Siding")

    assert edit.ok, edit.verdict.faults
    assert [run.id for run in edit.plan.runs] == ["Friday-small", "Friday-big"]
    assert edit.plan.runs[1].leave_s >= edit.plan.runs[0].home_s + 900


@pytest.mark.parametrize(
    "wrong",
    [
        lambda p, b: move_part(p, b, part="Nobody.1", run="Friday-big", load=0, position=0),
        lambda p, b: move_part(p, b, part="Finch.1", run="Monday", load=0, position=0),
        lambda p, b: move_part(p, b, part="Finch.1", run="Friday-big", load=9, position=0),
        lambda p, b: move_part(p, b, part="Finch.1", run="Friday-big", load=0, position=0, yard="Nowhere"),
        lambda p, b: move_part(p, b, part="Keats.1", run="Friday-big", load=2, position=0),
        lambda p, b: remove_order(p, b, order="Nobody"),
    ],
)
def test_a_place_that_is_not_there_is_refused_with_a_sentence(problem, before, wrong):
    with pytest.raises(NoSuchPlace, match="reload the page"):
        wrong(problem, before)


def test_a_judge_that_has_seen_other_plans_says_the_same_as_a_new_one():
    """Runs it has timed and driven before are taken as they were: random edits, each beside a fresh look."""
    dice = random.Random(14)
    problem = one_pickup()
    judge, plan = Judge(problem), timed(problem, SKETCH)
    parts = [part.id for order in problem.orders for part in order.parts]
    for _ in range(60):
        run = dice.choice(problem.runs).id
        here = plan.run_of(run)
        load = dice.randrange(len(here.loads) + 1 if here else 1)
        stops = len(here.loads[load].stops) if here and load < len(here.loads) else 0
        place = {"run": run, "load": load, "position": dice.randint(0, stops), "yard": problem.yards[0].id}
        part = dice.choice(parts)
        edit = move_part(problem, plan, part=part, **place, judge=judge)
        assert edit == move_part(problem, plan, part=part, **place)
        if edit.ok:
            plan = edit.plan

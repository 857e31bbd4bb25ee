"""The planner against brute force, reference costs and its own referee."""

import json
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from routing.planner.compiled import IS_COMPILED
from routing.planner.job import BadStopRule
from routing.planner.plan_format import plan_document, problem_from
from routing.planner.problem import Pin, YardShut
from routing.planner.referee import check_plan
from routing.planner.solve import StopRule, plan, warm_up

from .days import all_plans, day, order, random_day, rig, rig_run, yard

INSTANCES = Path(__file__).resolve().parents[3] / "fixtures" / "instances"
PROVEN = {"fw-006-a": 33378, "fw-008-li": 62032, "fw-010-b": 59331}
STEPS = StopRule(steps=400)


@pytest.mark.parametrize(("name", "best_c"), PROVEN.items())
def test_it_proves_the_reference_optimum(name, best_c):
    """Best costs: fixtures/instances/reference.csv, status optimal."""
    problem = problem_from(json.loads((INSTANCES / f"{name}.json").read_text()))

    result = plan(problem, stop=STEPS, seed=0)

    assert result.cost_c == best_c
    assert result.lower_bound_c == best_c
    assert result.status == "optimal"


@pytest.mark.parametrize("seed", range(6))
def test_it_finds_what_brute_force_finds(seed):
    problem = random_day(seed, orders=3)
    verdicts = [check_plan(problem, candidate) for candidate in all_plans(problem)]

    result = plan(problem, stop=STEPS, seed=1)

    assert result.cost_c == min(verdict.cost_c for verdict in verdicts if verdict.ok)
    assert result.status == "optimal"


@pytest.mark.slow
@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000), orders=st.integers(1, 9), runs=st.integers(1, 3))
def test_every_plan_passes_the_referee_and_its_bound_is_below_it(seed, orders, runs):
    problem = random_day(seed, orders=orders, runs=runs)

    result = plan(problem, stop=StopRule(steps=120), seed=seed)

    verdict = check_plan(problem, result.plan)
    assert verdict.ok, verdict.faults
    assert verdict.cost_c == result.cost_c
    assert result.lower_bound_c is not None
    assert result.lower_bound_c <= result.cost_c
    assert {p.order for p in result.postponed} == set(verdict.left_out)
    assert all(str(p.reason).endswith(".") for p in result.postponed)


def test_equal_seed_and_steps_give_the_same_plan():
    problem = problem_from(json.loads((INSTANCES / "fw-030-d.json").read_text()))
    stop = StopRule(steps=150)

    first, second = (plan(problem, stop=stop, seed=3) for _ in range(2))

    assert first.plan == second.plan
    assert first.lower_bound_c == second.lower_bound_c


@pytest.mark.skipif(not IS_COMPILED, reason="without numba nothing is compiled")
def test_no_plan_waits_for_a_loop_that_the_warm_up_left_out():
    """A day of two runs compiled one loop again for eight seconds: a column is laid out otherwise."""
    warm_up()
    modules = [module for name, module in sys.modules.items() if name.startswith("routing.planner")]
    loops = {thing for module in modules for thing in vars(module).values() if hasattr(thing, "py_func")}
    compiled = {loop: len(loop.signatures) for loop in loops}

    plan(random_day(3, orders=6, runs=2), stop=StopRule(steps=200))

    assert sum(compiled.values()) > 0
    assert {loop: len(loop.signatures) for loop in loops} == compiled


def test_a_bigger_week_gets_a_plan_and_a_bound():
    problem = problem_from(json.loads((INSTANCES / "fw-060-e.json").read_text()))

    result = plan(problem, stop=StopRule(steps=200), seed=0)

    assert check_plan(problem, result.plan).ok
    assert result.status == "bounded"
    assert 0 < result.lower_bound_c < result.cost_c


def test_progress_only_gets_better_and_cancel_keeps_the_best():
    problem = problem_from(json.loads((INSTANCES / "fw-060-e.json").read_text()))
    heard = []

    result = plan(
        problem,
        stop=StopRule(steps=100_000),
        progress=heard.append,
        cancelled=lambda: len(heard) > 3,
    )

    costs = [moment.cost_c for moment in heard]
    assert costs == sorted(costs, reverse=True)
    assert result.was_cancelled
    assert result.cost_c == costs[-1]
    assert result.history == tuple(heard)


@pytest.mark.parametrize("runs", [1, 2])
def test_progress_tells_the_drive_apart_from_what_left_out_orders_count(runs):
    heard = []

    result = plan(random_day(7, orders=9, runs=runs), stop=STEPS, progress=heard.append)

    last = heard[-1]
    assert last.left_out == len(result.postponed)
    driven = check_plan(random_day(7, orders=9, runs=runs), result.plan)
    assert last.left_out_c == driven.left_out_c
    assert last.cost_c == driven.cost_c


def test_a_good_start_is_never_made_worse():
    problem = random_day(5, orders=6, runs=2)
    good = plan(problem, stop=STEPS)

    again = plan(problem, stop=StopRule(steps=1), start=good.plan)

    assert again.cost_c <= good.cost_c


@pytest.mark.parametrize("limit", [{}, {"seconds": 0}, {"steps": -1}])
def test_a_stop_rule_that_cannot_stop_is_refused(limit):
    with pytest.raises(BadStopRule, match="Say when to stop"):
        StopRule(**limit)


def test_no_orders_is_a_plan_without_runs():
    result = plan(day(orders=()), stop=STEPS)

    assert result.plan.runs == ()
    assert (result.cost_c, result.lower_bound_c, result.status) == (0, 0, "optimal")


ODD_DAYS = {
    "no wood": (day(yards=(yard("Siding", 0, stock=()), yard("Creek", 1, stock=()))), "No yard has"),
    "too big": (day(rigs=(rig("big", "Siding", cap_ft3=0, cap_lb=0),)), "No rig that may come carries"),
    "trailer": (
        day(orders=(order("Tanner", 2, no_trailer=True),)),
        "No rig small enough is out",
    ),
    "no run": (day(runs=()), "No rig is out"),
    "yard shut": (
        day(shuts=(YardShut(yard="Siding", date=0), YardShut(yard="Creek", date=0))),
        "is closed on Friday",
    ),
    "window": (
        day(orders=(order("Tanner", 2, window_s=(0, 7 * 3600 + 60)),)),
        "too short after loading",
    ),
    "too far": (
        day(runs=(rig_run("Friday-big", "big", max_s=600),)),
        "does not fit in the longest day",
    ),
    "not worth": (day(orders=(order("Tanner", 2, value_c=100, postpone_c=0),)), "is worth $1.00"),
}


@pytest.mark.parametrize("code", ODD_DAYS)
def test_an_odd_day_ends_with_a_reason_for_every_order(code):
    problem, words = ODD_DAYS[code]

    result = plan(problem, stop=StopRule(steps=20))

    assert {p.order for p in result.postponed} == {o.id for o in problem.orders}
    assert {p.code for p in result.postponed} == {code}
    assert all(words in str(p.reason) for p in result.postponed)
    assert result.status == "optimal"


def test_wood_that_others_take_is_the_reason_given():
    problem = day(
        yards=(yard("Siding", 0, stock=(("fir", 6),)),),
        rigs=(rig("big", "Siding"),),
        orders=(order("Finch", 2), order("Keats", 5, value_c=9_000)),
    )

    result = plan(problem, stop=STEPS)

    assert [(p.order, p.code) for p in result.postponed] == [("Keats", "wood taken")]


def test_a_two_part_order_is_brought_whole_or_not_at_all():
    problem = random_day(11, orders=8, runs=2)

    result = plan(problem, stop=STEPS)

    brought = set(result.plan.parts)
    for each in problem.orders:
        assert len({part.id in brought for part in each.parts}) == 1


def test_a_pinned_part_travels_where_it_is_pinned():
    problem = day(
        runs=(rig_run("Friday-big", "big"), rig_run("Saturday-big", "big", date=1)),
        dates=("Friday", "Saturday"),
        orders=tuple(replace(o, dates=(0, 1)) for o in day().orders),
        pins=(Pin(part="Finch.1", run="Saturday-big", yard="Creek"),),
    )

    result = plan(problem, stop=STEPS)

    run_id, load, _ = result.plan.place_of("Finch.1")
    assert run_id == "Saturday-big"
    assert result.plan.run_of(run_id).loads[load].yards == ("Creek",)


def test_a_fixed_run_stays_and_the_rest_is_planned_around_it():
    fixed = ("Friday-big", (("Siding", ("Keats.1", "Finch.1")),))
    problem = day(runs=(*day().runs, rig_run("Friday-2", "big")), frozen=(fixed,))

    result = plan(problem, stop=STEPS)

    run = result.plan.run_of("Friday-big")
    assert [load.sketch for load in run.loads] == [("Siding", ("Keats.1", "Finch.1"))]
    assert len(result.plan.runs) == 2
    assert check_plan(problem, result.plan).ok


def test_a_written_plan_names_its_proof():
    problem = random_day(2, orders=4)
    result = plan(problem, stop=STEPS)

    document = plan_document(problem, result)

    assert document["cost_c"] == document["lower_bound_c"]
    assert document["status"] == "optimal"
    assert json.loads(json.dumps(document)) == document

"""The referee: every rule broken on purpose, and its agreement with the given scorer."""

import importlib.util
import json
import random
from dataclasses import replace
from pathlib import Path

import pytest

from routing.core.check import RULES, check_plan
from routing.core.edit import judged
from routing.core.instance import problem_from, shifts_document
from routing.core.plan import LoadPlan, Plan, RunPlan, StopPlan, timed
from routing.core.planner import StopRule, plan
from routing.core.problem import FrozenLoad, FrozenRun, Pin, PlanPart, YardShut

from .days import day, order, random_day, rig, shift, yard

INSTANCES = Path(__file__).resolve().parents[4] / "fixtures" / "instances"
GOOD = (("Friday-big", (("Siding", ("Tanner.1", "Finch.1")), ("Creek", ("Sool.1",)))),)


def bare(*runs: tuple) -> Plan:
    """A plan without times from (shift, ((yard, parts), ...))."""
    return Plan(
        runs=tuple(
            RunPlan(
                shift=shift_id,
                loads=tuple(
                    LoadPlan(yard=y, stops=tuple(StopPlan(part=p, order="") for p in parts))
                    for y, parts in loads
                ),
            )
            for shift_id, loads in runs
        )
    )


def scorer():
    """The given scorer as a module."""
    spec = importlib.util.spec_from_file_location("score", INSTANCES / "score.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_a_good_plan_has_no_fault():
    problem = day()

    verdict = check_plan(problem, timed(problem, GOOD))

    assert verdict.faults == ()
    assert verdict.left_out == ("Keats", "Bardo")
    assert verdict.cost_c == pytest.approx(
        verdict.road_c + verdict.driver_c + verdict.fixed_c + verdict.left_out_c, abs=2
    )


BROKEN = {
    "unknown": (day(), bare(("Monday", (("Siding", ("Finch.1",)),)))),
    "twice": (day(), bare(("Friday-big", (("Siding", ("Finch.1", "Finch.1")),)))),
    "all or none": (
        day(
            orders=(
                order(
                    "Finch",
                    2,
                    parts=(PlanPart(id="a", lines=(("fir", 6),)), PlanPart(id="b", lines=(("fir", 6),))),
                ),
            )
        ),
        bare(("Friday-big", (("Siding", ("a",)),))),
    ),
    "date": (
        day(dates=("Friday", "Saturday"), orders=(order("Finch", 2, dates=(1,)),)),
        bare(("Friday-big", (("Siding", ("Finch.1",)),))),
    ),
    "trailer": (
        day(orders=(order("Finch", 2, no_trailer=True),)),
        bare(("Friday-big", (("Siding", ("Finch.1",)),))),
    ),
    "volume": (
        day(rigs=(rig("big", "Siding", cap_ft3=89),)),
        bare(("Friday-big", (("Siding", ("Finch.1",)),))),
    ),
    "weight": (
        day(rigs=(rig("big", "Siding", cap_lb=1439),)),
        bare(("Friday-big", (("Siding", ("Finch.1",)),))),
    ),
    "yard hours": (
        day(shuts=(YardShut(yard="Siding", date=0, reason="mud"),)),
        bare(("Friday-big", (("Siding", ("Finch.1",)),))),
    ),
    "window": (
        day(orders=(order("Finch", 2, window_s=(0, 7 * 3600)),)),
        bare(("Friday-big", (("Siding", ("Finch.1",)),))),
    ),
    "shift": (
        day(shifts=(shift("Friday-big", "big", end_s=8 * 3600),)),
        bare(("Friday-big", (("Siding", ("Finch.1",)),))),
    ),
    "longest": (
        day(shifts=(shift("Friday-big", "big", max_s=1800),)),
        bare(("Friday-big", (("Siding", ("Finch.1",)),))),
    ),
    "stock": (
        day(yards=(yard("Siding", 0, stock=(("fir", 5),)), yard("Creek", 1))),
        bare(("Friday-big", (("Siding", ("Finch.1",)),))),
    ),
    "pin": (
        day(pins=(Pin(part="Finch.1", shift="Friday-big", yard="Creek"),)),
        bare(("Friday-big", (("Siding", ("Finch.1",)),))),
    ),
    "frozen": (
        day(frozen=(FrozenRun(shift="Friday-big", loads=(FrozenLoad(yard="Siding", parts=("Finch.1",)),)),)),
        bare(("Friday-big", (("Creek", ("Finch.1",)),))),
    ),
}


def test_every_rule_but_the_clock_is_broken_below():
    assert set(BROKEN) | {"clock"} == set(RULES)


@pytest.mark.parametrize("rule", BROKEN)
def test_a_broken_rule_is_named(rule):
    problem, broken = BROKEN[rule]

    verdict = check_plan(problem, broken)

    assert not verdict.ok
    assert rule in {fault.rule for fault in verdict.faults}
    assert all(fault.sentence.endswith(".") for fault in verdict.faults)


def test_times_that_do_not_follow_from_the_road_are_a_fault():
    problem = day()
    good = timed(problem, GOOD)
    late = replace(good, runs=(replace(good.runs[0], home_s=good.runs[0].home_s - 60),))

    verdict = check_plan(problem, late)

    assert [fault.rule for fault in verdict.faults] == ["clock"]


@pytest.mark.parametrize("seed", range(30))
def test_one_change_to_a_plan_is_judged_as_the_scorer_judges_it(seed):
    """Plans of small instances with one thing disturbed: same verdict, same cents."""
    draw = random.Random(seed)
    name = draw.choice(["fw-006-a", "fw-008-li", "fw-010-b", "fw-012-li"])
    instance = json.loads((INSTANCES / f"{name}.json").read_text())
    problem = problem_from(instance)
    sketch = [
        [s, [[y, list(parts)] for y, parts in loads]]
        for s, loads in plan(problem, stop=StopRule(steps=5), seed=seed).plan.sketch
    ]
    _disturb(draw, problem, sketch)

    plan_now, verdict = judged(
        problem, [(s, tuple((y, tuple(parts)) for y, parts in loads)) for s, loads in sketch]
    )

    given = scorer().score(instance, {"shifts": shifts_document(plan_now)})
    assert verdict.ok == given["feasible"], (verdict.sentences, given["errors"])
    if not any("misses its time window" in error for error in given["errors"]):
        assert verdict.cost_c == given["cost_c"]


def _disturb(draw: random.Random, problem, sketch) -> None:
    loads = [load for _, run in sketch for load in run if load[1]]
    one, other = draw.choice(loads), draw.choice(loads)
    kind = draw.randrange(5)
    if kind == 0:
        one[0] = draw.choice(problem.yards).id
    elif kind == 1:
        draw.shuffle(one[1])
    elif kind == 2:
        other[1].append(one[1].pop())
    elif kind == 3:
        one[1].pop()
    else:
        brought = {p for load in loads for p in load[1]}
        one[1].extend(p.id for o in problem.orders for p in o.parts if p.id not in brought)


@pytest.mark.parametrize("seed", range(40))
def test_the_clock_and_the_referee_agree_on_random_days(seed):
    problem = random_day(seed, orders=5, shifts=2)

    result = plan(problem, stop=StopRule(steps=3), seed=seed)

    verdict = check_plan(problem, result.plan)
    assert verdict.ok
    assert verdict.cost_c == result.cost_c

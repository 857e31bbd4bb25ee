"""The referee: every rule broken on purpose, and its agreement with the given scorer."""

import importlib.util
import json
import random
import re
from dataclasses import replace
from pathlib import Path

import pytest

from routing.planner.clock import timed
from routing.planner.fault_sentences import fault_sentences
from routing.planner.fleet import RoadBand, Roads, Truck
from routing.planner.hand_edits import judged
from routing.planner.plan import FillPlan, LoadPlan, Plan, RunPlan, StopPlan
from routing.planner.plan_format import problem_from, runs_document, sketch_from
from routing.planner.problem import Pin, PlanPart, YardShut
from routing.planner.referee import check_plan
from routing.planner.sketches import fills_of
from routing.planner.solve import StopRule, plan
from routing.planner.verdict import RULES

from .days import day, order, random_day, rig, rig_run, yard

INSTANCES = Path(__file__).resolve().parents[3] / "fixtures" / "instances"
GOOD = (("Friday-big", (("Siding", ("Tanner.1", "Finch.1")), ("Creek", ("Sool.1",)))),)


def bare(*runs: tuple) -> Plan:
    """A plan without times from (run, ((yard, parts), ...))."""
    return Plan(
        runs=tuple(
            RunPlan(
                id=run_id,
                loads=tuple(
                    LoadPlan(
                        fills=tuple(FillPlan(yard=y, parts=parts) for y, parts in fills_of(load)),
                        stops=tuple(StopPlan(part=p, order="") for p in load[1]),
                    )
                    for load in loads
                ),
            )
            for run_id, loads in runs
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


ONE = (("Friday-big", (("Siding", ("Finch.1",)),)),)
TWO_RIGS = {
    "rigs": (rig("big", "Siding", truck="pickup"), rig("small", "Siding", truck="pickup")),
    "trucks": (Truck(id="pickup", hitch_s=900),),
}
SHORT = rig_run("Friday-small", "small", end_s=8 * 3600 + 1200)

# (rule, what of it): the problem and a plan that breaks it
BROKEN = {
    ("plan", "run"): (day(), bare(("Monday", (("Siding", ("Finch.1",)),)))),
    ("plan", "yard"): (day(), bare(("Friday-big", (("Nowhere", ("Finch.1",)),)))),
    ("plan", "part"): (day(), bare(("Friday-big", (("Siding", ("Nobody.1",)),)))),
    ("plan", "twice"): (day(), bare(("Friday-big", (("Siding", ("Finch.1", "Finch.1")),)))),
    ("plan", "run twice"): (day(), bare(*ONE, ("Friday-big", (("Siding", ("Keats.1",)),)))),
    ("split", ""): (
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
    ("date", ""): (
        day(dates=("Friday", "Saturday"), orders=(order("Finch", 2, dates=(1,)),)),
        bare(*ONE),
    ),
    ("trailer", ""): (day(orders=(order("Finch", 2, no_trailer=True),)), bare(*ONE)),
    ("capacity", "volume"): (day(rigs=(rig("big", "Siding", cap_ft3=89),)), bare(*ONE)),
    ("capacity", "weight"): (day(rigs=(rig("big", "Siding", cap_lb=1439),)), bare(*ONE)),
    ("capacity", "bed"): (
        day(rigs=(rig("big", "Siding", cap_lb=1439, bed_ft3=90, bed_lb=1000),)),
        bare(*ONE),
    ),
    ("fill", "too many"): (
        day(),
        bare(("Friday-big", (((("Siding", ("Finch.1",)), ("Creek", ("Sool.1",))), ("Finch.1", "Sool.1")),))),
    ),
    ("fill", "parts"): (
        day(fill_yards=2),
        bare(("Friday-big", (((("Siding", ("Finch.1",)), ("Creek", ("Sool.1",))), ("Finch.1",)),))),
    ),
    ("fill", "yards"): (
        day(fill_yards=2),
        bare(
            ("Friday-big", (((("Siding", ("Finch.1",)), ("Siding", ("Keats.1",))), ("Finch.1", "Keats.1")),))
        ),
    ),
    ("clock", "shut"): (day(shuts=(YardShut(yard="Siding", date=0, reason="mud"),)), bare(*ONE)),
    ("clock", "yard"): (day(yards=(yard("Siding", 0, close_s=7 * 3600), yard("Creek", 1))), bare(*ONE)),
    ("clock", "drop"): (day(orders=(order("Finch", 2, window_s=(0, 7 * 3600)),)), bare(*ONE)),
    ("clock", "home"): (day(runs=(rig_run("Friday-big", "big", end_s=8 * 3600),)), bare(*ONE)),
    ("shared", "truck"): (
        day(**TWO_RIGS, runs=(rig_run("Friday-big", "big"), SHORT)),
        bare(*ONE, ("Friday-small", (("Siding", ("Keats.1",)),))),
    ),
    ("shared", "driver"): (
        day(
            rigs=(rig("big", "Siding"), rig("small", "Siding")),
            runs=(rig_run("Friday-big", "big", driver="Ruth"), replace(SHORT, driver="Ruth")),
        ),
        bare(*ONE, ("Friday-small", (("Siding", ("Keats.1",)),))),
    ),
    ("pause", ""): (
        day(
            runs=(rig_run("Friday-big", "big", break_s=1800, break_window_s=(8 * 3600, 8 * 3600)),),
            orders=(order("Finch", 2, window_s=(8 * 3600 + 900, 8 * 3600 + 900)),),
        ),
        bare(*ONE),
    ),
    ("hours", ""): (day(runs=(rig_run("Friday-big", "big", max_s=1800),)), bare(*ONE)),
    ("crew", ""): (day(runs=(rig_run("Friday-big", "big", most_quantity=5),)), bare(*ONE)),
    ("stock", ""): (
        day(yards=(yard("Siding", 0, stock=(("fir", 5),)), yard("Creek", 1))),
        bare(*ONE),
    ),
    ("road", "drop"): (
        day(
            rigs=(
                rig(
                    "big",
                    "Siding",
                    roads=(RoadBand(over_lb=0, table="road"), RoadBand(over_lb=1000, table="none")),
                ),
            ),
            roads=(*day().roads, ("none", Roads.of([[None] * 7] * 7, [[None] * 7] * 7))),
        ),
        bare(*ONE),
    ),
    ("pin", ""): (day(pins=(Pin(part="Finch.1", run="Friday-big", yard="Creek"),)), bare(*ONE)),
    ("frozen", ""): (day(frozen=ONE), bare(("Friday-big", (("Creek", ("Finch.1",)),)))),
}


def test_every_rule_but_the_stated_times_is_broken_below():
    assert {rule for rule, _ in BROKEN} | {"times"} == set(RULES)


@pytest.mark.parametrize("rule", BROKEN, ids=" ".join)
def test_a_broken_rule_is_named_and_told_in_a_whole_sentence(rule):
    problem, broken = BROKEN[rule]

    verdict = check_plan(problem, broken)

    assert not verdict.ok
    assert rule[0] in verdict.rules
    sentences = [str(sentence) for sentence in fault_sentences(problem, verdict)]
    assert all(sentence.endswith(".") and sentence[0].isupper() for sentence in sentences)
    assert not any("{" in sentence or "  " in sentence or " of ." in sentence for sentence in sentences)


def test_an_order_is_called_by_its_customer_and_number_in_the_readers_language():
    problem, broken = BROKEN["trailer", ""]
    named = replace(problem, orders=tuple(replace(order, name="Gus Morrow") for order in problem.orders))

    [told] = [fault for fault in fault_sentences(named, check_plan(named, broken)) if "trailer" in str(fault)]

    assert re.search(r"Gus Morrow \(order \w+\) cannot take a trailer", str(told))
    assert re.search(r"Gus Morrow \(pedido \w+\) no ", told.text_in("es"))


def test_a_pickup_that_is_out_says_with_what_and_until_when():
    problem, broken = BROKEN["shared", "truck"]

    [sentence] = fault_sentences(problem, check_plan(problem, broken))

    back = timed(problem, ONE).runs[0].home_s
    assert str(sentence).endswith(f"pickup is out with big until {back // 3600}:{back // 60 % 60:02d}.")


def test_times_that_do_not_follow_from_the_road_are_a_fault():
    problem = day()
    good = timed(problem, GOOD)
    late = replace(good, runs=(replace(good.runs[0], home_s=good.runs[0].home_s - 60),))

    verdict = check_plan(problem, late)

    assert [fault.rule for fault in verdict.faults] == ["times"]


@pytest.mark.parametrize(
    "case", json.loads((INSTANCES / "cases.json").read_text()), ids=lambda case: case["name"]
)
def test_the_referee_agrees_with_every_given_case(case):
    problem = problem_from(case["instance"])
    plan_now, verdict = judged(problem, sketch_from(case["plan"]))

    assert verdict.ok == case["feasible"], verdict.faults
    if case["feasible"]:
        assert verdict.cost_c == case["cost_c"]
        assert timed(problem, plan_now.sketch) == plan_now
    else:
        assert case["reason"] in verdict.rules


@pytest.mark.slow
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

    given = scorer().score(instance, {"runs": runs_document(plan_now)})
    assert verdict.ok == given["feasible"], (verdict.faults, given["errors"])
    assert verdict.cost_c == given["cost_c"]


@pytest.mark.parametrize("name", ["example-plan", "example-plan-real"])
def test_the_example_plans_are_drivable_at_the_scorer_s_cost(name):
    document = json.loads((INSTANCES / f"{name}.json").read_text())
    instance = json.loads((INSTANCES / f"{document['instance']}.json").read_text())

    _, verdict = judged(problem_from(instance), sketch_from(document))

    assert verdict.ok, verdict.faults
    assert verdict.cost_c == scorer().score(instance, document)["cost_c"]


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
    problem = random_day(seed, orders=5, runs=2)

    result = plan(problem, stop=StopRule(steps=3), seed=seed)

    verdict = check_plan(problem, result.plan)
    assert verdict.ok
    assert verdict.cost_c == result.cost_c

"""Shared trucks and drivers, pauses, beds, loads of two yards and roads by weight, in every layer."""

import csv
import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from routing.planner.fleet import RoadBand, Truck
from routing.planner.job import Job
from routing.planner.lay_out import lay_out
from routing.planner.plan_format import problem_from
from routing.planner.referee import check_plan
from routing.planner.search.annealing import Annealing
from routing.planner.search.closing import Closing
from routing.planner.solve import StopRule, plan

from .days import FIR, OAK, random_day

INSTANCES = Path(__file__).resolve().parents[3] / "fixtures" / "instances"
ALL = ("fr-005-truck", "fr-007-bed", "fr-008-weight", "fr-008-yards", "fr-012-all", "fr-025-all")
FOUND = ("fr-005-truck", "fr-007-bed", "fr-008-weight", "fr-008-yards")
PROVEN = ("fr-005-truck", "fr-007-bed", "fr-008-weight", "fr-008-yards")


def best_known(name):
    with (INSTANCES / "reference.csv").open(encoding="utf-8") as file:
        return next(int(row["best_c"]) for row in csv.DictReader(file) if row["name"] == name)


def instance(name):
    return problem_from(json.loads((INSTANCES / f"{name}.json").read_text(encoding="utf-8")))


@pytest.mark.parametrize("name", ALL)
def test_a_day_with_all_its_limits_gets_a_plan_the_referee_accepts(name):
    problem = instance(name)

    result = plan(problem, stop=StopRule(steps=150), seed=0)

    verdict = check_plan(problem, result.plan)
    assert verdict.ok
    assert verdict.cost_c == result.cost_c
    assert result.lower_bound_c <= min(result.cost_c, best_known(name))


@pytest.mark.parametrize("name", FOUND)
def test_a_plan_of_a_small_day_is_within_a_thousandth_of_the_best_known(name):
    result = plan(instance(name), stop=StopRule(steps=3000), seed=0)

    assert best_known(name) <= result.cost_c <= 1.001 * best_known(name)


@pytest.mark.parametrize("name", PROVEN)
def test_what_the_exact_layer_holds_is_proven(name):
    result = plan(instance(name), stop=StopRule(steps=400), seed=0)

    assert result.status == "optimal"
    assert result.cost_c == best_known(name)


def looked_at(name, seed, *, steps):
    """Cost in cents of the search alone, without bound or proof."""
    problem = instance(name)
    laid = lay_out(problem)
    search = Annealing(laid, seed=seed)
    job = Job(
        problem=problem,
        laid=laid,
        search=search,
        stop=StopRule(steps=steps),
        closing=Closing(laid, seed=seed),
    )
    search.begin()
    job.note()
    job.look(until=1.0)
    return job.history[-1].cost_c


@pytest.mark.slow
def test_three_days_of_shared_trucks_come_out_well_from_nearly_every_start():
    """Starts 0, 4 and 7 once stayed 3 % above the best, with the second pickup out on the first day."""
    costs = [looked_at("fr-025-all", seed, steps=150_000) for seed in (0, 4, 7, 12)]

    assert sorted(costs)[2] <= 1.003 * best_known("fr-025-all")
    assert max(costs) <= 1.04 * best_known("fr-025-all")


def bound_day(seed, *, orders, runs):
    """A drawn day with a shared truck, a driver of two rigs, a pause, a bed and a road posted for weight."""
    problem = random_day(seed, orders=orders, runs=runs)
    roads = dict(problem.roads)["road"]
    longer = replace(
        roads,
        meters=tuple(tuple(m * 2 for m in row) for row in roads.meters),
        seconds=tuple(tuple(None if s > 2000 else s + 60 * (s > 0) for s in row) for row in roads.seconds),
    )
    bands = (RoadBand(over_lb=0, table="road"), RoadBand(over_lb=1500, table="heavy"))
    return replace(
        problem,
        woods=(FIR, replace(OAK, rides_in_bed=True)),
        trucks=(Truck(id="pickup", hitch_s=900),),
        rigs=tuple(replace(rig, truck="pickup", roads=bands, bed_ft3=30, bed_lb=700) for rig in problem.rigs),
        runs=tuple(
            replace(
                run,
                driver="Ann" if number < 3 else "Bo",
                break_s=1800 if seed % 2 else 0,
                break_window_s=(41_400, 46_800),
            )
            for number, run in enumerate(problem.runs)
        ),
        roads=(("road", roads), ("heavy", longer)),
        fill_yards=2 if seed % 3 == 0 else 1,
    )


@pytest.mark.slow
@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000), orders=st.integers(1, 8), runs=st.integers(1, 5))
def test_every_plan_keeps_all_limits_and_its_bound_is_below_it(seed, orders, runs):
    problem = bound_day(seed, orders=orders, runs=runs)

    result = plan(problem, stop=StopRule(steps=200), seed=seed)
    better = plan(problem, stop=StopRule(steps=1500), seed=seed + 1)

    assert check_plan(problem, result.plan).ok
    assert result.lower_bound_c <= min(result.cost_c, better.cost_c)
    assert better.lower_bound_c <= min(result.cost_c, better.cost_c)


@pytest.mark.parametrize("seed", range(0, 24, 2))
def test_runs_that_share_are_proven_together(seed):
    problem = replace(bound_day(seed, orders=5, runs=4), fill_yards=1)

    result = plan(problem, stop=StopRule(steps=400), seed=0)

    assert result.status == "optimal"
    assert plan(problem, stop=StopRule(steps=4000), seed=5).cost_c >= result.cost_c

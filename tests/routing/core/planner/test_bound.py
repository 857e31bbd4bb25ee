"""Bounds never pass the proven best; compiled and plain loops agree."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from routing.core.anneal import Annealing
from routing.core.arrays import lay_out
from routing.core.bound import first_bound, load_bound
from routing.core.compiled import IS_COMPILED
from routing.core.exact import choose, solve_master
from routing.core.plan import half_up_cents
from routing.core.planner import StopRule, plan
from routing.core.polish import recombined

from .days import random_day

ROOT = Path(__file__).resolve().parents[4]


def searched(problem, *, seed=0, steps=300):
    search = Annealing(lay_out(problem), seed=seed)
    search.begin()
    for part in range(10):
        search.run(steps // 10, part_done=part / 10)
    return search


@pytest.mark.parametrize("seed", range(12))
def test_no_bound_passes_the_proven_best(seed):
    problem = random_day(seed, orders=4 + seed % 4, shifts=1 + seed % 3, yards=1 + seed % 3)
    best = plan(problem, stop=StopRule(steps=150), seed=seed)
    search = searched(problem, seed=seed)
    arrays = search.laid.arrays

    heard = []
    by_loads = load_bound(
        arrays,
        runs=[(run.shift, run.tokens) for run in search.pooled()],
        upper=10**15,
        should_stop=lambda: False,
        tell=heard.append,
        turns=20,
    )

    assert best.status == "optimal"
    constant = search.laid.left_units
    for bound in (first_bound(arrays), by_loads):
        assert half_up_cents(int(bound) + constant) <= best.cost_c
    assert heard == sorted(heard)


@pytest.mark.parametrize("seed", range(4))
def test_the_runs_seen_make_no_better_plan_than_the_proven_best(seed):
    problem = random_day(seed, orders=7, shifts=3)
    best = plan(problem, stop=StopRule(steps=150), seed=seed)
    search = searched(problem)
    arrays, runs = search.laid.arrays, search.pooled()

    duals = solve_master(arrays, runs)
    choice = choose(arrays, runs, seconds=20)

    assert duals.value <= choice.cost + 1
    assert half_up_cents(choice.cost + search.laid.left_units) >= best.cost_c
    assert choice.cost <= search.best_units
    better = recombined(arrays, runs, upper=search.best_units, seconds=20, effort=20)
    assert better is None or better.cost < search.best_units


SCRIPT = """
import json
from routing.core.instance import problem_from, shifts_document
from routing.core.planner import StopRule, plan
problem = problem_from(json.load(open("fixtures/instances/fw-020-li.json")))
result = plan(problem, stop=StopRule(steps=40), seed=2)
print(json.dumps([result.cost_c, result.lower_bound_c, shifts_document(result.plan)]))
"""


@pytest.mark.skipif(not IS_COMPILED, reason="numba is not installed")
def test_plain_python_makes_the_same_plan_as_the_compiled_loops():
    answers = [
        json.loads(
            subprocess.run(
                [sys.executable, "-c", SCRIPT],
                cwd=ROOT,
                env=os.environ | switch,
                check=True,
                capture_output=True,
                text=True,
            ).stdout
        )
        for switch in ({}, {"NUMBA_DISABLE_JIT": "1"})
    ]

    assert answers[0] == answers[1]

"""Bounds and proofs of days with pauses and shared trucks: below every plan, and never worse for a proof."""

import random

import numpy as np
import pytest

from routing.planner import solve
from routing.planner.compiled import IS_COMPILED
from routing.planner.exact.load_bound import load_prices
from routing.planner.exact.run_bound import run_bound
from routing.planner.exact.sharing import of_classes, shared_hours
from routing.planner.job import Job
from routing.planner.lay_out import lay_out
from routing.planner.params import STAGES
from routing.planner.plan import half_up_cents
from routing.planner.plan_format import problem_from
from routing.planner.search.annealing import Annealing
from routing.planner.solve import StopRule, plan

from .test_against_scorer import drawn


def drawn_day(seed):
    instance, _ = drawn(random.Random(seed))
    return problem_from(instance)


def searched(problem, seed):
    search = Annealing(lay_out(problem), seed=seed)
    search.begin()
    search.run(100, part_done=0.5)
    return search


def prices_of(search):
    return load_prices(
        search.laid.arrays,
        runs=search.pooled(),
        upper=10**15,
        should_stop=lambda: False,
        tell=lambda lower: None,
        turns=12,
        is_labeled=True,
    )


@pytest.mark.parametrize("seed", range(3000, 3012))
def test_no_bound_of_a_day_with_pauses_and_shared_trucks_passes_the_proven_best(seed):
    problem = drawn_day(seed)
    best = plan(problem, stop=StopRule(steps=200), seed=seed)
    search = searched(problem, seed)
    if search.is_idle:
        pytest.skip("no order can be brought")

    lower, _ = prices_of(search)

    assert best.status == "optimal"
    assert half_up_cents(int(lower) + search.laid.left_units) <= best.cost_c


@pytest.mark.skipif(not IS_COMPILED, reason="whole runs are priced by compiled loops only")
@pytest.mark.slow
@pytest.mark.parametrize("seed", range(3000, 3060))
def test_no_bound_by_whole_runs_passes_the_proven_best_of_a_day_with_pauses(seed):
    problem = drawn_day(seed)
    best = plan(problem, stop=StopRule(steps=200), seed=seed)
    search = searched(problem, seed)
    if search.is_idle:
        pytest.skip("no order can be brought")
    _, prices = prices_of(search)

    lower = run_bound(
        search.laid.arrays,
        runs=search.pooled(),
        begin=prices,
        upper=10**15,
        should_stop=lambda: False,
        tell=lambda bound: None,
        turns=12,
    )

    assert best.status == "optimal"
    assert half_up_cents(int(lower) + search.laid.left_units) <= best.cost_c


def test_runs_of_one_truck_share_the_day_it_is_out():
    """What the rigs of one truck are away is no more than its day, changes of trailer included."""
    found = 0
    for seed in range(60):
        arrays = lay_out(drawn_day(seed)).arrays
        rows = shared_hours(arrays)
        for row in rows:
            found += 1
            starts, ends = arrays.run.start[list(row.runs)], arrays.run.end[list(row.runs)]
            assert len(row.runs) > 1
            assert row.room - max(row.each) <= ends.max() - starts.min()
            assert all(arrays.hitch[s, t] >= 0 for s in row.runs for t in row.runs if s != t)
        alone, sums = of_classes(rows, [[s] for s in range(len(arrays.run.home))])
        assert [row.room for row in alone] == [rows[at].room for [at] in sums]
        assert len(alone) <= len(rows)
    assert found > 20


@pytest.mark.parametrize("seed", range(12))
def test_no_gap_is_wider_for_having_tried_a_proof(seed, monkeypatch):
    """The same day with and without the proof after the bound: the cost no higher, the bound no lower."""
    problem = drawn_day(seed + 4000)
    proven = plan(problem, stop=StopRule(steps=120), seed=seed)
    monkeypatch.setattr(Job, "prove", lambda job: False)

    bounded = plan(problem, stop=StopRule(steps=120), seed=seed)

    assert proven.cost_c <= bounded.cost_c
    assert proven.lower_bound_c >= bounded.lower_bound_c


def test_the_bound_has_the_same_share_of_the_time_before_a_proof_as_without_one(monkeypatch):
    """By seconds: what a small day's bound may use is what a week's first stage leaves its bound."""
    heard = []

    def bound_by_loads(job, *, until):
        heard.append(until - job.part_done)
        return

    monkeypatch.setattr(Job, "bound_by_loads", bound_by_loads)
    monkeypatch.setattr(Job, "prove", lambda job: True)
    monkeypatch.setattr(solve, "warm_up", lambda: None)

    plan(drawn_day(7), stop=StopRule(seconds=2.0), seed=0)

    [share] = heard
    assert np.isclose(share, STAGES.bound_until - STAGES.bound_at[0][1], atol=0.05)

"""Random days with everything that binds a real one: each plan is refereed, scored and, where small, proven.

Shared pickups and drivers, pauses, beds, loads of two yards and roads by weight, drawn by `drawn` as for the
scorer. Days of up to six orders are also tried whole (`exhaustive`).
"""

import random

import pytest

from routing.planner.plan_format import plan_document, problem_from
from routing.planner.referee import check_plan
from routing.planner.solve import StopRule, plan

from .exhaustive import cheaper_plan
from .test_against_scorer import SCORE, drawn

FAST, SLOW = 25, 500
WHOLE_FAST = range(1000, 1009)  # of up to five orders, a few seconds each
WHOLE_SLOW = range(2000, 2030)  # of up to six, minutes now and then


def planned(seed, *, steps, most=5):
    """A drawn day and its plan, the scorer's word on it the referee's."""
    instance, _ = drawn(random.Random(seed), most=most)
    problem = problem_from(instance)
    result = plan(problem, stop=StopRule(steps=steps), seed=seed)
    verdict = check_plan(problem, result.plan)
    scored = SCORE(instance, plan_document(problem, result))
    assert verdict.ok
    assert scored["feasible"], scored["errors"]
    assert verdict.cost_c == scored["cost_c"] == result.cost_c
    assert result.lower_bound_c is None or result.lower_bound_c <= result.cost_c
    return problem, result


@pytest.mark.parametrize("seed", range(FAST))
def test_the_plan_of_a_random_day_is_accepted_and_priced_alike(seed):
    planned(seed, steps=40)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(FAST, SLOW))
def test_the_plans_of_many_random_days_are_accepted_and_priced_alike(seed):
    planned(seed, steps=150)


def held_to_every_plan(problem, result):
    """No plan is cheaper than a proven one, nor than any plan's bound; the search whole finds this one."""
    cheaper = cheaper_plan(problem, result.cost_c)

    if result.status == "optimal":
        assert cheaper is None
        assert cheaper_plan(problem, result.cost_c + 1) == result.cost_c
    else:
        assert cheaper is None or cheaper >= result.lower_bound_c
    return cheaper


@pytest.mark.slow
@pytest.mark.parametrize("seed", WHOLE_FAST)
def test_no_plan_of_a_day_tried_whole_is_cheaper(seed):
    problem, result = planned(seed, steps=200)

    assert held_to_every_plan(problem, result) is None


@pytest.mark.slow
@pytest.mark.long
@pytest.mark.parametrize("seed", WHOLE_SLOW)
def test_no_plan_of_a_day_of_up_to_six_orders_is_cheaper(seed):
    problem, result = planned(seed, steps=1000, most=6)

    assert held_to_every_plan(problem, result) is None

"""This week's decisions and what they are worth."""

from dataclasses import replace

import pytest

from routing.season.advice import advise
from routing.season.block import AHEAD_PERIODS
from routing.season.model import solve_season
from routing.season.problem import Step
from routing.season.scenarios import draw_scenarios
from tests.routing.season.seasons import season

SCENARIOS = 3


@pytest.fixture(scope="module")
def advice():
    return advise(season(), seed=2, scenarios=SCENARIOS)


def test_a_treatment_is_worth_what_the_next_best_one_loses(advice):
    asked = season()
    drawn = draw_scenarios(asked, count=SCENARIOS, seed=2)

    for decision in advice.lots:
        otherwise = {**advice.plan.choices, decision.lot: decision.instead}
        other = solve_season(asked, drawn, choices=otherwise)
        assert decision.worth == pytest.approx(advice.plan.net - other.net, abs=0.01)


def test_this_weeks_work_fits_this_weeks_hours(advice):
    offered = sum(person.hours[0] for person in season().people)

    assert 0 < sum(row.hours for row in advice.work if row.begins == 0) <= offered + 1e-6


def test_work_of_the_weeks_ahead_is_told_once_with_what_leaving_it_costs(advice):
    ahead = [row for row in advice.work if row.begins > 0]

    assert {row.target for row in ahead} == {"far"}
    assert all(row.worth >= 1 and row.begins < AHEAD_PERIODS for row in ahead)
    assert not {row.target for row in ahead} & {row.target for row in advice.work if row.begins == 0}


def test_ground_left_alone_is_worth_what_a_season_without_it_loses(advice):
    asked = season()
    without = replace(asked, grounds=(replace(asked.grounds[0], acres=0.0),))
    other = solve_season(
        without,
        draw_scenarios(asked, count=SCENARIOS, seed=2),
        choices=advice.plan.choices,
    )

    assert advice.ground["knob"] == pytest.approx(advice.plan.net - other.net, abs=1.0)


def test_the_likely_lies_between_the_ends(advice):
    assert advice.net_low <= advice.plan.mean_net <= advice.net_high
    assert advice.per_hour[0] <= advice.per_hour[1] <= advice.per_hour[2]


def test_more_demand_and_quicker_drying_earn_more(advice):
    effects = {effect.name: effect for effect in advice.guesses}

    assert effects["demand"].net_low < effects["demand"].net_high
    assert effects["drying"].net_low > effects["drying"].net_high  # low = dries fast


def test_work_that_keeps_a_promise_comes_first_and_is_worth_what_it_pays():
    asked = season(promises=(replace(season().promises[0], by_period=0),))

    first = advise(asked, seed=2, scenarios=SCENARIOS).work[0]

    assert first.steps == (Step.DELIVER_NEAR,)
    assert first.keeps == ("208",)
    assert first.worth == pytest.approx(260.0 - 8.0, abs=0.5)  # a cord, less the driving money

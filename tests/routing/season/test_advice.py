"""This week's decisions and what they are worth."""

from dataclasses import replace

import pytest

from routing.season.advice import advise
from routing.season.block import AHEAD_PERIODS
from routing.season.ledger import What, total
from routing.season.model import solve_season
from routing.season.one_more import Kind
from routing.season.problem import Step
from routing.season.scenarios import draw_scenarios
from tests.routing.season.seasons import season

SCENARIOS = 3
TIES = 0.05  # dollars: the terms that break ties are no money


@pytest.fixture(scope="module")
def advice():
    return advise(season(), seed=2, scenarios=SCENARIOS)


def test_a_treatment_is_worth_what_the_next_best_one_loses(advice):
    asked = season()
    drawn = draw_scenarios(asked, count=SCENARIOS, seed=2)

    for decision in advice.lots:
        otherwise = {**advice.plan.choices, decision.lot: decision.instead}
        other = solve_season(asked, drawn, choices=otherwise)
        assert decision.worth == pytest.approx(advice.plan.net - other.net, abs=TIES)


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

    assert total(advice.ground["knob"]) == pytest.approx(advice.plan.net - other.net, abs=1.0)


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


def test_a_promise_pays_what_was_agreed():
    agreed = replace(season().promises[0], by_period=0, price=300.0)

    advice = advise(season(promises=(agreed,)), seed=2, scenarios=SCENARIOS)

    assert advice.work[0].worth == pytest.approx(300.0 - 8.0, abs=0.5)
    (sold,) = [line for part, line in advice.plan.money.items() if part.order == "208"]
    assert sold == pytest.approx((1.0, 300.0))


def test_a_decisions_work_adds_up_to_its_hours(advice):
    for decision in advice.work:
        spare = decision.hours - sum(part.hours for part in decision.parts)
        assert spare >= -1e-6  # this week's hours are for the slowest way it may go
        assert decision.begins == 0 or spare == pytest.approx(0.0, abs=1e-6)


def test_money_line_by_line_is_the_net_in_every_scenario_and_on_average(advice):
    plan = advice.plan

    assert total(plan.money) == pytest.approx(plan.mean_net)
    assert plan.net == pytest.approx(plan.mean_net, abs=0.5)
    left = sum(line.dollars for part, line in plan.money.items() if part.what == What.LEFT)
    assert sum(total(row.money) for row in plan.periods) + left == pytest.approx(plan.mean_net)


def test_every_cord_is_sold_or_left(advice):
    asked, plan = season(), advice.plan

    there = sum(lot.cords for lot in (*asked.lots, *asked.rounds)) + sum(plan.cut.values())
    gone = sum(line.amount for part, line in plan.money.items() if part.what in (What.SALE, What.LEFT))

    assert gone == pytest.approx(there, abs=0.01)


def test_one_more_brings_no_more_than_its_price_says(advice):
    """The program's value is concave in its limits: a whole one brings at most what the first bit does."""
    plan, dry = advice.plan, advice.plan.cord_price
    prices = {
        Kind.HOUR: lambda row: plan.hour_price[row.period],
        Kind.CORD: lambda row: max(dry[kind][row.period] for kind in dry if kind[0] == row.name),
        Kind.ROOM: lambda row: plan.room_price[row.name],
        Kind.TRIP: lambda row: plan.trip_price[row.name][row.period],
    }  # fmt: skip

    assert {row.kind for row in advice.more} == set(prices)  # no rig days are counted here
    assert len([row for row in advice.more if row.kind == Kind.HOUR]) == season().periods
    for row in advice.more:
        assert 0 <= row.worth <= prices[row.kind](row) + TIES
    assert max(row.worth for row in advice.more if row.kind == Kind.HOUR) > 1


def test_one_more_hour_is_worth_what_a_season_with_it_brings(advice):
    asked = season()
    ruth, tam = asked.people
    more = replace(asked, people=(replace(ruth, hours=(ruth.hours[0] + 1, *ruth.hours[1:])), tam))
    drawn = draw_scenarios(asked, count=SCENARIOS, seed=2)

    other = solve_season(more, drawn, choices=advice.plan.choices)

    assert advice.more[0].worth == pytest.approx(other.mean_net - advice.plan.mean_net, abs=0.5)

"""Seasons lived through under the plan, by habit, and selling all green; the plan never sees the truth."""

from dataclasses import replace
from statistics import mean

import pytest

from routing.season.policies import as_last_year, follow_plan, green_now
from routing.season.scenarios import draw_scenarios, likely_scenario
from routing.season.simulate import live
from tests.routing.season.seasons import season

SEASONS = 10


@pytest.fixture(scope="module")
def lived():
    asked = season()
    truths = draw_scenarios(asked, count=SEASONS, seed=11)
    return {
        policy.__name__: [live(asked, truth, policy) for truth in truths]
        for policy in (follow_plan, as_last_year, green_now)
    }


def test_planning_anew_each_period_beats_habit_and_selling_green(lived):
    gains = [
        ours.net - habit.net for ours, habit in zip(lived["follow_plan"], lived["as_last_year"], strict=True)
    ]

    assert mean(gains) > 0
    assert sum(gain > 0 for gain in gains) >= 0.8 * SEASONS
    assert mean(x.net for x in lived["follow_plan"]) > mean(x.net for x in lived["green_now"])


def test_no_promise_is_broken(lived):
    assert max(season.missed for season in lived["follow_plan"]) == pytest.approx(0.0, abs=1e-6)


def test_slash_is_gone_by_its_day_whatever_the_hours_found():
    ground = replace(season().grounds[0], slash_left=0.2, slash_by=3)
    asked = season(grounds=(ground,))
    truths = draw_scenarios(asked, count=SEASONS, seed=12)

    late = [live(asked, truth, follow_plan).slash_late for truth in truths]

    assert max(late) == pytest.approx(0.0, abs=1e-6)


def test_nobody_works_more_than_they_have(lived):
    asked = season()
    for truth, seen in zip(draw_scenarios(asked, count=SEASONS, seed=11), lived["follow_plan"], strict=True):
        offered = sum(p.hours[i] * truth.hours[i] for p in asked.people for i in range(asked.periods))
        assert seen.hours <= offered + 1e-6


def test_wood_sold_never_exceeds_what_there_was(lived):
    asked = season()
    there = sum(lot.cords for lot in (*asked.lots, *asked.rounds))
    there += sum(ground.acres * sum(ground.cords_per_acre.values()) for ground in asked.grounds)

    assert all(seen.cords <= there + 1e-6 for seasons in lived.values() for seen in seasons)


def test_bills_and_earnings_stand_in_the_cash_that_is_left():
    asked = season(cash_now=100.0, cash_due=(0.0, -50.0, 0.0, 0.0, 0.0, 0.0))
    seen = []

    def watch(left):
        seen.append(left.cash_now)
        return as_last_year(left)

    end = live(asked, draw_scenarios(asked, count=1, seed=1)[0], watch)

    assert seen[0] == 100.0
    assert seen[2] - seen[1] >= -50.0 - 64.0  # a bill, and at most two cords felled at $32
    assert end.net > 0


def test_a_wood_that_is_sold_out_is_no_reason_to_stop():
    oak_only_as_asked = season(grounds=(), lots=season().lots[:1], rounds=())  # the towns still ask for oak

    end = live(oak_only_as_asked, likely_scenario(oak_only_as_asked), follow_plan)

    assert end.cords > 0

"""Who does what this week: whose lots and orders, and that it adds up to the plan's week."""

from datetime import date, timedelta

import pytest

from routing.season.course import periods_of
from routing.season.ledger import total
from routing.season.model import solve_season
from routing.season.problem import Person, Rounds, Step
from routing.season.scenarios import draw_scenarios, likely_scenario
from routing.season.who import who_does_what
from tests.routing.season.seasons import random_season, season

STARTS = [date(2026, 9, 18) + timedelta(weeks=4 * number) for number in range(6)]


def told(asked, drawn):
    plan = solve_season(asked, drawn)
    week = periods_of(plan, asked, STARTS, to=total(plan.money))[0]
    return week, who_does_what(plan, asked, {}, hours=week["hours"])


@pytest.mark.parametrize("seed", range(6))
def test_hours_given_add_up_to_the_week_by_step_and_nobody_does_what_they_do_not(seed):
    asked = random_season(seed)
    week, people = told(asked, draw_scenarios(asked, count=2, seed=seed))

    by_step = dict.fromkeys(week["hours"], 0.0)
    for person, given in zip(asked.people, people, strict=True):
        assert {Step(row["step"]) for row in given["rows"]} <= person.steps
        assert given["hours"] == pytest.approx(sum(row["hours"] for row in given["rows"]))
        assert given["hours"] <= person.hours[0] + 0.2  # rounding
        for row in given["rows"]:
            by_step[row["step"]] += row["hours"]
    assert by_step == pytest.approx(week["hours"])
    assert sum(given["hours"] for given in people) == pytest.approx(week["all_hours"])


def test_rounds_are_split_lot_by_lot_and_orders_driven_one_by_one():
    """Three cords of fir at the upper yard are two lots of rounds, split from the first on."""
    asked = season(
        people=(Person(key="r", name="Ruth", hours=(30.0,) * 6),), grounds=(),
        rounds=tuple(Rounds(key=key, name=key, kind="fir", yard="upper", cords=cords)
                     for key, cords in (("A", 1.0), ("B", 2.0))),
    )  # fmt: skip

    _, (ruth,) = told(asked, (likely_scenario(asked),))

    split = {row.get("lot"): row["hours"] for row in ruth["rows"] if row["step"] == "split"}
    assert split["A"] == pytest.approx(1.2, abs=0.11)  # a cord at 1.2 h
    assert split["B"] == pytest.approx(2.4, abs=0.11)
    assert "208" in {row.get("order") for row in ruth["rows"]}

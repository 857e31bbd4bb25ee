"""Other prices, and what would have to give where something falls short."""

from dataclasses import replace

import pytest

from routing.season.model import solve_season
from routing.season.problem import GREEN, SEASONED, Promise
from routing.season.questions import at_prices, price_effects, reliefs
from routing.season.scenarios import likely_scenario
from tests.routing.season.seasons import season
from tests.routing.season.test_model import one_lot


def promised(**changes):
    values = {"name": "7", "market": "near", "kind": "fir", "dryness": SEASONED, "cords": 1.0, "by_period": 0}
    return Promise(**(values | changes))


def test_without_a_guess_nothing_is_said_of_other_prices():
    assert price_effects(season(), 0.0) == ()


def test_demand_follows_the_price_ratio_to_the_power_of_the_guess():
    dearer = at_prices(season(), 10, 2.0)

    assert dearer.markets[0].price["fir", SEASONED] == pytest.approx(286.0)
    assert dearer.markets[0].demand["fir", SEASONED][0] == pytest.approx(0.4 * 1.1**-2)


def test_one_percent_for_one_percent_leaves_what_is_paid_alike():
    """At an elasticity of one a market pays the same whatever the price."""
    asked = one_lot(hours=99.0)
    free = replace(asked.markets[0], hours=0.0, cash=0.0)
    asked = replace(asked, markets=(free,), lots=(replace(asked.lots[0], cords=9.0),))

    nets = [effect.net for effect in price_effects(asked, 1.0)]

    assert nets == pytest.approx([260.0] * 5, abs=0.01)


def test_a_higher_price_pays_where_demand_hardly_follows_and_costs_where_it_does():
    asked = season(promises=())

    stiff, loose = (price_effects(asked, guess) for guess in (0.2, 6.0))

    assert stiff[-1].pct == 10
    assert stiff[-1].net > stiff[2].net
    assert loose[-1].net < loose[2].net


def test_nothing_short_needs_no_relief():
    assert reliefs(season()) == ()


def test_a_promise_that_lacks_hours_says_how_many_would_keep_it():
    found = {relief.what: relief.amount for relief in reliefs(one_lot(promises=(promised(),)))}

    assert found == {"hours": 1}  # an hour in four weeks delivers half a cord; wood enough lies there


def test_a_promise_that_lacks_wood_says_how_much():
    asked = one_lot(hours=40.0, promises=(promised(cords=1.5),))

    assert {relief.what: relief.amount for relief in reliefs(asked)} == {"wood": pytest.approx(0.5)}


def test_green_wood_bought_in_is_green():
    asked = season(promises=(promised(dryness=GREEN, cords=9.0, by_period=5),))
    asked = replace(asked, people=tuple(replace(p, hours=(99.0,) * 6) for p in asked.people))

    found = {relief.what for relief in reliefs(asked)}

    assert "wood" in found


def test_a_bill_before_the_first_sale_names_the_cash_that_is_missing():
    asked = one_lot(cash_now=20.0, cash_due=(-300.0, 0.0))  # half a cord sold in the first month: $126

    plan = solve_season(asked, (likely_scenario(asked),))

    assert plan.cash_short == pytest.approx(154.0, abs=0.01)
    assert plan.nets[0] == pytest.approx(252.0)  # what is charged for it is no money
    assert {relief.what for relief in reliefs(asked)} == {"cash"}

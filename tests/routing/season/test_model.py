"""The season's program against hand sums and exhaustive choice; outside checks are in their own file."""

from dataclasses import replace
from itertools import product

import pytest

from routing.season.model import solve_season
from routing.season.problem import (
    SEASONED,
    Choice,
    Market,
    Person,
    Promise,
    Range,
    Season,
    SeasonProblemError,
    SplitLot,
    Step,
    Yard,
)
from routing.season.scenarios import draw_scenarios, likely_scenario
from tests.routing.season.seasons import season

CENT = 0.01
TIES = 0.5  # dollars: what the tie-breaking terms may add up to over a season


def one_lot(hours: float = 1.0, **changes: object) -> Season:
    """One cord of dry fir, half a cord asked for in each of two weeks, two hours a cord to deliver."""
    fir = ("fir", SEASONED)
    made = Season(
        lengths=(4, 4),
        people=(Person(key="r", name="Ruth", hours=(hours, hours)),),
        yards=(Yard(key="y", name="Yard"),),
        grounds=(),
        rounds=(),
        lots=(
            SplitLot(key="L", name="L", kind="fir", yard="y", cords=1.0,
                     choices=(Choice(key="leave", name="leave", ready=(0, 0, 0)),)),
        ),
        markets=(
            Market(key="near", name="Near", step=Step.DELIVER_NEAR, hours=2.0, cash=8.0,
                   price={fir: 260.0}, demand={fir: (0.5, 0.5)}),
        ),
        promises=(),
        hours_per_cord={Step.SPLIT: Range.exactly(1.0)},
        cash_per_cord=0.0,
        ready={},
        keep_value={},
    )  # fmt: skip
    return replace(made, **changes)  # type: ignore[arg-type]


def likely_plan(asked):
    return solve_season(asked, (likely_scenario(asked),))


def test_a_cord_with_hours_enough_is_sold_as_it_is_asked_for():
    plan = likely_plan(one_lot())

    assert plan.nets[0] == pytest.approx(252.0)
    assert plan.hours[0] == pytest.approx(2.0)


def test_half_the_hours_sell_half_the_wood_and_an_hour_is_worth_what_it_would_sell():
    plan = likely_plan(one_lot(hours=0.5))

    assert plan.nets[0] == pytest.approx(126.0)
    assert plan.hour_price == pytest.approx((126.0, 126.0), abs=CENT)


def test_no_hour_is_told_that_is_not_needed():
    """Three hours offered, one to deliver half a cord."""
    plan = likely_plan(one_lot(hours=3.0))

    assert plan.tasks[0].hours == pytest.approx(1.0, abs=1e-4)


def test_one_more_cord_is_worth_its_price_less_its_delivery_where_more_is_asked_for():
    asked = one_lot(hours=9.0)
    more = replace(asked.markets[0], demand={("fir", SEASONED): (2.0, 2.0)})

    plan = likely_plan(replace(asked, markets=(more,)))

    assert plan.cord_price["fir", "y"][0] == pytest.approx(252.0, abs=CENT)


def test_a_promise_is_kept_before_a_better_price_and_its_shortfall_is_named():
    asked = one_lot(
        promises=(Promise(name="7", market="near", kind="fir", dryness=SEASONED, cords=1.5, by_period=0),)
    )

    plan = likely_plan(asked)

    assert plan.short["7"] == pytest.approx(1.0)  # one hour in the first period delivers half a cord


@pytest.mark.parametrize("seed", range(4))
def test_no_other_way_to_treat_the_lots_earns_more(seed):
    asked = season()
    drawn = draw_scenarios(asked, count=2, seed=seed)

    best = max(
        solve_season(asked, drawn, choices=dict(zip(("K6", "K3"), keys, strict=True))).net
        for keys in product(("leave", "cover", "green"), ("leave", "row"))
    )
    plan = solve_season(asked, drawn)

    assert plan.net == pytest.approx(best, abs=TIES)
    assert plan.net <= plan.bound + CENT


def test_equal_seeds_give_equal_plans():
    asked = season()

    plans = [solve_season(asked, draw_scenarios(asked, count=3, seed=5)) for _ in range(2)]

    assert plans[0] == plans[1]


def test_more_room_more_hours_and_more_demand_never_cost_anything():
    asked = season()
    base = likely_plan(asked).net

    richer = (
        replace(asked, yards=tuple(replace(yard, room_cords=None) for yard in asked.yards)),
        replace(asked, people=tuple(replace(p, hours=tuple(2 * h for h in p.hours)) for p in asked.people)),
    )

    assert all(likely_plan(other).net >= base - TIES for other in richer)


def test_a_felling_ban_keeps_the_saw_still():
    asked = season(allowed={Step.FELL: (0.0,) * 6})

    plan = likely_plan(asked)

    assert sum(period.hours[Step.FELL] for period in plan.periods) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("by", [1, 3])
def test_slash_is_gone_by_its_day(by):
    ground = replace(season().grounds[0], slash_left=0.25, slash_by=by, slash_within=None, cost_share=0.0)

    plan = likely_plan(season(grounds=(ground,)))

    lies = 0.25 + sum(plan.thinned["knob"][: by + 1]) - sum(plan.cleared["knob"][: by + 1])
    assert lies == pytest.approx(0.0, abs=1e-6)
    assert plan.slash_late == {"knob": pytest.approx(0.0, abs=1e-6)}


def test_slash_that_can_not_be_gone_in_time_is_named_and_no_promise_pays_for_it():
    ground = replace(season().grounds[0], slash_left=0.5, slash_by=1)

    plan = likely_plan(season(grounds=(ground,), allowed={Step.SLASH: (0.0, 0.0, 1.0, 1.0, 1.0, 1.0)}))

    assert plan.slash_late["knob"] == pytest.approx(0.5, abs=1e-6)
    assert plan.short["208"] == pytest.approx(0.0, abs=1e-6)


def test_only_the_one_who_fells_gives_hours_to_felling():
    plan = likely_plan(season())

    ruth = season().people[0].hours
    assert all(p.hours[Step.FELL] <= hours + 1e-6 for p, hours in zip(plan.periods, ruth, strict=True))


def test_no_cash_in_hand_means_nothing_is_spent_before_it_is_earned():
    poor = one_lot(cash_now=0.0)

    assert likely_plan(poor).nets[0] == pytest.approx(252.0)  # it is paid for at the door


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"lengths": ()}, "at least one week"),
        ({"yards": ()}, "a yard to keep wood in"),
        ({"lengths": (1,)}, "hours for 2 of 1 periods"),
    ],
)
def test_a_season_that_makes_no_sense_says_why(changes, sentence):
    with pytest.raises(SeasonProblemError, match=sentence):
        one_lot(**changes)

"""What has to be whole, how many days rigs go out, and wood taken to another yard."""

from dataclasses import replace
from itertools import product

import pytest

from routing.season.advice import advise
from routing.season.model import Program, planned, solve_season
from routing.season.policies import follow_plan
from routing.season.problem import GREEN, Choice, Move, Rounds, SeasonProblemError, Step, Yard
from routing.season.questions import reliefs
from routing.season.scenarios import draw_scenarios, likely_scenario
from routing.season.simulate import live
from tests.routing.season.seasons import LENGTHS, NEVER, random_season, season
from tests.routing.season.test_model import one_lot
from tests.routing.season.test_questions import promised

GAP = 0.001  # of the net, and a quarter: where the search for a better whole choice stops


def with_days(asked, days, cords_a_day=1.0):
    near, *others = asked.markets
    return replace(
        asked, rig_days=(days,) * asked.periods, markets=(replace(near, cords_a_day=cords_a_day), *others)
    )


@pytest.mark.parametrize("seed", range(8))
def test_no_other_whole_choice_earns_more(seed):
    """Reference: every treatment of every lot with every number of far trips this week, each solved."""
    asked = random_season(seed)
    drawn = draw_scenarios(asked, count=1 + seed % 2, seed=seed)
    program = Program(asked, drawn)
    best = float("-inf")
    for keys in product(*([choice.key for choice in lot.choices] for lot in asked.lots)):
        for lot, key in zip(asked.lots, keys, strict=True):
            program.fix(lot.key, key)
        for trips in range(asked.markets[1].trips[0] + 1):
            program.trips_now["far"].SetBounds(trips, trips)
            best = max(best, program.solve())

    plan = solve_season(asked, drawn)

    assert plan.net == pytest.approx(best, abs=0.25 + GAP * abs(best))
    assert best <= plan.bound + 0.01


def test_a_far_trip_of_this_week_is_whole():
    asked = season(promises=(promised(market="far", cords=0.4, by_period=0),))

    plan = solve_season(asked, (likely_scenario(asked),))

    assert plan.trips["far"][0] == pytest.approx(1.0)
    assert plan.periods[0].hours[Step.DELIVER_FAR] >= 4.0  # the whole way, whatever is aboard


def test_leaving_this_weeks_far_trip_is_priced():
    asked = season(promises=(promised(market="far", cords=0.4, by_period=0),))

    work = {row.target: row for row in advise(asked, scenarios=2).work}

    assert work["far"].keeps == ("7",)
    assert work["far"].worth == pytest.approx(0.4 * 375.0)


def test_a_rig_brings_so_many_cords_a_day_and_one_more_day_is_worth_what_it_brings():
    asked = with_days(one_lot(hours=99.0), 0.25)

    _, plan = planned(asked, (likely_scenario(asked),))

    assert plan.nets[0] == pytest.approx(2 * 0.25 * 252.0)
    assert plan.day_price == pytest.approx((252.0, 252.0), abs=0.01)


def test_near_days_and_far_trips_share_the_rigs_days():
    asked = with_days(season(promises=()), 1.0, cords_a_day=0.5)

    plan = solve_season(asked, (likely_scenario(asked),))

    for row in plan.periods:
        assert row.sold["near"] / 0.5 + row.sold["far"] <= 1.0 + 1e-6
    free = solve_season(season(promises=()), (likely_scenario(asked),))
    assert 0 < plan.net < free.net


def test_a_promise_that_lacks_rig_days_says_so():
    asked = with_days(one_lot(hours=99.0, promises=(promised(),)), 0.5)

    assert {relief.what: relief.amount for relief in reliefs(asked)} == {"days": 1}


def test_a_season_lived_keeps_within_the_rigs_days():
    asked = with_days(season(promises=()), 0.25)
    free = with_days(season(promises=()), 50.0)

    few, many = (live(s, likely_scenario(s), follow_plan) for s in (asked, free))

    assert few.cords <= 0.25 * len(LENGTHS) + 1e-6
    assert many.cords > few.cords


def test_rounds_are_moved_to_the_yard_where_they_dry_in_time():
    asked = season(
        grounds=(), lots=(), promises=(), ready={
            ("fir", "siding"): ((1, 2, 3),) * 6, ("fir", "upper"): ((NEVER,) * 3,) * 6,
        },
        rounds=(Rounds(key="K2", name="K2", kind="fir", yard="upper", cords=2.0),),
        moves=(Move(origin="upper", target="siding", hours=0.5, cash=4.0),),
    )  # fmt: skip
    stays = replace(asked, moves=())

    plan, other = (solve_season(s, (likely_scenario(s),)) for s in (asked, stays))

    moved = {task.target: task for task in plan.tasks if task.step == Step.MOVE}
    assert moved["fir@upper@rounds@siding"].amount > 0
    assert moved["fir@upper@rounds@siding"].hours == pytest.approx(
        0.5 * moved["fir@upper@rounds@siding"].amount
    )
    assert plan.net > other.net + 100.0
    assert (
        live(asked, likely_scenario(asked), follow_plan).net
        > live(stays, likely_scenario(stays), follow_plan).net
    )


def test_a_lot_is_taken_to_the_sunny_yard_where_that_pays():
    lot = replace(
        season().lots[1],
        choices=(
            Choice(key="leave", name="leave it", ready=(NEVER,) * 3),
            Choice(key="move", name="take it to Siding", ready=(1, 2, 3), hours=2.0, cash=6.0, yard="siding"),
            Choice(key="green", name="sell it green", ready=(0, 0, 0), becomes=GREEN),
        ),
    )
    asked = season(grounds=(), rounds=(), promises=(), lots=(lot,), yards=season().yards)
    full = replace(asked, yards=(Yard(key="siding", name="S", room_cords=1.0), season().yards[1]))

    assert solve_season(asked, (likely_scenario(asked),)).choices["K6"] == "move"
    assert solve_season(full, (likely_scenario(full),)).choices["K6"] != "move"  # no room there
    assert live(asked, likely_scenario(asked), follow_plan).cords > 1.0


def test_dry_wood_makes_room_in_a_full_yard():
    """By hand: 2 cords dry and 2 of rounds fill the room of 4; one more of rounds, worth $60, waits outside.

    A dry cord makes room for it by going up the hill for $7, or by being sold for $252 after the drive, which
    is $72 more than keeping it.
    """
    base = season()
    fir, near = ("fir", "seasoned"), season().markets[0]
    dry = replace(base.lots[0], cords=2.0)
    asked = replace(
        base, yards=(Yard(key="siding", name="S", room_cords=4.0), base.yards[1]), grounds=(), promises=(),
        lots=(dry,), ready={}, moves=(), keep_value={fir: 180.0, ("fir", "rounds"): 60.0},
        rounds=(Rounds(key="A", name="A", kind="fir", yard="siding", cords=2.0),
                Rounds(key="B", name="B", kind="fir", yard="siding", cords=1.0, needs_haul=True)),
        markets=(replace(near, price={fir: 260.0}, demand={fir: (0.0,) * 6}),),
    )  # fmt: skip
    roomier = replace(asked, yards=(Yard(key="siding", name="S", room_cords=9.0), base.yards[1]))
    moving = replace(asked, moves=(Move(origin="siding", target="upper", hours=0.1, cash=7.0),))
    selling = replace(asked, markets=(replace(near, price={fir: 260.0}, demand={fir: (0.25,) * 6}),))

    def plan(of):
        return solve_season(of, (likely_scenario(of),))

    kept = plan(asked)
    assert kept.room_price["siding"] == pytest.approx(60.0, abs=0.01)  # a cord of rounds could come in
    assert plan(roomier).mean_net - kept.mean_net == pytest.approx(60.0, abs=0.01)
    moved, sold = plan(moving), plan(selling)
    assert moved.mean_net - kept.mean_net == pytest.approx(60.0 - 7.0, abs=0.01)
    assert moved.room_price["siding"] == pytest.approx(7.0, abs=0.01)  # what making room by moving takes
    assert sold.mean_net - kept.mean_net == pytest.approx(1.5 * (252.0 - 180.0) + 60.0, abs=0.01)
    assert sold.room_price["siding"] == pytest.approx(0.0, abs=0.01)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"rig_days": (1.0,)}, "Rig days are given for 1 of 2 periods"),
        ({"moves": (Move(origin="y", target="moon", hours=1.0),)}, "a yard that is not listed"),
    ],
)
def test_days_and_moves_that_make_no_sense_say_why(changes, sentence):
    with pytest.raises(SeasonProblemError, match=sentence):
        one_lot(**changes)

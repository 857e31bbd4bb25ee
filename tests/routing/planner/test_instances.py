"""The named instances, the worked day, and files that are not instances."""

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from routing.planner import BadProblem
from routing.planner.clock import timed
from routing.planner.fleet import PlanRig, PlanRun, RoadBand, Roads
from routing.planner.hand_edits import move_part, remove_order
from routing.planner.plan_format import UnreadableInstance, problem_from
from routing.planner.problem import (
    DayProblem,
    PlanOrder,
    PlanPart,
    PlanYard,
    Wood,
)
from routing.planner.referee import check_plan
from routing.planner.solve import StopRule, plan
from tests.bench.public import best_known, public_problem

INSTANCES = Path(__file__).resolve().parents[3] / "fixtures" / "instances"
STOP = StopRule(steps=100)


def instance(name):
    return json.loads((INSTANCES / f"{name}.json").read_text(encoding="utf-8"))


def clock(hours, minutes):
    return hours * 3600 + minutes * 60


def test_two_yards_five_drops_loads_each_wood_where_it_is():
    problem = problem_from(instance("two_yards_five_drops"))

    result = plan(problem, stop=STOP)

    assert result.status == "optimal"
    assert result.postponed == ()
    assert [load.yards for load in result.plan.runs[0].loads] == [("Siding",), ("Creek",), ("Siding",)]


def test_a_public_instance_is_driven_whole_near_its_best_known_cost():
    """Its runs are longer than a day of 24 hours, which nothing forbids where no driver's day is named."""
    problem, scale = public_problem("P-n19-k2")
    best = best_known()["P-n19-k2"]

    result = plan(problem, stop=StopRule(steps=600), seed=0)

    assert result.postponed == ()
    assert best <= result.cost_c / scale <= 1.02 * best
    assert result.lower_bound_c <= best * scale


def test_a_load_too_heavy_for_the_rig_is_left_out_and_the_half_is_brought():
    problem = problem_from(instance("too_heavy"))

    result = plan(problem, stop=STOP)

    assert result.plan.parts == ("Wet-half.1",)
    assert [(p.order, p.code) for p in result.postponed] == [("Wet-one", "too big")]


def test_a_far_market_pays_with_two_halves_and_not_with_one():
    problem = problem_from(instance("far_market_day"))
    together = plan(problem, stop=STOP)
    one_gone = replace(problem, orders=problem.orders[:2])

    alone = plan(one_gone, stop=STOP)

    assert together.postponed == ()
    assert [(p.order, p.code) for p in alone.postponed] == [("Coast-1", "not worth")]
    assert "is worth $155.00" in str(alone.postponed[0].reason)


# --- worked example 11: miles and minutes of the road table, the loaded bridge barred ---

UPPER, CREEK, SIDING, MARROW, LARCH = range(5)
EMPTY = {
    (UPPER, CREEK): ("6.4", 17),
    (UPPER, SIDING): ("11.2", 24),
    (UPPER, MARROW): ("9.4", 24),
    (UPPER, LARCH): ("30.7", 53),
    (CREEK, SIDING): ("5.1", 10),
    (CREEK, MARROW): ("3.0", 7),
    (CREEK, LARCH): ("20.0", 32),
    (SIDING, MARROW): ("3.8", 8),
    (SIDING, LARCH): ("19.5", 29),
    (MARROW, LARCH): ("17.0", 25),
}
LOADED = EMPTY | {
    (CREEK, MARROW): ("8.9", 18),
    (UPPER, MARROW): ("15.0", 32),
    (CREEK, LARCH): ("24.6", 39),
}


def road(table):
    def figure(i, j, at):
        if i == j:
            return 0
        miles, minutes = table[min(i, j), max(i, j)]
        return round(Fraction(miles) * Fraction("1609.344")) if at == 0 else minutes * 60

    size = range(5)
    return Roads.of(
        [[figure(i, j, 0) for j in size] for i in size], [[figure(i, j, 1) for j in size] for i in size]
    )


def order(name, loc, wood, quantity, window, *, stacked=False):
    return PlanOrder(
        id=name,
        loc=loc,
        window_s=window,
        dates=(0,),
        parts=(PlanPart(id=name, lines=((wood, quantity),)),),
        stop_s=600,
        unload_s_per_cord=60 * (105 if stacked else 30),
        value_c=10_000,
    )


@pytest.fixture
def worked_day():
    per_mile = Fraction(1000) / Fraction("1609.344")
    return DayProblem(
        name="Friday, September 18, 2026",
        dates=("2026-09-18",),
        woods=(
            Wood(id="K1", lb_per_cord=3168, ft3_per_cord=180, name="fir"),
            Wood(id="K5", lb_per_cord=3696, ft3_per_cord=180, name="mixed"),
        ),
        yards=tuple(
            PlanYard(
                id=name,
                loc=loc,
                open_s=clock(6, 0),
                close_s=clock(19, 0),
                load_fixed_s=600,
                load_s_per_cord=36 * 60,
                stock=stock,
            )
            for name, loc, stock in (
                ("Upper", UPPER, ()),
                ("Creek", CREEK, (("K5", 24),)),
                ("Siding", SIDING, (("K1", 72),)),
            )
        ),
        rigs=(
            PlanRig(
                id="big",
                home="Upper",
                roads=(RoadBand(over_lb=0, table="empty"), RoadBand(over_lb=1, table="loaded")),
                has_trailer=True,
                cap_ft3=180,
                cap_lb=5100,
                loaded_c_km=75 * per_mile,
                empty_c_km=65 * per_mile,
            ),
        ),
        runs=(
            PlanRun(
                id="Friday",
                rig="big",
                date=0,
                start_s=clock(7, 30),
                end_s=clock(18, 0),
                max_s=36_000,
                wage_c_h=0,
            ),
        ),
        orders=(
            order("201", MARROW, "K5", 12, (clock(8, 30), clock(10, 0))),
            order("202", MARROW, "K1", 4, (clock(8, 0), clock(18, 0))),
            order("203", LARCH, "K1", 8, (clock(11, 0), clock(18, 0)), stacked=True),
        ),
        roads=(("loaded", road(LOADED)), ("empty", road(EMPTY))),
    )


AS_PRINTED = (("Friday", (("Creek", ("201",)), ("Siding", ("202", "203")))),)


def test_the_worked_day_comes_out_to_the_minute_the_tenth_of_a_mile_and_the_cent(worked_day):
    [run] = timed(worked_day, AS_PRINTED).runs

    halts = [
        (load.fills[0].begin_s, load.fills[0].leave_s, [(s.begin_s, s.leave_s) for s in load.stops])
        for load in run.loads
    ]
    assert run.leave_s == clock(7, 30)
    assert halts == [
        (clock(7, 47), clock(8, 33), [(clock(8, 51), clock(9, 31))]),
        (
            clock(9, 39),
            clock(10, 25),
            [(clock(10, 33), clock(10, 53)), (clock(11, 18), clock(12, 38))],
        ),
    ]
    assert run.home_s == clock(13, 31)
    miles = [round(meters / 1609.344, 1) for meters in (run.loaded_m, run.empty_m)]
    assert miles == [29.7, 40.9]
    assert run.cost_c == 4886


def test_the_planner_finds_the_worked_day_by_itself(worked_day):
    result = plan(worked_day, stop=STOP)

    assert result.status == "optimal"
    assert result.cost_c <= check_plan(worked_day, timed(worked_day, AS_PRINTED)).cost_c
    assert result.postponed == ()


def test_moving_the_third_over_the_day_is_priced(worked_day):
    before = timed(worked_day, AS_PRINTED)

    edit = remove_order(worked_day, before, order="202")
    back = move_part(worked_day, edit.plan, part="202", run="Friday", load=1, position=0)

    assert back.plan == before
    assert edit.change_c + back.change_c == 0


# --- files that are not instances ---


def broken(**changes):
    return instance("too_heavy") | changes


@pytest.mark.parametrize(
    ("document", "words"),
    [
        ([], "not an object"),
        (broken(format="other"), "its format is 'other'"),
        ({"format": "firewood-plan-2"}, "is missing"),
        (broken(rigs=[{"id": "big"}]), "is missing"),
        (broken(runs="none"), "wrong kind"),
        (broken(dates=None), "wrong kind"),
    ],
)
def test_a_file_that_is_no_instance_gets_a_sentence(document, words):
    with pytest.raises(UnreadableInstance, match=words):
        problem_from(document)


def test_half_a_twelfth_is_refused():
    document = broken()
    document["orders"][0]["parts"][0]["lines"]["oak"] = 3.5

    with pytest.raises(UnreadableInstance, match=r"3\.5 is not a whole number"):
        problem_from(document)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda d: d["runs"][0].update(rig="ghost"), "rig that is not there: ghost"),
        (lambda d: d["orders"][0].update(loc=99), "location that is not there: 99"),
        (lambda d: d["orders"][0].update(dates=[5]), "date that is not there: 5"),
        (lambda d: d["orders"][1].update(id="Wet-one"), "names the order Wet-one twice"),
        (lambda d: d["road_tables"]["road"].update(meters=[[0]]), "is not"),
        (lambda d: d["rigs"][0].update(cap_lb=-1), "below zero"),
        (lambda d: d["yards"][0].update(load_s_12=-1), "below zero"),
        (lambda d: d["yards"][0].update(stock_12={"pine": 3}), "wood that is not there: pine"),
    ],
)
def test_an_instance_that_contradicts_itself_is_refused(change, words):
    document = broken()
    change(document)

    with pytest.raises(BadProblem, match=words):
        problem_from(document)

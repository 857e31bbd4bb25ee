"""The price of one more order in every booked run."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations, product

import pytest

from routing.planner import insertion
from routing.planner.clock import NoSuchTime, timed
from routing.planner.fleet import Truck
from routing.planner.insertion import best_run, insertion_offers
from routing.planner.plan import Plan
from routing.planner.problem import DayProblem
from routing.planner.referee import check_plan
from routing.planner.sketches import RunSketch
from routing.planner.solve import StopRule, plan

from .days import day, order, random_day, rig, rig_run

BOOKED = (("Friday-big", (("Siding", ("Tanner.1", "Finch.1")), ("Creek", ("Sool.1",)))),)


def two_rigs(**changes):
    """A second trailer, out on the same day."""
    runs = (rig_run("Friday-big", "big"), rig_run("Friday-2", "other"))
    return day(**{"rigs": (rig("big", "Siding"), rig("other", "Siding")), "runs": runs} | changes)


def test_an_offer_costs_what_the_referee_says_the_run_costs_more():
    problem = two_rigs()
    booked = timed(problem, BOOKED)
    keats = problem.orders[3]

    offers = insertion_offers(problem, booked, keats)

    before = check_plan(problem, booked)
    for offer in offers:
        runs = tuple(run for run in booked.runs if run.id != offer.run.id)
        after = check_plan(problem, Plan(runs=(*runs, offer.run)))
        assert after.ok
        assert offer.cost_c == pytest.approx(after.cost_c - before.cost_c + keats.left_out_c, abs=1)
    assert {offer.run.id: offer.is_empty_run for offer in offers} == {"Friday-big": False, "Friday-2": True}
    assert [offer.cost_c for offer in offers] == sorted(offer.cost_c for offer in offers)


def test_a_drop_on_the_way_is_cheaper_than_one_of_its_own():
    problem = two_rigs()
    booked = timed(problem, BOOKED)

    [passing, alone] = insertion_offers(problem, booked, order("Crewe", 3, quantity=3))

    assert (passing.is_empty_run, alone.is_empty_run) == (False, True)
    assert passing.cost_c < alone.cost_c / 3
    assert passing.yards == ("Creek",)


def test_a_run_of_its_own_waits_for_the_pickup_and_is_not_offered_where_it_cannot():
    rigs = (rig("big", "Siding", truck="pickup"), rig("other", "Siding", truck="pickup"))
    late = two_rigs(rigs=rigs, trucks=(Truck(id="pickup", hitch_s=900),))
    early = replace(late, runs=(late.runs[0], rig_run("Friday-2", "other", end_s=9 * 3600)))
    booked = timed(late, BOOKED)
    back_s = booked.runs[0].home_s

    offers = insertion_offers(late, booked, order("Crewe", 3, quantity=3))
    [joined] = insertion_offers(early, booked, order("Crewe", 3, quantity=3))

    alone = next(offer for offer in offers if offer.is_empty_run)
    assert alone.run.leave_s >= back_s + 900
    assert joined.run.id == "Friday-big"


def test_no_offer_where_no_wood_is_left():
    problem = day()
    booked = timed(problem, BOOKED)

    assert insertion_offers(problem, booked, order("Crewe", 3, quantity=9, wood="oak")) == ()


@pytest.mark.parametrize("seed", range(8))
def test_the_exact_answer_is_never_dearer_and_keeps_the_rules(seed):
    problem = random_day(seed, orders=6, runs=2)
    booked = plan(problem, stop=StopRule(steps=100)).plan
    new = order("New", 2, quantity=3, dates=(0, 1))

    quick = {offer.run.id: offer for offer in insertion_offers(problem, booked, new)}
    exact = {offer.run.id: offer for offer in insertion_offers(problem, booked, new, exact=True)}

    assert quick.keys() == exact.keys()
    for run_id, offer in exact.items():
        assert offer.cost_c <= quick[run_id].cost_c
        assert "New.1" in offer.run.parts


def test_the_best_run_undoes_a_bad_order():
    problem = day()
    good = plan(problem, stop=StopRule(steps=200)).plan.runs[0]
    bad = (good.id, tuple((yard, tuple(reversed(parts))) for yard, parts in good.sketch[1]))

    better = best_run(problem, bad, below=10**13)

    assert timed(problem, (better,)).runs[0].cost_units <= good.cost_units


@pytest.mark.parametrize("seed", range(12))
def test_the_plain_search_finds_what_the_bounded_one_finds(seed, monkeypatch):
    problem = random_day(seed, orders=8, runs=3)
    booked = plan(problem, stop=StopRule(steps=100)).plan
    new = order("New", 2, quantity=3, dates=(0, 1))

    plain = insertion_offers(problem, booked, new, exact=True)
    monkeypatch.setattr(insertion, "INSERTION", insertion.INSERTION._replace(few_parts=0))
    bounded = insertion_offers(problem, booked, new, exact=True)

    assert plain == bounded


@pytest.mark.parametrize("seed", range(6))
def test_the_best_run_is_the_cheapest_of_all_that_keep_the_rules(seed):
    problem = random_day(seed, orders=6, runs=2)
    booked = plan(problem, stop=StopRule(steps=100)).plan
    run = next(run for run in booked.runs if len(run.parts) <= 4)

    best = best_run(problem, run.sketch, below=10**13)

    assert timed(problem, (best,)).runs[0].cost_units == min(_costs_of_all(problem, run.id, run.parts))


def _costs_of_all(problem: DayProblem, run_id: str, parts: tuple[str, ...]) -> Iterator[int]:
    """What every run with these drops costs that the referee lets go."""
    for row in permutations(parts):
        for cuts in product((False, True), repeat=len(row) - 1):
            loads = [[row[0]]]
            for part, is_cut in zip(row[1:], cuts, strict=True):
                if is_cut:
                    loads.append([part])
                else:
                    loads[-1].append(part)
            for yards in product([yard.id for yard in problem.yards], repeat=len(loads)):
                sketch: RunSketch = (run_id, tuple(zip(yards, map(tuple, loads), strict=True)))
                try:
                    alone = timed(problem, (sketch,))
                except NoSuchTime:
                    continue
                if check_plan(problem, alone).ok:
                    yield alone.runs[0].cost_units

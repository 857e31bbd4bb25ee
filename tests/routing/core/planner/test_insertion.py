"""The price of one more order in every booked run."""

from collections.abc import Iterator
from itertools import permutations, product

import pytest

from routing.core import insertion
from routing.core.check import check_plan
from routing.core.insertion import best_run, insertion_offers
from routing.core.plan import NoSuchTime, Plan, RunSketch, timed
from routing.core.planner import StopRule, plan
from routing.core.problem import DayProblem

from .days import day, order, random_day, shift

BOOKED = (("Friday-big", (("Siding", ("Tanner.1", "Finch.1")), ("Creek", ("Sool.1",)))),)


def test_an_offer_costs_what_the_referee_says_the_run_costs_more():
    problem = day(shifts=(*day().shifts, shift("Friday-2", "big")))
    booked = timed(problem, BOOKED)
    keats = problem.orders[3]

    offers = insertion_offers(problem, booked, keats)

    before = check_plan(problem, booked)
    for offer in offers:
        runs = tuple(run for run in booked.runs if run.shift != offer.shift)
        after = check_plan(problem, Plan(runs=(*runs, offer.run)))
        assert after.ok
        assert offer.cost_c == pytest.approx(after.cost_c - before.cost_c + keats.left_out_c, abs=1)
    assert {offer.shift: offer.is_empty_run for offer in offers} == {"Friday-big": False, "Friday-2": True}
    assert [offer.cost_c for offer in offers] == sorted(offer.cost_c for offer in offers)


def test_a_drop_on_the_way_is_cheaper_than_one_of_its_own():
    problem = day(shifts=(*day().shifts, shift("Friday-2", "big")))
    booked = timed(problem, BOOKED)

    [passing, alone] = insertion_offers(problem, booked, order("Crewe", 3, quantity=3))

    assert (passing.is_empty_run, alone.is_empty_run) == (False, True)
    assert passing.cost_c < alone.cost_c / 3
    assert passing.yards == ("Creek",)


def test_no_offer_where_no_wood_is_left():
    problem = day()
    booked = timed(problem, BOOKED)

    assert insertion_offers(problem, booked, order("Crewe", 3, quantity=9, wood="oak")) == ()


@pytest.mark.parametrize("seed", range(8))
def test_the_exact_answer_is_never_dearer_and_keeps_the_rules(seed):
    problem = random_day(seed, orders=6, shifts=2)
    booked = plan(problem, stop=StopRule(steps=100)).plan
    new = order("New", 2, quantity=3, dates=(0, 1))

    quick = {offer.shift: offer for offer in insertion_offers(problem, booked, new)}
    exact = {offer.shift: offer for offer in insertion_offers(problem, booked, new, exact=True)}

    assert quick.keys() == exact.keys()
    for shift_id, offer in exact.items():
        assert offer.cost_c <= quick[shift_id].cost_c
        assert "New.1" in offer.run.parts


def test_the_best_run_undoes_a_bad_order():
    problem = day()
    good = plan(problem, stop=StopRule(steps=200)).plan.runs[0]
    bad = (good.shift, tuple((yard, tuple(reversed(parts))) for yard, parts in good.sketch[1]))

    better = best_run(problem, bad, below=10**13)

    assert timed(problem, (better,)).runs[0].cost_units <= good.cost_units


@pytest.mark.parametrize("seed", range(12))
def test_the_plain_search_finds_what_the_bounded_one_finds(seed, monkeypatch):
    problem = random_day(seed, orders=8, shifts=3)
    booked = plan(problem, stop=StopRule(steps=100)).plan
    new = order("New", 2, quantity=3, dates=(0, 1))

    plain = insertion_offers(problem, booked, new, exact=True)
    monkeypatch.setattr(insertion, "FEW_PARTS", 0)
    bounded = insertion_offers(problem, booked, new, exact=True)

    assert plain == bounded


@pytest.mark.parametrize("seed", range(6))
def test_the_best_run_is_the_cheapest_of_all_that_keep_the_rules(seed):
    problem = random_day(seed, orders=6, shifts=2)
    booked = plan(problem, stop=StopRule(steps=100)).plan
    run = next(run for run in booked.runs if len(run.parts) <= 4)

    best = best_run(problem, run.sketch, below=10**13)

    assert timed(problem, (best,)).runs[0].cost_units == min(_costs_of_all(problem, run.shift, run.parts))


def _costs_of_all(problem: DayProblem, shift: str, parts: tuple[str, ...]) -> Iterator[int]:
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
                sketch: RunSketch = (shift, tuple(zip(yards, map(tuple, loads), strict=True)))
                try:
                    alone = timed(problem, (sketch,))
                except NoSuchTime:
                    continue
                if check_plan(problem, alone).ok:
                    yield alone.runs[0].cost_units

"""Runs that share a truck or a driver: in which order they are carried out, and which cannot be."""

from collections.abc import Iterable, Sequence
from itertools import permutations

from routing.planner.clock import Clock, NoSuchTime
from routing.planner.params import SEARCH
from routing.planner.plan import RunPlan
from routing.planner.problem import DayProblem
from routing.planner.sketches import RunSketch


def in_turn(problem: DayProblem, sketch: Iterable[RunSketch]) -> tuple[RunSketch, ...]:
    """The same runs in the order that can be driven at the least cost; as given where nothing is shared.

    Where no order can be driven the one given stays. Runs that share nothing keep their places.
    """
    runs = [run for run in sketch if any(parts for _, parts in run[1])]
    groups = _sharing(problem, runs)
    if not groups:
        return tuple(runs)
    clock = Clock(problem)
    for group in groups:
        places = sorted(runs.index(run) for run in group)
        for place, run in zip(places, _best_order(clock, group), strict=True):
            runs[place] = run
    return tuple(runs)


def _sharing(problem: DayProblem, sketch: Sequence[RunSketch]) -> list[list[RunSketch]]:
    """Groups of two and more runs that wait for one another, directly or through a third."""
    runs = {run.id: run for run in problem.runs}
    groups: list[list[RunSketch]] = []
    for run in sketch:
        if run[0] not in runs:
            continue
        linked = [
            group
            for group in groups
            if any(problem.wait_between(runs[run[0]], runs[other[0]]) is not None for other in group)
        ]
        joined = [other for group in linked for other in group] + [run]
        groups = [group for group in groups if group not in linked] + [joined]
    return [group for group in groups if len(group) > 1]


def _best_order(clock: Clock, group: Sequence[RunSketch]) -> Sequence[RunSketch]:
    if len(group) > SEARCH.most_permuted:
        orders: Iterable[Sequence[RunSketch]] = [group, _by_departure(clock, group)]
    else:
        orders = permutations(group)
    best, least = group, None
    for order in orders:
        cost = _cost(clock, order)
        if cost is not None and (least is None or cost < least):
            best, least = order, cost
    return best


def _by_departure(clock: Clock, group: Sequence[RunSketch]) -> list[RunSketch]:
    def leaves(run: RunSketch) -> int:
        try:
            return clock.run(run).leave_s
        except NoSuchTime:
            return 0

    return sorted(group, key=leaves)


def _cost(clock: Clock, order: Sequence[RunSketch]) -> int | None:
    """Cost units of the runs one after the other; None where a clock or the longest day is not kept."""
    done: list[RunPlan] = []
    for run in order:
        try:
            done.append(clock.run(run, after=done))
        except NoSuchTime:
            return None
        if done[-1].paid_s > clock.runs[run[0]].max_s:
            return None
    return sum(run.cost_units for run in done)

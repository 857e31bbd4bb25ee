"""The pickup's bed beside a trailer: which part of the bundles rides there."""

from collections import Counter
from collections.abc import Mapping
from itertools import product

from routing.planner.fleet import PlanRig
from routing.planner.plan import LoadPlan
from routing.planner.problem import TWELFTHS, DayProblem, Wood


def bed_division(problem: DayProblem, rig: PlanRig, aboard: Mapping[str, int]) -> Mapping[str, int] | None:
    """Wood units of each bed wood to put in the bed for a load to fit: as few as will do, None if it cannot.

    Shapes
        aboard: wood units of the whole load by wood. returns: only woods of which something rides there;
        empty when all fits the box, or there is no bed.
    """
    units = problem.wood_units_per_cord
    woods = {wood.id: wood for wood in problem.woods}
    over_ft3 = sum(n * woods[w].ft3_per_cord for w, n in aboard.items()) - rig.cap_ft3 * units
    over_lb = sum(n * woods[w].lb_per_cord for w, n in aboard.items()) - rig.cap_lb * units
    if over_ft3 <= 0 and over_lb <= 0:
        return {}
    able = [(woods[w], n) for w, n in sorted(aboard.items()) if woods[w].rides_in_bed and n]
    if not able or not (rig.bed_ft3 or rig.bed_lb):
        return None
    *others, (last, most) = able
    found: dict[str, int] | None = None
    step_of = {wood.id: _step(problem, wood) for wood, _ in able}
    for amounts in product(*(range(0, n + 1, step_of[wood.id]) for wood, n in others)):
        ft3 = sum(n * wood.ft3_per_cord for n, (wood, _) in zip(amounts, others, strict=True))
        lb = sum(n * wood.lb_per_cord for n, (wood, _) in zip(amounts, others, strict=True))
        step = step_of[last.id]
        least = max(
            _least(over_ft3 - ft3, last.ft3_per_cord * step), _least(over_lb - lb, last.lb_per_cord * step)
        )
        room = min(
            most // step,
            _most(rig.bed_ft3 * units - ft3, last.ft3_per_cord * step),
            _most(rig.bed_lb * units - lb, last.lb_per_cord * step),
        )
        if least > room:
            continue
        division = {wood.id: n for n, (wood, _) in zip(amounts, others, strict=True)} | {
            last.id: least * step
        }
        if found is None or sum(division.values()) < sum(found.values()):
            found = division
    return None if found is None else {wood: n for wood, n in found.items() if n}


def bundles_in_bed(problem: DayProblem, run_id: str, load: LoadPlan) -> dict[str, int]:
    """How many steps (bundles) of each part of a load ride in the bed; what is dropped first lies there."""
    run = next(run for run in problem.runs if run.id == run_id)
    rig = next(rig for rig in problem.rigs if rig.id == run.rig)
    lines = {part.id: part.lines for order in problem.orders for part in order.parts if part.id in load.parts}
    aboard: Counter[str] = Counter()
    for wood, units in (line for part in load.parts for line in lines[part]):
        aboard[wood] += units
    left = Counter(bed_division(problem, rig, aboard) or {})
    step_of = {wood.id: _step(problem, wood) for wood in problem.woods}
    found: Counter[str] = Counter()
    for part in load.parts:
        for wood, units in lines[part]:
            taken = min(units, left[wood]) // step_of[wood]
            left[wood] -= taken * step_of[wood]
            found[part] += taken
    return found


def _step(problem: DayProblem, wood: Wood) -> int:
    """Wood units that stay together when it is divided."""
    return wood.bed_step or max(1, problem.wood_units_per_cord // TWELFTHS)


def _least(over: int, each: int) -> int:
    """How many steps bring a limit down by so much; more than any load has when a step brings nothing."""
    if over <= 0:
        return 0
    return -(-over // each) if each else 1 << 60


def _most(room: int, each: int) -> int:
    """How many steps still go in; none when there is less than no room."""
    if room < 0:
        return -1
    return room // each if each else 1 << 60

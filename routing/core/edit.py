"""Hand edits of a plan: move, remove, swap yard, reorder, pin, fix; re-timed and re-refereed at once.

An edit never refuses: it gives the new plan, the referee's verdict and what the edit costs. Whether to keep
a plan the referee faults is the caller's choice (it is not).
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from routing.core import RoutingError
from routing.core.check import Verdict, check_plan
from routing.core.plan import LoadPlan, NoSuchTime, Plan, RunPlan, RunSketch, StopPlan, timed_run
from routing.core.problem import DayProblem, FrozenLoad, FrozenRun, Pin

type Loads = list[tuple[str, list[str]]]


class NoSuchPlace(RoutingError):
    """An edit that names a part, a load or a shift the plan does not have."""

    def __init__(self, *, what: str) -> None:
        self.what = what
        super().__init__(f"The plan has no {what}; reload the page, it may have been planned anew.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """A plan after a hand edit. change_c: what the edit costs in cents, below zero when it saves."""

    plan: Plan
    verdict: Verdict
    cost_c: int
    change_c: int

    @property
    def ok(self) -> bool:
        """Whether the referee accepts it."""
        return self.verdict.ok


def move_part(
    problem: DayProblem,
    plan: Plan,
    *,
    part: str,
    shift: str,
    load: int,
    position: int,
    yard: str | None = None,
) -> Edit:
    """Move a drop (or bring in a left-out one) to a place in a load.

    `load` and `position` count from 0 in the target run as it stands before the move; a load number past the
    last one opens a new load at `yard`.

    Errors
        NoSuchPlace: the part, shift, load or yard is not there.
    """
    _known_part(problem, part)
    if shift not in {s.id for s in problem.shifts}:
        raise NoSuchPlace(what=f"shift {shift}")
    runs = _loads_of(plan)
    origin = plan.place_of(part)
    loads = runs.setdefault(shift, [])
    if load < 0 or position < 0 or load > len(loads):
        raise NoSuchPlace(what=f"load {load + 1} in {shift}")
    if load == len(loads):
        if yard is None or yard not in {y.id for y in problem.yards}:
            raise NoSuchPlace(what=f"yard for a new load in {shift}")
        loads.append((yard, []))
    target = loads[load][1]
    if origin is not None:
        same = origin[0] == shift and origin[1] == load
        runs[origin[0]][origin[1]][1].remove(part)
        if same and origin[2] < position:
            position -= 1
    target.insert(min(position, len(target)), part)
    return _edited(problem, plan, runs)


def remove_order(problem: DayProblem, plan: Plan, *, order: str) -> Edit:
    """Take an order, with all its parts, off the plan.

    Errors
        NoSuchPlace: the order is not in the problem.
    """
    parts = {p.id for o in problem.orders if o.id == order for p in o.parts}
    if not parts:
        raise NoSuchPlace(what=f"order {order}")
    runs = {
        shift: [(yard, [p for p in stops if p not in parts]) for yard, stops in loads]
        for shift, loads in _loads_of(plan).items()
    }
    return _edited(problem, plan, runs)


def swap_yard(problem: DayProblem, plan: Plan, *, shift: str, load: int, yard: str) -> Edit:
    """Load one load at another yard.

    Errors
        NoSuchPlace: the shift, load or yard is not there.
    """
    runs = _loads_of(plan)
    loads = _load_list(runs, shift, load)
    if yard not in {y.id for y in problem.yards}:
        raise NoSuchPlace(what=f"yard {yard}")
    loads[load] = (yard, loads[load][1])
    return _edited(problem, plan, runs)


def reorder_load(problem: DayProblem, plan: Plan, *, shift: str, load: int, parts: Iterable[str]) -> Edit:
    """Put the drops of one load in another order.

    Errors
        NoSuchPlace: the shift or load is not there, or the parts are not exactly the load's.
    """
    runs = _loads_of(plan)
    loads = _load_list(runs, shift, load)
    wanted = list(parts)
    if sorted(wanted) != sorted(loads[load][1]):
        raise NoSuchPlace(what=f"load of just these drops in {shift}")
    loads[load] = (loads[load][0], wanted)
    return _edited(problem, plan, runs)


def move_load(
    problem: DayProblem, plan: Plan, *, shift: str, load: int, to_shift: str, position: int
) -> Edit:
    """Move a whole load to a place in the same or another run.

    Errors
        NoSuchPlace: a shift or load is not there.
    """
    runs = _loads_of(plan)
    moved = _load_list(runs, shift, load).pop(load)
    if to_shift not in {s.id for s in problem.shifts}:
        raise NoSuchPlace(what=f"shift {to_shift}")
    target = runs.setdefault(to_shift, [])
    target.insert(max(0, min(position, len(target))), moved)
    return _edited(problem, plan, runs)


def pinned(problem: DayProblem, plan: Plan, *, part: str, with_yard: bool = False) -> DayProblem:
    """The problem with a part pinned to where the plan has it now.

    Errors
        NoSuchPlace: the plan leaves the part out.
    """
    place = plan.place_of(part)
    if place is None:
        raise NoSuchPlace(what=f"place for {part}")
    run = plan.run_of(place[0])
    yard = run.loads[place[1]].yard if run is not None and with_yard else None
    others = tuple(pin for pin in problem.pins if pin.part != part)
    return replace(problem, pins=(*others, Pin(part=part, shift=place[0], yard=yard)))


def unpinned(problem: DayProblem, *, part: str) -> DayProblem:
    """The problem without the pin of a part."""
    return replace(problem, pins=tuple(pin for pin in problem.pins if pin.part != part))


def fixed(problem: DayProblem, plan: Plan, *, shifts: Iterable[str]) -> DayProblem:
    """The problem with these runs fixed as the plan has them: what is left is replanned around them.

    Errors
        NoSuchPlace: the plan does not use a shift.
    """
    frozen = {run.shift: run for run in problem.frozen}
    for shift in shifts:
        run = plan.run_of(shift)
        if run is None:
            raise NoSuchPlace(what=f"run {shift}")
        frozen[shift] = FrozenRun(
            shift=shift, loads=tuple(FrozenLoad(yard=load.yard, parts=load.parts) for load in run.loads)
        )
    return replace(problem, frozen=tuple(frozen.values()))


def judged(problem: DayProblem, sketch: Iterable[RunSketch]) -> tuple[Plan, Verdict]:
    """A plan from bare sequences with the referee's verdict; a run no clock can keep stays without times."""
    plan = as_it_stands(problem, sketch)
    return plan, check_plan(problem, plan)


def as_it_stands(problem: DayProblem, sketch: Iterable[RunSketch]) -> Plan:
    """The same plan where nobody asks the referee: what is stored was judged when it was kept."""
    number = {shift.id: at for at, shift in enumerate(problem.shifts)}
    runs = [_run(problem, run) for run in sketch if any(parts for _, parts in run[1])]
    return Plan(runs=tuple(sorted(runs, key=lambda run: number.get(run.shift, len(number)))))


def _edited(problem: DayProblem, before: Plan, runs: dict[str, Loads]) -> Edit:
    sketch = [(shift, tuple((yard, tuple(parts)) for yard, parts in loads)) for shift, loads in runs.items()]
    plan, verdict = judged(problem, sketch)
    return Edit(
        plan=plan,
        verdict=verdict,
        cost_c=verdict.cost_c,
        change_c=verdict.cost_c - check_plan(problem, before).cost_c,
    )


def _run(problem: DayProblem, sketch: RunSketch) -> RunPlan:
    try:
        return timed_run(problem, sketch)
    except NoSuchTime:
        orders = {p.id: o.id for o in problem.orders for p in o.parts}
        return RunPlan(
            shift=sketch[0],
            loads=tuple(
                LoadPlan(yard=yard, stops=tuple(StopPlan(part=p, order=orders[p]) for p in parts))
                for yard, parts in sketch[1]
                if parts
            ),
        )


def _loads_of(plan: Plan) -> dict[str, Loads]:
    return {run.shift: [(load.yard, list(load.parts)) for load in run.loads] for run in plan.runs}


def _load_list(runs: dict[str, Loads], shift: str, load: int) -> Loads:
    if shift not in runs or not 0 <= load < len(runs[shift]):
        raise NoSuchPlace(what=f"load {load + 1} in {shift}")
    return runs[shift]


def _known_part(problem: DayProblem, part: str) -> None:
    if all(part != p.id for o in problem.orders for p in o.parts):
        raise NoSuchPlace(what=f"drop {part}")

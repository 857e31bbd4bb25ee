"""Hand edits of a plan: move a drop, take an order off; re-timed and re-checked at once.

An edit never refuses: it gives the new plan, the referee's verdict and what the edit costs. Whether to keep
a plan the referee faults is the caller's choice (it is not).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from inventory.core.sentences import Sentence
from routing.core import RoutingError
from routing.planner.clock import Clock, NoSuchTime
from routing.planner.plan import FillPlan, LoadPlan, Plan, RunPlan, StopPlan
from routing.planner.problem import DayProblem
from routing.planner.referee import Referee
from routing.planner.sketches import LoadSketch, RunSketch, fills_of
from routing.planner.turns import in_turn
from routing.planner.verdict import Verdict


class NoSuchPlace(RoutingError):
    """An edit that names a part, a load or a run the plan does not have."""

    def __init__(self, what: str, /, **gaps: object) -> None:
        super().__init__(
            "The plan has no {what}; reload the page, it may have been planned anew.",
            what=Sentence(what, gaps),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """A plan after a hand edit. change_c: what the edit costs in cents, below zero when it saves."""

    plan: Plan
    verdict: Verdict
    change_c: int

    @property
    def ok(self) -> bool:
        """Whether the referee accepts it."""
        return self.verdict.ok

    @property
    def cost_c(self) -> int:
        """Cents of the plan after the edit."""
        return self.verdict.cost_c


def move_part(
    problem: DayProblem,
    plan: Plan,
    *,
    part: str,
    run: str,
    load: int,
    position: int,
    yard: str | None = None,
    judge: "Judge | None" = None,
) -> Edit:
    """Move a drop (or bring in a left-out one) to a place in a load.

    `load` and `position` count from 0 in the target run as it stands before the move; a load number past the
    last one opens a new load at `yard`. In a load that is filled elsewhere the part is filled at `yard` as
    well, where one is named and the problem allows a load so many yards. judge: of this problem, where
    several edits are tried.

    Errors
        NoSuchPlace: the part, run, load or yard is not there.
    """
    if all(part != known.id for order in problem.orders for known in order.parts):
        raise NoSuchPlace("drop {part}", part=part)
    if run not in {known.id for known in problem.runs}:
        raise NoSuchPlace("run {run}", run=run)
    if yard is not None and yard not in {known.id for known in problem.yards}:
        raise NoSuchPlace("yard {yard}", yard=yard)
    runs = {known.id: list(known.sketch[1]) for known in plan.runs}
    origin = plan.place_of(part)
    loads = runs.setdefault(run, [])
    if load < 0 or position < 0 or load > len(loads):
        raise NoSuchPlace("load {load} in {run}", load=load + 1, run=run)
    if load == len(loads):
        if yard is None:
            raise NoSuchPlace("yard for a new load in {run}", run=run)
        loads.append((yard, ()))
    if origin is not None:
        runs[origin[0]][origin[1]] = without_parts(runs[origin[0]][origin[1]], {part})
        if origin[:2] == (run, load) and origin[2] < position:
            position -= 1
    loads[load] = _with_part(problem, loads[load], part, position, yard)
    return _edited(problem, plan, runs, judge)


def remove_order(problem: DayProblem, plan: Plan, *, order: str) -> Edit:
    """Take an order, with all its parts, off the plan.

    Errors
        NoSuchPlace: the order is not in the problem.
    """
    parts = {p.id for o in problem.orders if o.id == order for p in o.parts}
    if not parts:
        raise NoSuchPlace("order {order}", order=order)
    runs = {run.id: [without_parts(load, parts) for load in run.sketch[1]] for run in plan.runs}
    return _edited(problem, plan, runs)


def without_parts(load: LoadSketch, parts: Iterable[str]) -> LoadSketch:
    """A load with some parts gone; a yard where nothing is filled any more is not visited."""
    gone = set(parts)
    stops = tuple(part for part in load[1] if part not in gone)
    if isinstance(load[0], str):
        return load[0], stops
    kept = [(yard, tuple(part for part in filled if part not in gone)) for yard, filled in load[0]]
    fills = tuple((yard, filled) for yard, filled in kept if filled)
    return (fills[0][0], stops) if len(fills) == 1 else (fills, stops)


class Judge:
    """The clock and the referee of one problem; a run that an edit leaves alone is not timed again."""

    def __init__(self, problem: DayProblem) -> None:
        self.problem = problem
        self.clock = Clock(problem)
        self.costs: dict[Plan, int] = {}
        self.timed: dict[tuple[RunSketch, int], RunPlan] = {}  # by when its truck and driver are free

    @cached_property
    def referee(self) -> Referee:
        """Judges the plans."""
        return Referee(self.problem)

    def of(self, sketch: Iterable[RunSketch]) -> tuple[Plan, Verdict]:
        """See `judged`."""
        plan = self.as_it_stands(sketch)
        return plan, self.referee.check(plan)

    def cost_c(self, plan: Plan) -> int:
        """Cents of a plan, whether it keeps the rules or not."""
        if plan not in self.costs:
            self.costs[plan] = self.referee.check(plan).cost_c
        return self.costs[plan]

    def as_it_stands(self, sketch: Iterable[RunSketch]) -> Plan:
        """See `as_it_stands`."""
        runs: list[RunPlan] = []
        for run in sketch:
            if any(parts for _, parts in run[1]):
                runs.append(self._timed(run, runs))
        return Plan(runs=tuple(runs))

    def _timed(self, run: RunSketch, after: list[RunPlan]) -> RunPlan:
        key = run, self.clock.earliest_departure(self.clock.runs[run[0]], after)
        if key not in self.timed:
            try:
                self.timed[key] = self.clock.run(run, after=after)
            except NoSuchTime:
                self.timed[key] = _untimed(self.clock, run)
        return self.timed[key]


def judged(problem: DayProblem, sketch: Iterable[RunSketch]) -> tuple[Plan, Verdict]:
    """A plan from bare sequences with the referee's verdict; a run no clock can keep stays without times."""
    return Judge(problem).of(sketch)


def as_it_stands(problem: DayProblem, sketch: Iterable[RunSketch]) -> Plan:
    """The same plan where nobody asks the referee: what is stored was judged when it was kept."""
    return Judge(problem).as_it_stands(sketch)


def _edited(
    problem: DayProblem, before: Plan, runs: dict[str, list[LoadSketch]], judge: Judge | None = None
) -> Edit:
    judge = judge or Judge(problem)
    sketch = tuple((run, tuple(loads)) for run, loads in runs.items())
    plan, verdict = judge.of(in_turn(problem, sketch))
    return Edit(plan=plan, verdict=verdict, change_c=verdict.cost_c - judge.cost_c(before))


def _with_part(
    problem: DayProblem, load: LoadSketch, part: str, position: int, yard: str | None
) -> LoadSketch:
    stops = (*load[1][:position], part, *load[1][position:])
    fills = fills_of(load)
    yards = [name for name, _ in fills]
    if yard is None or yard in yards or not load[1] or len(yards) >= problem.fill_yards:
        if len(fills) == 1:
            return fills[0][0], stops
        at = yards.index(yard) if yard in yards else 0
        grown = (fills[at][0], (*fills[at][1], part))
        return (*fills[:at], grown, *fills[at + 1 :]), stops
    return (*fills, (yard, (part,))), stops


def _untimed(clock: Clock, sketch: RunSketch) -> RunPlan:
    return RunPlan(
        id=sketch[0],
        loads=tuple(
            LoadPlan(
                fills=tuple(FillPlan(yard=yard, parts=parts) for yard, parts in fills_of(load)),
                stops=tuple(StopPlan(part=part, order=clock.parts[part][0].id) for part in load[1]),
            )
            for load in sketch[1]
            if load[1]
        ),
    )

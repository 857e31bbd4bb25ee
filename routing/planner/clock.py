"""The clock: when each halt of a run begins, from bare sequences.

The earliest possible return comes first, then the latest departure that still gives it; runs that share a
truck or a driver follow one another in the order listed; a pause goes where the return stays earliest.
Nothing here decides; whether a plan keeps the rules is for `referee` to say.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from inventory.core.gaps import pounds
from inventory.core.sentences import Sentence
from routing.core import RoutingError
from routing.planner.fleet import PlanRig, PlanRun
from routing.planner.plan import FillPlan, LoadPlan, Plan, RunPlan, StopPlan, meter_units, second_units
from routing.planner.problem import COST_UNITS_PER_CENT, DayProblem, PlanPart, load_seconds
from routing.planner.sketches import LoadSketch, RunSketch, fills_of

AFTER_WORK = -1


class NoSuchTime(RoutingError):
    """A sequence of stops that no clock can keep. kind: yard, shut, drop, home, road or pause."""

    def __init__(self, where: str, /, *, run: str, kind: str, **gaps: object) -> None:
        self.run = run
        self.kind = kind
        super().__init__(
            "The run {run} cannot keep its hours: {where}.", run=run, where=Sentence(where, gaps)
        )


def timed(problem: DayProblem, sketch: Iterable[RunSketch]) -> Plan:
    """A plan with its clock and cost from bare sequences; empty loads and runs fall away.

    Runs are carried out in the order given: one that needs the truck or the driver of an earlier one waits.

    Errors
        NoSuchTime: a window, a yard's hours, the pause or the end of a run cannot be met.
    """
    clock = Clock(problem)
    runs: list[RunPlan] = []
    for run in sketch:
        if any(parts for _, parts in run[1]):
            runs.append(clock.run(run, after=runs))
    return Plan(runs=tuple(runs))


def timed_run(problem: DayProblem, sketch: RunSketch, *, after: Iterable[RunPlan] = ()) -> RunPlan:
    """One run with its clock and cost. after: runs carried out before it that may keep it waiting.

    Errors
        NoSuchTime: a window, a yard's hours, the pause or the end of the run cannot be met.
    """
    return Clock(problem).run(sketch, after=after)


class _Halt(NamedTuple):
    kind: str
    where: Sentence
    loc: int
    leg_m: int
    leg_s: int
    open_s: int
    close_s: int
    service_s: int
    is_loaded: bool


class _Step(NamedTuple):
    """What the clock sees of a halt, or of a pause there. halt: its number; AFTER_WORK for a pause then."""

    leg_s: int
    open_s: int
    close_s: int
    service_s: int
    halt: int
    is_pause: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class _Times:
    arrivals: Sequence[int]
    begins: Sequence[int]
    leave_s: int
    home_s: int
    pause_s: int = 0
    pause_begin_s: int = 0


class _Late(Exception):
    def __init__(self, step: _Step, seconds: int) -> None:
        self.step = step
        self.seconds = seconds


class Clock:
    """Clocks runs of one problem; what it looks up by name is laid out once."""

    def __init__(self, problem: DayProblem) -> None:
        self.problem = problem
        self.units = problem.wood_units_per_cord
        self.runs = {run.id: run for run in problem.runs}
        self.rigs = {rig.id: rig for rig in problem.rigs}
        self.yards = {yard.id: yard for yard in problem.yards}
        self.parts = {part.id: (order, part) for order in problem.orders for part in order.parts}
        self.woods = {wood.id: wood for wood in problem.woods}
        self.roads = dict(problem.roads)

    def run(self, sketch: RunSketch, *, after: Iterable[RunPlan] = ()) -> RunPlan:
        """One run with its clock and cost; see `timed_run`."""
        run = self.runs[sketch[0]]
        rig = self.rigs[run.rig]
        loads = tuple(load for load in sketch[1] if load[1])
        halts = self._halts(run, rig, loads)
        times = _times(run, halts, self.earliest_departure(run, after))
        road = sum(
            halt.leg_m * meter_units(rig.loaded_c_km if halt.is_loaded else rig.empty_c_km) for halt in halts
        )
        paid_s = times.home_s - times.leave_s - times.pause_s
        return RunPlan(
            id=run.id,
            loads=self._loads(loads, halts, times),
            leave_s=times.leave_s,
            home_s=times.home_s,
            home_leg_m=halts[-1].leg_m,
            home_leg_s=halts[-1].leg_s,
            loaded_m=sum(halt.leg_m for halt in halts if halt.is_loaded),
            empty_m=sum(halt.leg_m for halt in halts if not halt.is_loaded),
            cost_units=road + paid_s * second_units(run.wage_c_h) + rig.fixed_c * COST_UNITS_PER_CENT,
            pause_s=times.pause_s,
            pause_begin_s=times.pause_begin_s,
        )

    def earliest_departure(self, run: PlanRun, after: Iterable[RunPlan]) -> int:
        """Seconds of the day before which a run may not leave, its truck or driver being out with others."""
        free = run.start_s
        for earlier in after:
            wait = self.problem.wait_between(self.runs[earlier.id], run)
            if wait is not None and earlier.home_s:
                free = max(free, earlier.home_s + wait)
        return free

    def _halts(self, run: PlanRun, rig: PlanRig, loads: Sequence[LoadSketch]) -> list[_Halt]:
        here = home = self.yards[rig.home].loc
        aboard = 0  # pounds times wood units per cord
        halts: list[_Halt] = []

        def weight(part: PlanPart) -> int:
            return sum(quantity * self.woods[wood].lb_per_cord for wood, quantity in part.lines)

        def go(
            kind: str, where: Sentence, there: int, hours: tuple[int, int], service: int, *, is_loaded: bool
        ) -> None:
            nonlocal here
            band = next(b for b in reversed(rig.roads) if b.over_lb == 0 or b.over_lb * self.units < aboard)
            leg = self.roads[band.table].leg(here, there)
            if leg is None:
                raise NoSuchTime(
                    "{halt} has no road with {weight} aboard",
                    run=run.id,
                    kind="road",
                    halt=where,
                    weight=pounds(aboard // self.units),
                )
            halts.append(_Halt(kind, where, there, *leg, *hours, service, is_loaded))
            here = there

        for load in loads:
            for number, (yard_id, filled) in enumerate(fills_of(load)):
                yard = self.yards[yard_id]
                quantity = sum(self.parts[part][1].quantity for part in filled)
                service = load_seconds(yard.load_fixed_s, yard.load_s_per_cord, quantity, self.units)
                hours = self.problem.hours_of(yard, run.date)
                if hours is None:
                    raise NoSuchTime(
                        "{yard} is shut on {day}",
                        run=run.id,
                        kind="shut",
                        yard=yard.label,
                        day=self.problem.dates[run.date],
                    )
                opens, closes = hours
                where = Sentence("loading at {yard}", {"yard": yard.label})
                go("yard", where, yard.loc, (opens, closes - service), service, is_loaded=number > 0)
                aboard += sum(weight(self.parts[part][1]) for part in filled)
            for part_id in load[1]:
                order, part = self.parts[part_id]
                service = load_seconds(order.stop_s, order.unload_s_per_cord, part.quantity, self.units)
                where = Sentence("the drop {order}", {"order": order.label})
                go("drop", where, order.loc, order.window_s, service, is_loaded=True)
                aboard -= weight(part)
        where = Sentence("being home by the end of the run")
        go("home", where, home, (0, run.end_s), 0, is_loaded=False)
        return halts

    def _loads(
        self, loads: Sequence[LoadSketch], halts: Sequence[_Halt], times: _Times
    ) -> tuple[LoadPlan, ...]:
        at = iter(zip(halts, times.arrivals, times.begins, strict=True))
        built = []
        for load in loads:
            fills = tuple(_fill(yard, filled, *next(at)) for yard, filled in fills_of(load))
            stops = tuple(_stop(part, self.parts[part][0].id, *next(at)) for part in load[1])
            lines = [line for part in load[1] for line in self.parts[part][1].lines]
            built.append(
                LoadPlan(
                    fills=fills,
                    stops=stops,
                    quantity=sum(quantity for _, quantity in lines),
                    ft3=-(
                        -sum(quantity * self.woods[wood].ft3_per_cord for wood, quantity in lines)
                        // self.units
                    ),
                    lb=-(
                        -sum(quantity * self.woods[wood].lb_per_cord for wood, quantity in lines)
                        // self.units
                    ),
                )
            )
        return tuple(built)


def _times(run: PlanRun, halts: Sequence[_Halt], earliest: int) -> _Times:
    """The clock of a run that may not leave before `earliest`, with its pause where it needs one."""
    steps = [_Step(h.leg_s, h.open_s, h.close_s, h.service_s, number) for number, h in enumerate(halts)]
    try:
        plain = _along(steps, earliest)
    except _Late as late:
        minutes = (late.seconds + 59) // 60
        raise NoSuchTime(
            "{halt} would begin {minutes} min late",
            run=run.id,
            kind=halts[late.step.halt].kind,
            halt=halts[late.step.halt].where,
            minutes=minutes,
        ) from None
    first, last = run.break_window_s
    if not run.break_s or plain.leave_s >= first or plain.home_s <= last:
        return plain
    best: _Times | None = None
    for paused in _with_pause(steps, run.break_s, run.break_window_s):
        try:
            found = _along(paused, earliest)
        except _Late:
            continue
        if best is None or (found.home_s, -found.leave_s) < (best.home_s, -best.leave_s):
            best = found
    if best is None:
        raise NoSuchTime("there is no place for the pause", run=run.id, kind="pause")
    return best


def _with_pause(steps: list[_Step], length: int, window: tuple[int, int]) -> Iterator[list[_Step]]:
    """Every place of the pause: at each halt but home, before the work there or after it."""
    for number, step in enumerate(steps[:-1]):
        before = [_Step(step.leg_s, *window, length, number, is_pause=True), step._replace(leg_s=0)]
        yield steps[:number] + before + steps[number + 1 :]
        yield [
            *steps[: number + 1],
            _Step(0, *window, length, AFTER_WORK, is_pause=True),
            *steps[number + 1 :],
        ]


def _along(steps: Sequence[_Step], earliest: int) -> _Times:
    now = earliest
    for step in steps:
        now = max(now + step.leg_s, step.open_s)
        if now > step.close_s:
            raise _Late(step, now - step.close_s)
        now += step.service_s
    latest = now
    for step in reversed(steps):
        latest = min(latest - step.service_s, step.close_s) - step.leg_s
    clock = latest
    arrivals: dict[int, int] = {}
    begins = []
    pause_s = pause_begin_s = 0
    for step in steps:
        clock += step.leg_s
        arrivals.setdefault(step.halt, clock)
        begin = max(clock, step.open_s)
        if step.is_pause:
            pause_s, pause_begin_s = step.service_s, begin
        else:
            begins.append(begin)
        clock = begin + step.service_s
    return _Times(
        arrivals=[arrivals[number] for number in range(len(begins))],
        begins=begins,
        leave_s=latest,
        home_s=now,
        pause_s=pause_s,
        pause_begin_s=pause_begin_s,
    )


def _fill(yard: str, parts: tuple[str, ...], halt: _Halt, arrive: int, begin: int) -> FillPlan:
    return FillPlan(
        yard=yard,
        parts=parts,
        arrive_s=arrive,
        begin_s=begin,
        leave_s=begin + halt.service_s,
        leg_m=halt.leg_m,
        leg_s=halt.leg_s,
    )


def _stop(part: str, order: str, halt: _Halt, arrive: int, begin: int) -> StopPlan:
    return StopPlan(
        part=part,
        order=order,
        arrive_s=arrive,
        begin_s=begin,
        leave_s=begin + halt.service_s,
        leg_m=halt.leg_m,
        leg_s=halt.leg_s,
    )

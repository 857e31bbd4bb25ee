"""The plan: runs, their loads, their stops, with the clock along them.

`timed` sets the clock of a sequence: earliest return first, then the latest departure that still gives it.
Nothing here decides; whether a plan keeps the rules is for `check` to say.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from typing import Literal

from routing.core import RoutingError
from routing.core.problem import COST_UNITS_PER_CENT, DayProblem, PlanRig, Shift, load_seconds

type RunSketch = tuple[str, tuple[tuple[str, tuple[str, ...]], ...]]
type Status = Literal["optimal", "bounded", "best found"]


class NoSuchTime(RoutingError):
    """A sequence of stops that no clock can keep."""

    def __init__(self, *, shift: str, where: str) -> None:
        self.shift = shift
        self.where = where
        super().__init__(f"The run {shift} cannot keep its hours: {where}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class StopPlan:
    """One drop. Units: seconds of the day; leg = the drive that led here."""

    part: str
    order: str
    arrive_s: int = 0
    begin_s: int = 0
    leave_s: int = 0
    leg_m: int = 0
    leg_s: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadPlan:
    """One filling at one yard and the drops it serves, in order. `ft3` and `lb` are rounded up."""

    yard: str
    stops: tuple[StopPlan, ...]
    arrive_s: int = 0
    begin_s: int = 0
    leave_s: int = 0
    leg_m: int = 0
    leg_s: int = 0
    quantity: int = 0
    ft3: int = 0
    lb: int = 0

    @property
    def parts(self) -> tuple[str, ...]:
        """Parts in the order they are dropped."""
        return tuple(stop.part for stop in self.stops)


@dataclass(frozen=True, slots=True, kw_only=True)
class RunPlan:
    """One rig's day from home to home. cost_units: COST_UNITS_PER_CENT to a cent, exact."""

    shift: str
    loads: tuple[LoadPlan, ...]
    leave_s: int = 0
    home_s: int = 0
    home_leg_m: int = 0
    home_leg_s: int = 0
    loaded_m: int = 0
    empty_m: int = 0
    cost_units: int = 0

    @property
    def paid_s(self) -> int:
        """Seconds from leaving home to being back."""
        return self.home_s - self.leave_s

    @property
    def cost_c(self) -> int:
        """Road, driver and fixed cost in cents, half up."""
        return half_up_cents(self.cost_units)

    @property
    def parts(self) -> tuple[str, ...]:
        """All parts in the order they are dropped."""
        return tuple(part for load in self.loads for part in load.parts)

    @property
    def sketch(self) -> RunSketch:
        """Only what was decided: (shift, ((yard, parts), ...))."""
        return (self.shift, tuple((load.yard, load.parts) for load in self.loads))


@dataclass(frozen=True, slots=True, kw_only=True)
class Postponed:
    """An order left out, a short code and the sentence that says why."""

    order: str
    code: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Runs in the order of the problem's shifts; unused shifts are absent."""

    runs: tuple[RunPlan, ...] = ()

    @property
    def parts(self) -> tuple[str, ...]:
        """All parts that are brought."""
        return tuple(part for run in self.runs for part in run.parts)

    @property
    def sketch(self) -> tuple[RunSketch, ...]:
        """Only what was decided."""
        return tuple(run.sketch for run in self.runs)

    def run_of(self, shift: str) -> RunPlan | None:
        """The run of a shift, or None when it stays at home."""
        return next((run for run in self.runs if run.shift == shift), None)

    def place_of(self, part: str) -> tuple[str, int, int] | None:
        """(shift, load number, stop number) of a part, numbers from 0, or None when it is left out."""
        for run in self.runs:
            for load_number, load in enumerate(run.loads):
                if part in load.parts:
                    return run.shift, load_number, load.parts.index(part)
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """A point of the search: seconds since the start, steps, best cost and best bound so far.

    Units
        left_out: orders the best plan leaves out; left_out_c: what they count in cost and bound, in cents.
    """

    seconds: float
    steps: int
    cost_c: int
    lower_bound_c: int | None = None
    left_out: int = 0
    left_out_c: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanResult:
    """A plan with its proof: nothing costs less than `lower_bound_c`.

    status: optimal = bound and cost agree; bounded = the gap is known; best found = no bound in time.
    """

    plan: Plan
    cost_c: int
    lower_bound_c: int | None
    status: Status
    postponed: tuple[Postponed, ...] = ()
    history: tuple[Moment, ...] = ()
    steps: int = 0
    seconds: float = 0.0
    was_cancelled: bool = field(default=False)

    @property
    def gap(self) -> float | None:
        """How far above the bound the cost is, as a share of the cost: 0.012 = 1.2 percent."""
        if self.lower_bound_c is None:
            return None
        return 0.0 if self.cost_c <= 0 else max(0.0, (self.cost_c - self.lower_bound_c) / self.cost_c)


def half_up_cents(cost_units: int) -> int:
    """Cost units to cents, half up."""
    return (cost_units + COST_UNITS_PER_CENT // 2) // COST_UNITS_PER_CENT


def timed(problem: DayProblem, sketch: Iterable[RunSketch]) -> Plan:
    """A plan with its clock and cost from bare sequences; empty loads and runs fall away.

    Errors
        NoSuchTime: a window, a yard's hours or the end of a shift cannot be met.
    """
    order_of_shift = {shift.id: number for number, shift in enumerate(problem.shifts)}
    runs = [timed_run(problem, run) for run in sketch if any(parts for _, parts in run[1])]
    return Plan(runs=tuple(sorted(runs, key=lambda run: order_of_shift[run.shift])))


def timed_run(problem: DayProblem, sketch: RunSketch) -> RunPlan:
    """One run with its clock and cost.

    Errors
        NoSuchTime: a window, a yard's hours or the end of the shift cannot be met.
    """
    shift = next(s for s in problem.shifts if s.id == sketch[0])
    rig = next(r for r in problem.rigs if r.id == shift.rig)
    loads = tuple((yard, parts) for yard, parts in sketch[1] if parts)
    halts = _halts(problem, shift, rig, loads)
    arrivals, begins, leave, home = _clock(shift, halts)
    at = iter(zip(halts, arrivals, begins, strict=True))
    woods = {w.id: w for w in problem.woods}
    orders = {p.id: (o, p) for o in problem.orders for p in o.parts}
    built: list[LoadPlan] = []
    loaded_m = empty_m = 0
    for yard, parts in loads:
        halt, arrive, begin = next(at)
        empty_m += halt.leg_m
        stops = []
        for part in parts:
            drop, reached, began = next(at)
            loaded_m += drop.leg_m
            stops.append(
                StopPlan(
                    part=part,
                    order=orders[part][0].id,
                    arrive_s=reached,
                    begin_s=began,
                    leave_s=began + drop.service_s,
                    leg_m=drop.leg_m,
                    leg_s=drop.leg_s,
                )
            )
        lines = [line for part in parts for line in orders[part][1].lines]
        units = problem.wood_units_per_cord
        built.append(
            LoadPlan(
                yard=yard,
                stops=tuple(stops),
                arrive_s=arrive,
                begin_s=begin,
                leave_s=begin + halt.service_s,
                leg_m=halt.leg_m,
                leg_s=halt.leg_s,
                quantity=sum(quantity for _, quantity in lines),
                ft3=-(-sum(quantity * woods[wood].ft3_per_cord for wood, quantity in lines) // units),
                lb=-(-sum(quantity * woods[wood].lb_per_cord for wood, quantity in lines) // units),
            )
        )
    last = halts[-1]
    home_leg_m, home_leg_s = last.leg_m, last.leg_s
    empty_m += home_leg_m
    cost = (
        loaded_m * meter_units(rig.loaded_c_km)
        + empty_m * meter_units(rig.empty_c_km)
        + (home - leave) * second_units(shift.wage_c_h)
        + rig.fixed_c * COST_UNITS_PER_CENT
    )
    return RunPlan(
        shift=shift.id,
        loads=tuple(built),
        leave_s=leave,
        home_s=home,
        home_leg_m=home_leg_m,
        home_leg_s=home_leg_s,
        loaded_m=loaded_m,
        empty_m=empty_m,
        cost_units=cost,
    )


@cache
def meter_units(cents_per_km: Fraction) -> int:
    """Cost units of one meter, to the nearest whole unit."""
    return round(cents_per_km * COST_UNITS_PER_CENT / 1000)


def second_units(cents_per_hour: int) -> int:
    """Cost units of one paid second."""
    return cents_per_hour * COST_UNITS_PER_CENT // 3600


def plan_cost_units(problem: DayProblem, plan: Plan) -> int:
    """The whole objective in cost units: runs, and what every order left out costs."""
    brought = set(plan.parts)
    left = sum(
        order.left_out_c for order in problem.orders if not all(part.id in brought for part in order.parts)
    )
    return sum(run.cost_units for run in plan.runs) + left * COST_UNITS_PER_CENT


@dataclass(frozen=True, slots=True, kw_only=True)
class _Halt:
    where: str
    loc: int
    leg_m: int
    leg_s: int
    open_s: int
    close_s: int
    service_s: int


def _home(problem: DayProblem, rig: PlanRig) -> int:
    return next(y.loc for y in problem.yards if y.id == rig.home)


def _halts(
    problem: DayProblem, shift: Shift, rig: PlanRig, loads: Sequence[tuple[str, tuple[str, ...]]]
) -> list[_Halt]:
    yards = {y.id: y for y in problem.yards}
    parts = {p.id: (o, p) for o in problem.orders for p in o.parts}
    roads = dict(problem.roads)
    loaded, empty = roads[rig.loaded_roads], roads[rig.empty_roads]
    here = _home(problem, rig)
    halts = []
    for yard_id, part_ids in loads:
        yard = yards[yard_id]
        quantity = sum(parts[part][1].quantity for part in part_ids)
        service = load_seconds(yard.load_fixed_s, yard.load_s_per_cord, quantity, problem.wood_units_per_cord)
        hours = problem.hours_of(yard, shift.date)
        if hours is None:
            raise NoSuchTime(shift=shift.id, where=f"{yard.label} is shut on {problem.dates[shift.date]}")
        halts.append(
            _Halt(
                where=f"loading at {yard.label}",
                loc=yard.loc,
                leg_m=empty.meters[here][yard.loc],
                leg_s=empty.seconds[here][yard.loc],
                open_s=hours[0],
                close_s=hours[1] - service,
                service_s=service,
            )
        )
        here = yard.loc
        for part_id in part_ids:
            order, part = parts[part_id]
            halts.append(
                _Halt(
                    where=f"the drop {order.label}",
                    loc=order.loc,
                    leg_m=loaded.meters[here][order.loc],
                    leg_s=loaded.seconds[here][order.loc],
                    open_s=order.window_s[0],
                    close_s=order.window_s[1],
                    service_s=load_seconds(
                        order.stop_s, order.unload_s_per_cord, part.quantity, problem.wood_units_per_cord
                    ),
                )
            )
            here = order.loc
    home = _home(problem, rig)
    halts.append(
        _Halt(
            where="being home by the end of the shift",
            loc=home,
            leg_m=empty.meters[here][home],
            leg_s=empty.seconds[here][home],
            open_s=0,
            close_s=shift.end_s,
            service_s=0,
        )
    )
    return halts


def _clock(shift: Shift, halts: Sequence[_Halt]) -> tuple[list[int], list[int], int, int]:
    now = shift.start_s
    for halt in halts:
        now = max(now + halt.leg_s, halt.open_s)
        if now > halt.close_s:
            raise NoSuchTime(
                shift=shift.id, where=f"{halt.where} would begin {(now - halt.close_s + 59) // 60} min late"
            )
        now += halt.service_s
    latest = now
    for halt in reversed(halts):
        latest = min(latest - halt.service_s, halt.close_s) - halt.leg_s
    clock, arrivals, begins = latest, [], []
    for halt in halts:
        clock += halt.leg_s
        arrivals.append(clock)
        clock = max(clock, halt.open_s)
        begins.append(clock)
        clock += halt.service_s
    return arrivals, begins, latest, now

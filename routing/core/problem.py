"""The planning problem: yards, wood, rigs, shifts, orders, roads and what is already fixed.

Values only; how it is solved is `planner`, how a plan is checked is `check`.
All figures are whole numbers: cents, seconds, meters, pounds, and wood in `wood_units_per_cord`ths of a cord.
"""

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Self

from routing.core import RoutingError

COST_UNITS_PER_CENT = 3_600_000
SECONDS_PER_HOUR = 3600
SECONDS_PER_DAY = 86_400


class BadProblem(RoutingError):
    """A planning problem that contradicts itself."""

    def __init__(self, *, where: str, trouble: str) -> None:
        self.where = where
        self.trouble = trouble
        super().__init__(f"{where} {trouble}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wood:
    """A wood as the rig feels it: planned pounds and loose ft3 of one cord."""

    id: str
    lb_per_cord: int
    ft3_per_cord: int
    name: str = ""

    def __post_init__(self) -> None:
        if self.lb_per_cord < 0 or self.ft3_per_cord < 0:
            raise BadProblem(where=f"The wood {self.id}", trouble="has a weight or a volume below zero")

    @property
    def label(self) -> str:
        """What to call it in a sentence."""
        return self.name or self.id


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanYard:
    """A yard: where it is, when it is open, how long loading takes, what it may give.

    Units
        loc: row of the matrices. open_s, close_s: seconds of the day. load_fixed_s: per load;
        load_s_per_cord: per cord loaded. stock: (wood id, wood units for the whole horizon).
        hours: one (open, close) or None per date, where the days differ; empty = the same every day.
    """

    id: str
    loc: int
    open_s: int
    close_s: int
    load_fixed_s: int
    load_s_per_cord: int
    stock: tuple[tuple[str, int], ...] = ()
    hours: tuple[tuple[int, int] | None, ...] = ()
    name: str = ""

    def __post_init__(self) -> None:
        if min(self.load_fixed_s, self.load_s_per_cord) < 0 or any(units < 0 for _, units in self.stock):
            raise BadProblem(
                where=f"The yard {self.label}", trouble="has a loading time or a stock below zero"
            )

    @property
    def label(self) -> str:
        """What to call it in a sentence."""
        return self.name or self.id

    def stock_of(self, wood: str) -> int:
        """Units of a wood it may give."""
        return sum(units for name, units in self.stock if name == wood)

    def hours_on(self, on: int) -> tuple[int, int] | None:
        """When it is open on a date (an index), or None when shut."""
        return self.hours[on] if self.hours else (self.open_s, self.close_s)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRig:
    """A rig: home yard, what it may carry, what its road costs, which roads it may use.

    Units
        cap_ft3, cap_lb: whole load. loaded_c_km, empty_c_km: cents per kilometer, exact.
        loaded_roads, empty_roads: names of the matrices it drives by with and without wood; they differ
        where a posted bridge bears it only empty.
    """

    id: str
    home: str
    loaded_roads: str
    empty_roads: str
    has_trailer: bool
    cap_ft3: int
    cap_lb: int
    loaded_c_km: Fraction
    empty_c_km: Fraction
    fixed_c: int = 0
    name: str = ""

    def __post_init__(self) -> None:
        figures = (self.cap_ft3, self.cap_lb, self.loaded_c_km, self.empty_c_km, self.fixed_c)
        if any(figure < 0 for figure in figures):
            raise BadProblem(where=f"The rig {self.label}", trouble="has a limit or a cost below zero")

    @property
    def label(self) -> str:
        """What to call it in a sentence."""
        return self.name or self.id


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """One rig's working day.

    Units
        date: index into the problem's dates. start_s, end_s: not out before, home by. max_s: longest
        paid time. wage_c_h: cents per hour.
    """

    id: str
    rig: str
    date: int
    start_s: int
    end_s: int
    max_s: int
    wage_c_h: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPart:
    """What one stop unloads: (wood id, wood units) lines."""

    id: str
    lines: tuple[tuple[str, int], ...]

    @property
    def quantity(self) -> int:
        """Wood units of all lines."""
        return sum(units for _, units in self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanOrder:
    """An order: where, when, how much, and what bringing it is worth.

    Units
        window_s: unloading starts between, on any of `dates`. stop_s fixed, unload_s_per_cord by quantity.
        value_c: what delivering within the horizon is worth; postpone_c: penalty for leaving it.
    """

    id: str
    loc: int
    window_s: tuple[int, int]
    dates: tuple[int, ...]
    parts: tuple[PlanPart, ...]
    no_trailer: bool = False
    stop_s: int = 0
    unload_s_per_cord: int = 0
    price_c: int = 0
    value_c: int = 0
    postpone_c: int = 0
    name: str = ""

    def __post_init__(self) -> None:
        if min(self.stop_s, self.unload_s_per_cord) < 0 or any(
            units < 0 for part in self.parts for _, units in part.lines
        ):
            raise BadProblem(where=f"The order {self.label}", trouble="has a time or an amount below zero")

    @property
    def label(self) -> str:
        """What to call it in a sentence."""
        return self.name or self.id

    @property
    def left_out_c(self) -> int:
        """Cents it costs not to bring it."""
        return self.value_c + self.postpone_c


@dataclass(frozen=True, slots=True, kw_only=True)
class Roads:
    """Meters and seconds between all locations, row = from, column = to; need not be symmetric."""

    meters: tuple[tuple[int, ...], ...]
    seconds: tuple[tuple[int, ...], ...]

    @classmethod
    def of(cls, meters: list[list[int]], seconds: list[list[int]]) -> Self:
        """Roads from lists."""
        return cls(meters=tuple(map(tuple, meters)), seconds=tuple(map(tuple, seconds)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A choice already made: this part travels in this shift and, if named, is loaded at this yard."""

    part: str
    shift: str
    yard: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class YardShut:
    """A yard closed on a date (an index), and why."""

    yard: str
    date: int
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FrozenLoad:
    """A load that stays as it is."""

    yard: str
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FrozenRun:
    """A whole run the planner must leave as it is."""

    shift: str
    loads: tuple[FrozenLoad, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DayProblem:
    """Everything the planner needs for a day or a week.

    Units
        dates: labels; a date elsewhere is an index into them. roads: (name, Roads).
        wood_units_per_cord: what one wood unit is; 12 in files, 1200 in the books.

    Errors
        BadProblem: something named is not there, or a figure cannot be.
    """

    name: str
    dates: tuple[str, ...]
    woods: tuple[Wood, ...]
    yards: tuple[PlanYard, ...]
    rigs: tuple[PlanRig, ...]
    shifts: tuple[Shift, ...]
    orders: tuple[PlanOrder, ...]
    roads: tuple[tuple[str, Roads], ...]
    wood_units_per_cord: int = 12
    pins: tuple[Pin, ...] = ()
    shuts: tuple[YardShut, ...] = ()
    frozen: tuple[FrozenRun, ...] = ()
    location_count: int = field(init=False, default=0)

    def __post_init__(self) -> None:
        object.__setattr__(self, "location_count", len(self.roads[0][1].meters) if self.roads else 0)
        _refuse_nonsense(self)

    def wood(self, wood_id: str) -> Wood:
        """The wood of this id."""
        return next(w for w in self.woods if w.id == wood_id)

    def hours_of(self, yard: PlanYard, on: int) -> tuple[int, int] | None:
        """When a yard is open on a date, shuts counted; None when it is not."""
        if any(shut.yard == yard.id and shut.date == on for shut in self.shuts):
            return None
        return yard.hours_on(on)


def load_seconds(fixed_s: int, s_per_cord: int, quantity: int, units_per_cord: int) -> int:
    """Seconds at a yard or a drop: fixed plus by quantity, the fraction of a second rounded up.

    >>> load_seconds(600, 2160, 12, 12)
    2760
    """
    return fixed_s - (-s_per_cord * quantity // units_per_cord)


def _refuse_nonsense(problem: DayProblem) -> None:
    size = problem.location_count
    if problem.wood_units_per_cord <= 0:
        raise BadProblem(where="The problem", trouble="counts wood in units of no size")
    roads = dict(problem.roads)
    for name, table in problem.roads:
        for rows in (table.meters, table.seconds):
            if len(rows) != size or any(len(row) != size for row in rows):
                raise BadProblem(where=f"The road table {name}", trouble=f"is not {size} by {size}")
            if any(min(row) < 0 for row in rows if row):
                raise BadProblem(where=f"The road table {name}", trouble="has a figure below zero")
    _refuse_twins(problem)
    woods = {w.id for w in problem.woods}
    yards = {y.id for y in problem.yards}
    rigs = {r.id for r in problem.rigs}
    shifts = {s.id for s in problem.shifts}
    parts = {p.id for o in problem.orders for p in o.parts}
    days = len(problem.dates)
    for yard in problem.yards:
        _known(f"The yard {yard.label}", "location", range(size), yard.loc)
        if yard.hours and len(yard.hours) != days:
            raise BadProblem(where=f"The yard {yard.label}", trouble="lists hours for some dates only")
        for wood, _ in yard.stock:
            _known(f"The yard {yard.label}", "wood", woods, wood)
    for rig in problem.rigs:
        _known(f"The rig {rig.label}", "home yard", yards, rig.home)
        _known(f"The rig {rig.label}", "road table", roads, rig.loaded_roads)
        _known(f"The rig {rig.label}", "road table", roads, rig.empty_roads)
    for shift in problem.shifts:
        _known(f"The shift {shift.id}", "rig", rigs, shift.rig)
        _known(f"The shift {shift.id}", "date", range(days), shift.date)
    for order in problem.orders:
        _known(f"The order {order.label}", "location", range(size), order.loc)
        for on in order.dates:
            _known(f"The order {order.label}", "date", range(days), on)
        for part in order.parts:
            for wood, _ in part.lines:
                _known(f"The order {order.label}", "wood", woods, wood)
    for pin in problem.pins:
        _known(f"The pin of {pin.part}", "part", parts, pin.part)
        _known(f"The pin of {pin.part}", "shift", shifts, pin.shift)
        if pin.yard is not None:
            _known(f"The pin of {pin.part}", "yard", yards, pin.yard)
    for run in problem.frozen:
        _known(f"The fixed run {run.shift}", "shift", shifts, run.shift)
        for load in run.loads:
            _known(f"The fixed run {run.shift}", "yard", yards, load.yard)
            for part_id in load.parts:
                _known(f"The fixed run {run.shift}", "part", parts, part_id)
    for shut in problem.shuts:
        _known("A shut", "yard", yards, shut.yard)


def _refuse_twins(problem: DayProblem) -> None:
    groups = {
        "wood": [w.id for w in problem.woods],
        "yard": [y.id for y in problem.yards],
        "rig": [r.id for r in problem.rigs],
        "shift": [s.id for s in problem.shifts],
        "order": [o.id for o in problem.orders],
        "part": [p.id for o in problem.orders for p in o.parts],
        "road table": [name for name, _ in problem.roads],
        "fixed run": [run.shift for run in problem.frozen],
        "part in a fixed run": [p for run in problem.frozen for load in run.loads for p in load.parts],
    }
    for kind, ids in groups.items():
        if len(set(ids)) != len(ids):
            twin = next(i for i in ids if ids.count(i) > 1)
            raise BadProblem(where="The problem", trouble=f"names the {kind} {twin} twice")


def _known(where: str, kind: str, known: object, wanted: object) -> None:
    if wanted not in known:  # type: ignore[operator]
        raise BadProblem(where=where, trouble=f"names a {kind} that is not there: {wanted}")

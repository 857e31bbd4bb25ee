"""The planning problem: yards, wood, trucks, rigs, runs, orders, roads and what is already fixed.

Values only; how it is solved is `solve`, how a plan is clocked is `clock`, how it is checked is `referee`.
All figures are whole numbers: cents, seconds, meters, pounds, and wood in `wood_units_per_cord`ths of a cord.
"""

from dataclasses import dataclass, field

from inventory.core.gaps import ShortDay
from inventory.core.sentences import Sentence
from routing.planner import BadProblem
from routing.planner.fleet import PlanRig, PlanRun, Roads, Truck
from routing.planner.problem_checks import refuse_nonsense
from routing.planner.sketches import RunSketch

COST_UNITS_PER_CENT = 3_600_000
SECONDS_PER_HOUR = 3600
SECONDS_PER_DAY = 86_400
TWELFTHS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Wood:
    """A wood as the rig feels it: planned pounds and loose ft3 of one cord.

    rides_in_bed: it may ride in a pickup's bed beside the trailer (bundles). bed_step: wood units that stay
    together when it is divided between the two; 0 = a twelfth of a cord.
    """

    id: str
    lb_per_cord: int
    ft3_per_cord: int
    name: str = ""
    rides_in_bed: bool = False
    bed_step: int = 0

    def __post_init__(self) -> None:
        if min(self.lb_per_cord, self.ft3_per_cord, self.bed_step) < 0:
            raise BadProblem("The wood {wood} has a weight or a volume below zero.", wood=self.id)

    @property
    def label(self) -> str:
        """What to call it in a sentence."""
        return self.name or self.id


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanYard:
    """A yard: where it is, when it is open, how long loading takes, what it may give.

    Units
        loc: row of the road tables. open_s, close_s: seconds of the day. load_fixed_s: per load;
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
            raise BadProblem("The yard {yard} has a loading time or a stock below zero.", yard=self.label)

    @property
    def label(self) -> str:
        """What to call it in a sentence."""
        return self.name or self.id

    def hours_on(self, on: int) -> tuple[int, int] | None:
        """When it is open on a date (an index), or None when shut."""
        return self.hours[on] if self.hours else (self.open_s, self.close_s)


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
            raise BadProblem("The order {order} has a time or an amount below zero.", order=self.label)

    @property
    def label(self) -> Sentence | str:
        """Who it is for, by name where there is one, and its number."""
        if not self.name:
            return self.id
        return Sentence("{name} (order {number})", {"name": self.name, "number": self.id})

    @property
    def left_out_c(self) -> int:
        """Cents it costs not to bring it."""
        return self.value_c + self.postpone_c


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A choice already made: this part travels in this run and, if named, is loaded at this yard."""

    part: str
    run: str
    yard: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class YardShut:
    """A yard closed on a date (an index), and why."""

    yard: str
    date: int
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayProblem:
    """Everything the planner needs for a day or a week.

    Units
        dates: labels; a date elsewhere is an index into them. roads: (name, Roads).
        wood_units_per_cord: what one wood unit is; 12 in planning files, 76,800 in the books.
        volume_units_per_ft3: what one unit of volume is; 10 = tenths of a loose cubic foot.
        fill_yards: at most so many yards fill one load. frozen: runs the planner must leave as they are.

    Errors
        BadProblem: something named is not there, or a figure cannot be.
    """

    name: str
    dates: tuple[str | ShortDay, ...]
    woods: tuple[Wood, ...]
    yards: tuple[PlanYard, ...]
    rigs: tuple[PlanRig, ...]
    runs: tuple[PlanRun, ...]
    orders: tuple[PlanOrder, ...]
    roads: tuple[tuple[str, Roads], ...]
    trucks: tuple[Truck, ...] = ()
    fill_yards: int = 1
    wood_units_per_cord: int = 12
    volume_units_per_ft3: int = 1
    pins: tuple[Pin, ...] = ()
    shuts: tuple[YardShut, ...] = ()
    frozen: tuple[RunSketch, ...] = ()
    location_count: int = field(init=False, default=0)

    def __post_init__(self) -> None:
        object.__setattr__(self, "location_count", len(self.roads[0][1].meters) if self.roads else 0)
        refuse_nonsense(self)

    def wood(self, wood_id: str) -> Wood:
        """The wood of this id."""
        return next(w for w in self.woods if w.id == wood_id)

    def hours_of(self, yard: PlanYard, on: int) -> tuple[int, int] | None:
        """When a yard is open on a date, shuts counted; None when it is not."""
        if any(shut.yard == yard.id and shut.date == on for shut in self.shuts):
            return None
        return yard.hours_on(on)

    def wait_between(self, first: PlanRun, second: PlanRun) -> int | None:
        """Seconds from the return of one run to the earliest departure of another on its date.

        None: they share neither truck nor driver, or not the date, and may be out at the same time.
        """
        if first.date != second.date or first.id == second.id:
            return None
        rigs = {rig.id: rig for rig in self.rigs}
        one, other = rigs[first.rig], rigs[second.rig]
        if one.truck_key == other.truck_key:
            is_changed = one.id != other.id
            return next((t.hitch_s for t in self.trucks if is_changed and t.id == other.truck), 0)
        return 0 if first.driver_key == second.driver_key else None


def load_seconds(fixed_s: int, s_per_cord: int, quantity: int, units_per_cord: int) -> int:
    """Seconds at a yard or a drop: fixed plus by quantity, the fraction of a second rounded up.

    >>> load_seconds(600, 2160, 12, 12)
    2760
    """
    return fixed_s - (-s_per_cord * quantity // units_per_cord)

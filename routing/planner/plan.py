"""The plan: runs, their loads, their stops, with the clock along them.

Values only: `clock` sets the times, `referee` says whether a plan keeps the rules.
"""

from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from typing import Literal

from inventory.core.sentences import Sentence
from routing.planner.problem import COST_UNITS_PER_CENT
from routing.planner.sketches import LoadSketch, RunSketch

type Status = Literal["optimal", "bounded", "best found"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanHalt:
    """When a halt is reached, begun and left. Units: seconds of the day; leg = the drive that led here."""

    arrive_s: int = 0
    begin_s: int = 0
    leave_s: int = 0
    leg_m: int = 0
    leg_s: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class StopPlan(PlanHalt):
    """One drop."""

    part: str
    order: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FillPlan(PlanHalt):
    """Filling parts of a load at one yard."""

    yard: str
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadPlan:
    """One load: where it is filled, then the drops it serves, in order. `ft3` and `lb` are rounded up."""

    fills: tuple[FillPlan, ...]
    stops: tuple[StopPlan, ...]
    quantity: int = 0
    ft3: int = 0
    lb: int = 0

    @property
    def parts(self) -> tuple[str, ...]:
        """Parts in the order they are dropped."""
        return tuple(stop.part for stop in self.stops)

    @property
    def yards(self) -> tuple[str, ...]:
        """The yards it is filled at, in order; nearly always one."""
        return tuple(fill.yard for fill in self.fills)

    def yard_of(self, part: str) -> str:
        """Where one of its parts is filled."""
        return next(fill.yard for fill in self.fills if part in fill.parts)

    @property
    def sketch(self) -> LoadSketch:
        """Only what was decided."""
        if len(self.fills) == 1:
            return self.fills[0].yard, self.parts
        return tuple((fill.yard, fill.parts) for fill in self.fills), self.parts


@dataclass(frozen=True, slots=True, kw_only=True)
class RunPlan:
    """One rig's day from home to home. cost_units: COST_UNITS_PER_CENT to a cent, exact.

    pause_s, pause_begin_s: the unpaid pause and when it begins; 0 = none.
    """

    id: str
    loads: tuple[LoadPlan, ...]
    leave_s: int = 0
    home_s: int = 0
    home_leg_m: int = 0
    home_leg_s: int = 0
    loaded_m: int = 0
    empty_m: int = 0
    cost_units: int = 0
    pause_s: int = 0
    pause_begin_s: int = 0

    @property
    def paid_s(self) -> int:
        """Seconds from leaving home to being back, less the pause."""
        return self.home_s - self.leave_s - self.pause_s

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
        """Only what was decided."""
        return (self.id, tuple(load.sketch for load in self.loads))


@dataclass(frozen=True, slots=True, kw_only=True)
class Postponed:
    """An order left out, a short code and the sentence that says why."""

    order: str
    code: str
    reason: Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Runs in the order they are carried out; unused ones are absent."""

    runs: tuple[RunPlan, ...] = ()

    @property
    def parts(self) -> tuple[str, ...]:
        """All parts that are brought."""
        return tuple(part for run in self.runs for part in run.parts)

    @property
    def sketch(self) -> tuple[RunSketch, ...]:
        """Only what was decided."""
        return tuple(run.sketch for run in self.runs)

    def run_of(self, run_id: str) -> RunPlan | None:
        """The run of this id, or None when it stays at home."""
        return next((run for run in self.runs if run.id == run_id), None)

    def place_of(self, part: str) -> tuple[str, int, int] | None:
        """(run, load number, stop number) of a part, numbers from 0, or None when it is left out."""
        for run in self.runs:
            for load_number, load in enumerate(run.loads):
                if part in load.parts:
                    return run.id, load_number, load.parts.index(part)
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


@cache
def meter_units(cents_per_km: Fraction) -> int:
    """Cost units of one meter, to the nearest whole unit."""
    return round(cents_per_km * COST_UNITS_PER_CENT / 1000)


def second_units(cents_per_hour: int) -> int:
    """Cost units of one paid second."""
    return cents_per_hour * COST_UNITS_PER_CENT // 3600

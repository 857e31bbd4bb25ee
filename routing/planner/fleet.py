"""What drives: trucks, rigs, the runs they may make, and the roads between all places."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Self

from routing.planner import BadProblem


@dataclass(frozen=True, slots=True, kw_only=True)
class Truck:
    """What pulls a rig, or is one. hitch_s: seconds to change it from one rig to another."""

    id: str
    hitch_s: int = 0
    name: str = ""

    @property
    def label(self) -> str:
        """What to call it in a sentence."""
        return self.name or self.id


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadBand:
    """The road table a rig drives by with more than `over_lb` of wood aboard."""

    over_lb: int
    table: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRig:
    """A rig: home yard, what it may carry, what its road costs, which roads it may use.

    Units
        cap_ft3, cap_lb: whole load, or what lies in the trailer where there is a bed as well.
        bed_ft3, bed_lb: the pickup's bed beside the trailer; 0 = not used.
        loaded_c_km, empty_c_km: cents per kilometer, exact. truck: "" = a truck of its own.
        roads: rising `over_lb`, the first 0; a leg takes the last band whose `over_lb` is less than the
        pounds aboard, with nothing aboard the first.
    """

    id: str
    home: str
    roads: tuple[RoadBand, ...]
    has_trailer: bool
    cap_ft3: int
    cap_lb: int
    loaded_c_km: Fraction
    empty_c_km: Fraction
    fixed_c: int = 0
    name: str = ""
    truck: str = ""
    bed_ft3: int = 0
    bed_lb: int = 0

    def __post_init__(self) -> None:
        figures = (self.cap_ft3, self.cap_lb, self.loaded_c_km, self.empty_c_km, self.fixed_c)
        if any(figure < 0 for figure in (*figures, self.bed_ft3, self.bed_lb)):
            raise BadProblem("The rig {rig} has a limit or a cost below zero.", rig=self.label)
        over = [band.over_lb for band in self.roads]
        if not over or over[0] != 0 or over != sorted(set(over)):
            raise BadProblem("The rig {rig} has road bands that do not rise from 0 lb.", rig=self.label)

    @property
    def label(self) -> str:
        """What to call it in a sentence."""
        return self.name or self.id

    @property
    def truck_key(self) -> str:
        """Equal for rigs that cannot be out at the same time."""
        return f"truck {self.truck}" if self.truck else f"rig {self.id}"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRun:
    """One rig on one date: what may be driven.

    Units
        date: index into the problem's dates. start_s, end_s: leaves no earlier, home by. max_s: longest
        paid time. wage_c_h: cents per hour of all aboard. driver: "" = a driver of its own; driver_name: what
        to call them in a sentence.
        break_s: one unpaid pause that starts in break_window_s; 0 = none. most_quantity: wood units the
        crew can handle that day in all runs of the driver; driver_max_s: longest paid time of the driver in
        all runs of the date; None = no limit (neither is in the file format).
    """

    id: str
    rig: str
    date: int
    start_s: int
    end_s: int
    max_s: int
    wage_c_h: int
    driver: str = ""
    driver_name: str = ""
    break_s: int = 0
    break_window_s: tuple[int, int] = (0, 0)
    most_quantity: int | None = None
    driver_max_s: int | None = None

    @property
    def driver_key(self) -> str:
        """Equal for runs that one person drives."""
        return f"driver {self.driver}" if self.driver else f"run {self.id}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Roads:
    """Meters and seconds between all locations, row = from, column = to; need not be symmetric.

    None: there is no way from the one to the other.
    """

    meters: tuple[tuple[int | None, ...], ...]
    seconds: tuple[tuple[int | None, ...], ...]

    @classmethod
    def of(cls, meters: Iterable[Iterable[int | None]], seconds: Iterable[Iterable[int | None]]) -> Self:
        """Roads from lists."""
        return cls(meters=tuple(map(tuple, meters)), seconds=tuple(map(tuple, seconds)))

    def leg(self, start: int, end: int) -> tuple[int, int] | None:
        """Meters and seconds of one leg, or None where there is no way."""
        meters, seconds = self.meters[start][end], self.seconds[start][end]
        return None if meters is None or seconds is None else (meters, seconds)

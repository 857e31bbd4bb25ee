"""New times for the rest of a run once the road has had its say.

The plan's drives and halts are kept; only the clock moves. Planning afresh is the planner's.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist

from routing.core import RoutingError
from routing.core.roads import figure

MINUTE = 60


class BadHalt(RoutingError):
    """A halt whose seconds run backward."""

    says = "The halt {name} has a drive or a stay below zero: plan the day again."


@dataclass(frozen=True, slots=True, kw_only=True)
class Halt:
    """One halt of a run as planned, and what is known of it so far.

    Units
        seconds after midnight of the run's date; drive_s: from the halt before; stay_s: loading or
        unloading; begins_from_s: not to begin before (yard opens, window starts).
        arrived_s, done_s: as it happened; None = not yet.
    """

    name: str
    drive_s: int
    stay_s: int
    begins_from_s: int = 0
    planned_arrive_s: int = 0
    arrived_s: int | None = None
    done_s: int | None = None

    def __post_init__(self) -> None:
        if self.drive_s < 0 or self.stay_s < 0:
            raise BadHalt(name=self.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewTime:
    """When a halt is reached and left now."""

    halt: Halt
    arrive_s: int
    leave_s: int

    @property
    def is_done(self) -> bool:
        return self.halt.done_s is not None

    @property
    def late_s(self) -> int:
        """Against the plan; below zero when early."""
        return self.arrive_s - self.halt.planned_arrive_s

    @property
    def late_minutes(self) -> int:
        """Whole minutes late, rounded to the nearest; below zero when early."""
        return round(self.late_s / MINUTE)


def new_times(halts: Sequence[Halt], *, left_s: int, now_s: int) -> tuple[NewTime, ...]:
    """Times of every halt, from what happened so far and the plan's own drives.

    A halt that is done keeps its time; one not reached yet is not reached before now.

    Units
        left_s: when the rig left home, or will. now_s: the clock.
    """
    reached = left_s
    times = []
    for halt in halts:
        guess = max(reached + halt.drive_s, now_s)
        arrive = halt.arrived_s if halt.arrived_s is not None else guess
        if halt.done_s is not None:
            arrive = halt.arrived_s if halt.arrived_s is not None else halt.done_s - halt.stay_s
            leave = halt.done_s
        else:
            leave = max(max(arrive, halt.begins_from_s) + halt.stay_s, now_s)
        times.append(NewTime(halt=halt, arrive_s=arrive, leave_s=leave))
        reached = leave
    return tuple(times)


def chance_in_time(pieces: Iterable[int], *, spare_s: int) -> float:
    """That a halt is begun in time, when each drive and stay before it takes more or less than planned.

    Units
        pieces: planned seconds of each; spare_s: from the planned beginning to the end of the hours told.

    Source
        independent pieces, each spread by `pace_spread` of its length (roads.toml), added up as a normal.

    >>> round(chance_in_time([1800, 2400, 1200], spare_s=1800), 2)
    0.95
    """
    spread = figure("pace_spread") * sqrt(sum(piece * piece for piece in pieces))
    return NormalDist(0, spread).cdf(spare_s) if spread else float(spare_s >= 0)

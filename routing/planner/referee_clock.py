"""The referee's own clock: one run walked forward from a departure, again and again.

`clock` works backward from the return; here the latest departure is found by trying departures, so that the
two share neither code nor method.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from routing.planner.fleet import PlanRun


class Step(NamedTuple):
    """A leg and what waits at its end.

    Units
        kind: yard, drop or home. seconds: None = no way. c_km: cents per kilometer of the leg.
        first, last: when the work there may begin; stay: how long it takes.
    """

    kind: str
    seconds: int | None
    meters: int
    c_km: Fraction
    first: int
    last: int
    stay: int
    yard: str = ""
    part: str = ""


class ClockFault(NamedTuple):
    """Why no clock can keep a run: the rule ("clock" or "pause"), at which step, how late."""

    rule: str
    step: int
    late_s: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Clocked:
    """When a run leaves, when each step begins, the return last, and the seconds of its pause."""

    leave_s: int
    begins: tuple[int, ...]
    unpaid_s: int = 0

    @property
    def home_s(self) -> int:
        return self.begins[-1]


class _Pause(NamedTuple):
    step: int
    is_before_work: bool
    length: int
    first: int
    last: int


def clocked(steps: Sequence[Step], run: PlanRun, earliest: int) -> Clocked | ClockFault:
    """The earliest return of a run that may not leave before `earliest`, then the latest departure for it."""
    plain = _best(steps, earliest, None)
    if isinstance(plain, ClockFault) or not run.break_s:
        return plain
    first, last = run.break_window_s
    if not (plain.leave_s < first and plain.home_s > last):
        return plain
    best: Clocked | None = None
    for pause in _pauses(len(steps), run):
        found = _best(steps, earliest, pause)
        if isinstance(found, ClockFault):
            continue
        earlier = best is None or found.home_s < best.home_s
        if earlier or (best is not None and found.home_s == best.home_s and found.leave_s > best.leave_s):
            best = found
    return best or ClockFault("pause", 0, 0)


def _pauses(steps: int, run: PlanRun) -> Iterator[_Pause]:
    """Before or after the work of each step but the return home."""
    for step in range(steps - 1):
        for is_before_work in (True, False):
            yield _Pause(step, is_before_work, run.break_s, *run.break_window_s)


def _best(steps: Sequence[Step], earliest: int, pause: _Pause | None) -> Clocked | ClockFault:
    """Walk from `earliest`, then look for the latest departure with the same return by halving."""
    first = _walk(steps, earliest, pause)
    if isinstance(first, ClockFault):
        return first
    early, late = earliest, first[-1] + 1  # leaves then and is back in time; does not
    begins = first
    while late - early > 1:
        middle = (early + late) // 2
        found = _walk(steps, middle, pause)
        if isinstance(found, ClockFault) or found[-1] > first[-1]:
            late = middle
        else:
            early, begins = middle, found
    return Clocked(leave_s=early, begins=tuple(begins), unpaid_s=pause.length if pause else 0)


def _walk(steps: Sequence[Step], departure: int, pause: _Pause | None) -> list[int] | ClockFault:
    """When each step begins after leaving home at `departure`."""
    begins: list[int] = []
    free = departure
    for number, step in enumerate(steps):
        free += step.seconds or 0
        is_here = pause is not None and pause.step == number
        if pause is not None and is_here and pause.is_before_work:
            free = max(free, pause.first)
            if free > pause.last:
                return ClockFault("pause", number, free - pause.last)
            free += pause.length
        begin = max(free, step.first)
        if begin > step.last:
            return ClockFault("clock", number, begin - step.last)
        begins.append(begin)
        free = begin + step.stay
        if pause is not None and is_here and not pause.is_before_work:
            free = max(free, pause.first)
            if free > pause.last:
                return ClockFault("pause", number, free - pause.last)
            free += pause.length
    return begins

"""What a truck or a driver can do in a day, as rows of the master problems.

Runs that share one are driven one after the other, so together they are away no longer than from the first
start to the last end, with the time to change trailers between any two; a driver is paid for no longer than
may be. Which goes first is forgotten: a relaxation, whose price of a second makes sharing count in a bound.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from routing.planner.arrays import Floats, PlanArrays
from routing.planner.problem import SECONDS_PER_DAY

HOUR = 3600.0  # rows are written in hours, so that their figures are of the size of the others'


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedHours:
    """The seconds away of these runs, and `each` for every one used, are together at most `room`."""

    runs: tuple[int, ...]
    each: tuple[int, ...]  # of each of the runs; under 0 where a pause is not paid for
    room: int

    def of(self, run: int, seconds: int) -> int:
        """What a run takes of the room."""
        return seconds + self.each[self.runs.index(run)]


def shared_hours(arrays: PlanArrays) -> list[SharedHours]:
    """A row for every set of runs of which no two may be driven at once, and for every driver's day."""
    rows = []
    for group in arrays.mates.tolist():
        members = [s for s in group if s >= 0]
        for runs in _cliques(arrays, members):
            change = min(int(arrays.hitch[s, t]) for s, t in combinations(runs, 2))
            room = max(int(arrays.run.end[s]) for s in runs) - min(int(arrays.run.start[s]) for s in runs)
            rows.append(SharedHours(runs=runs, each=(change,) * len(runs), room=room + change))
        for driver in dict.fromkeys(int(arrays.run.driver[s]) for s in members):
            runs = tuple(s for s in members if arrays.run.driver[s] == driver)
            longest = max(int(arrays.run.driver_longest[s]) for s in runs)
            if len(runs) > 1 and longest < SECONDS_PER_DAY:
                unpaid = tuple(-int(arrays.run.pause[s]) for s in runs)
                rows.append(SharedHours(runs=runs, each=unpaid, room=longest))
    return rows


def _cliques(arrays: PlanArrays, members: list[int]) -> Iterator[tuple[int, ...]]:
    """The largest sets of runs any two of which share a truck or a driver (Bron and Kerbosch 1973)."""
    beside = {s: {t for t in members if t != s and arrays.hitch[s, t] >= 0} for s in members}

    def grown(some: tuple[int, ...], may: set[int], done: set[int]) -> Iterator[tuple[int, ...]]:
        if not may and not done and len(some) > 1:
            yield tuple(sorted(some))
        for s in sorted(may):
            yield from grown((*some, s), may & beside[s], done & beside[s])
            may, done = may - {s}, done | {s}

    return grown((), set(members), set())


def of_classes(
    rows: list[SharedHours], classes: Sequence[Sequence[int]]
) -> tuple[list[SharedHours], list[list[int]]]:
    """The same for classes of like runs: rows of the same classes are added up, where they hold every run of
    theirs once. Also which rows each is the sum of.
    """
    of_run = {run: number for number, runs in enumerate(classes) for run in runs}
    alike: dict[tuple[int, ...], list[int]] = {}
    for at, row in enumerate(rows):
        alike.setdefault(tuple(sorted(of_run[run] for run in row.runs)), []).append(at)
    found, sums = [], []
    for some, at_rows in alike.items():
        numbers, likes = tuple(dict.fromkeys(some)), [rows[at] for at in at_rows]
        runs = [run for row in likes for run in row.runs]
        if len(runs) != len(set(runs)) or len(runs) != sum(len(classes[number]) for number in numbers):
            continue
        each = tuple(
            min(row.of(run, 0) for row in likes for run in row.runs if of_run[run] == number)
            for number in numbers
        )
        found.append(SharedHours(runs=numbers, each=each, room=sum(row.room for row in likes)))
        sums.append(at_rows)
    return found, sums


def second_prices(count: int, rows: list[SharedHours], prices: Floats) -> tuple[list[float], list[float]]:
    """What a second away costs each of so many runs at the rows' prices, and what its use costs beside."""
    second, use = [0.0] * count, [0.0] * count
    for row, price in zip(rows, prices.tolist(), strict=True):
        for run, each in zip(row.runs, row.each, strict=True):
            second[run] += price
            use[run] += price * each
    return second, use

"""Tails of runs as columns of numbers: what goes before them, and when they may leave."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from routing.planner.arrays import Floats, Ints
from routing.planner.arrays import Runs as PlanRuns
from routing.planner.params import PROOF


class Finals(NamedTuple):
    """Labels brought home: rows of a generation."""

    reduced: Floats
    cost: Ints
    mask: Ints
    code: Ints
    e: Ints
    d: Ints
    l: Ints
    paused: Ints
    row: Ints
    generation: Ints


@dataclass(slots=True)
class Labels:
    mask: Ints
    yard: Ints  # number of yards = home, the empty tail
    cost: Floats  # reduced, wage included
    real: Ints
    e: Ints
    d: Ints
    l: Ints
    code: Ints  # which yard each part comes from, where wood is short
    paused: Ints  # 1 when the run's pause lies in the tail
    parent: Ints
    load: Ints

    def __len__(self) -> int:
        return len(self.mask)

    def at(self, rows: Ints | NDArray[np.bool_]) -> "Labels":
        return Labels(*(getattr(self, name)[rows] for name in self.__slots__))


def pairs_under(
    labels: Labels, completion: Floats, masks: Ints, by_end: list[tuple[Ints, Floats]], limit: float
) -> Iterator[tuple[Ints, Ints]]:
    """Tails and the load sequences to put before them, a chunk at a time.

    Tail's completion + load's slack < limit: of each tail a prefix of the load sequences sorted by slack.
    """
    for end, (rows, slacks) in enumerate(by_end):
        here = np.flatnonzero(labels.yard == end)
        if not len(here) or not len(rows):
            continue
        upto = np.searchsorted(slacks, limit - completion[here], side="left")
        chunk = np.cumsum(upto) // PROOF.pairs_at_once
        for number in np.unique(chunk):
            some = chunk == number
            counts = upto[some]
            label = np.repeat(here[some], counts)
            place = np.arange(len(label)) - np.repeat(np.cumsum(counts) - counts, counts)
            load = rows[place]
            apart = (labels.mask[label] & masks[load]) == 0
            yield label[apart], load[apart]


def completion_limit(
    completion: Floats, yard: Ints, by_end: list[tuple[Ints, Floats]], below: float, most: int
) -> float:
    """The completion above which pairs are not looked at, lowered until they are few enough."""
    limit, step = below, 0.0
    least = min((float(completion.min()), 0.0)) + min((float(s[0]) for _, s in by_end if len(s)), default=0.0)
    for _ in range(40):
        count = sum(
            int(np.searchsorted(slacks, limit - completion[yard == end], side="left").sum())
            for end, (_, slacks) in enumerate(by_end)
        )
        if count <= most:
            return limit
        step = (limit - least) / 3
        limit -= step
    return limit


def concatenated(many: list[Labels]) -> Labels:
    return Labels(*(np.concatenate([getattr(one, name) for one in many]) for name in Labels.__slots__))


def departures(
    run: PlanRuns, paused: Ints, e: Ints, d: Ints, l: Ints, rows: Ints, *, is_shared: bool
) -> Iterator[tuple[Ints, Ints, Ints]]:
    """Rows of runs, and from when till when each may leave so that it has its pause just when it must.

    A run without a pause leaves once the pause's window is open or is back before it shuts; one with a pause
    is back later than that. One that shares nothing leaves at e and never waits for the pause's sake. That a
    run takes its pause where it is back first is not asked for: more runs than there are, never fewer.
    """
    if not run.pause:
        yield rows, e[rows], l[rows]
        return
    resting, working = rows[paused[rows] == 1], rows[paused[rows] == 0]
    shut = np.maximum(e, run.pause_to - d + 1)  # the first departure that is back too late to go without
    last = l if is_shared else e
    late = resting[shut[resting] <= last[resting]]
    yield late, shut[late] if is_shared else e[late], l[late]
    early = np.minimum(last, run.pause_to - d)
    back = working[e[working] <= early[working]]
    yield back, e[back], early[back] if is_shared else l[back]
    begun = np.maximum(e, run.pause_from)
    out = working[(begun[working] <= last[working]) & (early[working] < last[working])]
    yield out, begun[out], l[out]

"""Cheap loads of every size by q-routes.

A load takes the best road any weight aboard allows, may use trailer and bed as one box, and may come back
to a stop after two others (q-routes without two-cycles, Christofides, Mingozzi and Toth 1981).
"""

import numpy as np

from routing.planner.arrays import Floats, Ints
from routing.planner.compiled import compiled
from routing.planner.exact.load_labeling import heads_of_loads
from routing.planner.params import BOUND


class QRoutes:
    """The cheapest loads of every size that may come back to a stop after two others."""

    def __init__(
        self, entry: Floats, between: Floats, stop: Floats, ends: Floats, bins: Ints, most: int
    ) -> None:
        n = len(entry)
        self.entry, self.between, self.bins = entry, between, bins
        self.best, self.second = np.full((2, most + 1, n), np.inf)
        self.before, self.before2 = np.full((2, most + 1, n), -1)
        grow_loads(entry, between, stop, bins, self.best, self.second, self.before, self.before2)
        self.end = ends.argmin(axis=1)
        self.total = self.best + ends[np.arange(n), self.end][None, :]
        least = self.total.min(axis=1)[1:]
        self.short = float((-least / np.arange(1, most + 1)).max(initial=0.0))

    def paths(self) -> list[tuple[int, Ints]]:
        """The cheapest for each last stop as (end, stops)."""
        lows = self.total.min(axis=0)
        paths = []
        for k in np.argsort(lows, kind="stable")[: BOUND.new_loads]:
            if lows[k] > -BOUND.slack_units:
                break
            q = int(self.total[:, k].argmin())
            paths.append((int(self.end[k]), traced(self.before, self.before2, self.bins, q, int(k))))
        return paths

    def heads(self) -> Floats:
        """The least cost of a load up to each stop with so many bins or fewer before it."""
        head = np.empty(self.best.shape)
        heads_of_loads(self.entry, self.between, self.best, self.second, self.before, head)
        return head


@compiled
def grow_loads(entry, between, stop, bins, best, second, before, before2):  # type: ignore[no-untyped-def]
    """Fill the tables: the cheapest two loads of each size and last stop, coming from different stops."""
    n = entry.shape[0]
    for q in range(1, best.shape[0]):
        for k in range(n):
            rest = q - bins[k]
            if rest < 0:
                continue
            if rest == 0:
                best[q, k] = entry[k] + stop[k]
                continue
            low, low2, at, at2 = np.inf, np.inf, -1, -1
            for j in range(n):
                if j == k:
                    continue
                value = second[rest, j] if before[rest, j] == k else best[rest, j]
                value += between[j, k]
                if value < low:
                    low2, at2 = low, at
                    low, at = value, j
                elif value < low2:
                    low2, at2 = value, j
            best[q, k] = low + stop[k]
            second[q, k] = low2 + stop[k]
            before[q, k] = at
            before2[q, k] = at2


def traced(before: Ints, before2: Ints, bins: Ints, q: int, k: int) -> Ints:
    """The stops of a table's load, first to last."""
    path = [k]
    banned = -1
    while True:
        previous = int(before[q, k]) if before[q, k] != banned or banned < 0 else int(before2[q, k])
        if previous < 0:
            return np.array(path[::-1])
        q -= int(bins[k])
        banned = k
        k = previous
        path.append(k)

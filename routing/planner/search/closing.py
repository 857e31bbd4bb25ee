"""Searches with some runs closed, where runs share a truck or a driver.

Two runs that wait for one another's truck are hard to trade for a third one step at a time: while both are
half full none of them fits. So one or two runs of the best plan are closed, what they brought is put
elsewhere, and the search goes on for a while without them (tuned on fr-025-all, where a search that never
closes a run ends 3 % above the best known).
"""

import random
from dataclasses import replace
from itertools import combinations

from routing.planner.arrays import Laid
from routing.planner.params import SEARCH
from routing.planner.problem import LoadSketch, RunSketch, fills_of
from routing.planner.search.annealing import Annealing
from routing.planner.search.state import NEVER


class Closing:
    """Which runs to close next: each and each two of those the best plan uses, none twice, by chance."""

    def __init__(self, laid: Laid, *, seed: int) -> None:
        self.laid, self.seed = laid, seed
        self.rng = random.Random(seed)
        self.tried: set[tuple[str, ...]] = set()

    def next_search(self, best: tuple[RunSketch, ...]) -> Annealing | None:
        """A search from the best plan less the runs closed; None when all have been tried."""
        used = sorted(run for run, _ in best)
        choices = [*combinations(used, 1), *combinations(used, 2)]
        untried = [closed for closed in choices if closed not in self.tried]
        if not untried:
            return None
        closed = self.rng.choice(untried)
        self.tried.add(closed)
        search = Annealing(
            self._without(closed), seed=self.seed + len(self.tried), pool_rows=SEARCH.pool_rows_closed
        )
        search.adopt(_less_orders_of(self.laid, best, set(closed)))
        if search.best_units >= NEVER:
            search.begin()
        return search

    def _without(self, closed: tuple[str, ...]) -> Laid:
        allowed = self.laid.arrays.allowed.copy()
        allowed[:, [self.laid.run_ids.index(run) for run in closed]] = 0
        return replace(self.laid, arrays=self.laid.arrays._replace(allowed=allowed))


def _less_orders_of(laid: Laid, sketch: tuple[RunSketch, ...], closed: set[str]) -> tuple[RunSketch, ...]:
    """The runs not closed, without the orders that have a part in one that is."""
    order = dict(zip(laid.part_ids, laid.arrays.part.order.tolist(), strict=True))
    gone = {order[part] for run, loads in sketch if run in closed for _, parts in loads for part in parts}
    kept = []
    for run, loads in sketch:
        if run in closed:
            continue
        less = [_less(load, {part for part in load[1] if order[part] not in gone}) for load in loads]
        kept.append((run, tuple(load for load in less if load[1])))
    return tuple(kept)


def _less(load: LoadSketch, parts: set[str]) -> LoadSketch:
    stops = tuple(part for part in load[1] if part in parts)
    fills = [(yard, tuple(part for part in some if part in parts)) for yard, some in fills_of(load)]
    fills = [fill for fill in fills if fill[1]]
    return (fills[0][0] if len(fills) == 1 else tuple(fills)), stops

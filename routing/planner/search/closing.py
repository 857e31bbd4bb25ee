"""Searches with some runs closed, where runs share a truck or a driver.

Two runs that wait for one another's truck are hard to trade for a third one step at a time: while both are
half full none of them fits. So one or two runs of the best plan are closed and the search goes on for a while
without them: the first time with what they brought put elsewhere, the next time from an empty plan and for
longer, and so on by turns (tuned on fr-025-all, where a search that never closes a run ends 3 % above the
best known, and one that tries each choice once does so from three starts in eight).
"""

import random
from collections import Counter
from dataclasses import replace
from itertools import combinations

from routing.planner.arrays import Laid
from routing.planner.params import SEARCH
from routing.planner.search.annealing import Annealing
from routing.planner.search.state import NEVER
from routing.planner.sketches import LoadSketch, RunSketch, fills_of


class Closing:
    """Which runs to close next: each and each two of those the best plan uses, in rounds, by chance."""

    def __init__(self, laid: Laid, *, seed: int) -> None:
        self.laid, self.seed = laid, seed
        self.rng = random.Random(seed)
        self.tries: Counter[tuple[str, ...]] = Counter()

    def next_search(self, best: tuple[RunSketch, ...]) -> tuple[Annealing, int]:
        """A search with some runs of the best plan closed, and how many steps it is worth."""
        used = sorted(run for run, _ in best)
        choices = [*combinations(used, 1), *combinations(used, 2)]
        fewest = min(self.tries[choice] for choice in choices)
        closed = self.rng.choice([choice for choice in choices if self.tries[choice] == fewest])
        self.tries[closed] += 1
        seed = self.seed + self.tries.total()
        search = Annealing(self._without(closed), seed=seed, pool_rows=SEARCH.pool_rows_closed)
        if fewest % 2 == 0:
            search.adopt(_less_orders_of(self.laid, best, set(closed)))
        if search.best_units >= NEVER:
            search.begin()
        return search, SEARCH.closed_steps * len(self.laid.part_ids) * (1 + fewest)

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

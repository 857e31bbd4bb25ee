"""The search as a thing that can be run for a while, asked for its best, and given a better plan."""

from collections.abc import Iterable

import numpy as np

from routing.core.arrays import Ints, Laid
from routing.core.exact import Column
from routing.core.plan import RunSketch
from routing.core.routes import COST, LENGTH, empty_routes
from routing.core.search import build, set_runs, walk_steps
from routing.core.walk import (
    BEST,
    NOW,
    POOL_COST,
    POOL_LENGTH,
    POOL_ROWS,
    POOL_SHIFT,
    STEPS,
    new_walk,
)

UNSET = 1 << 60
BUILD_ORDERS = (1, 2, 4, 5)
HOT_SHARE = 0.01
COLD_SHARE = 0.0002
LONGEST_STRING = 10
MOST_LOADS = 3
MOST_OUT = 10.0


class Annealing:
    """One search: its arrays, its present runs and its best."""

    def __init__(self, laid: Laid, *, seed: int, pool_rows: int = POOL_ROWS) -> None:
        self.laid = laid
        self.routes = empty_routes(laid.arrays)
        self.walk = new_walk(laid.arrays, seed=seed, pool_rows=pool_rows)
        self.walk.costs[BEST] = UNSET
        self.average = min(MOST_OUT, max(3.0, len(laid.part_ids) / 4))

    @property
    def is_idle(self) -> bool:
        """Whether there is nothing to decide."""
        return not self.laid.part_ids or not self.laid.shift_ids

    @property
    def best_units(self) -> int:
        """Cost of the best runs and of what they leave out, in cost units."""
        return int(self.walk.costs[BEST])

    @property
    def steps(self) -> int:
        """Steps walked."""
        return int(self.walk.costs[STEPS])

    def begin(self, start: tuple[RunSketch, ...] = ()) -> None:
        """Build the first plan, from a start where one is given and holds, else from empty runs."""
        arrays = self.laid.arrays
        if start:
            tokens, length = self.tokens_of(start)
            if set_runs(arrays, self.routes, tokens, length):
                build(arrays, self.routes, self.walk, BUILD_ORDERS[0])
        nothing = np.zeros_like(self.walk.best_tokens), np.zeros_like(self.walk.best_length)
        for kind in BUILD_ORDERS:
            set_runs(arrays, self.routes, *nothing)
            build(arrays, self.routes, self.walk, kind)
        self.resume()

    def begin_from(self, tokens: Ints, length: Ints) -> None:
        """Take up runs given as tokens, which keep the rules, and put in what pays."""
        if set_runs(self.laid.arrays, self.routes, tokens, length):
            build(self.laid.arrays, self.routes, self.walk, BUILD_ORDERS[0])
        else:
            self.begin()

    def resume(self) -> None:
        """Go back to the best runs."""
        set_runs(self.laid.arrays, self.routes, self.walk.best_tokens, self.walk.best_length)
        self.walk.costs[NOW] = self.walk.costs[BEST]

    def adopt(self, sketch: tuple[RunSketch, ...]) -> None:
        """Go on from these runs; the best is theirs if they are better."""
        tokens, length = self.tokens_of(sketch)
        if set_runs(self.laid.arrays, self.routes, tokens, length):
            build(self.laid.arrays, self.routes, self.walk, BUILD_ORDERS[0])
        self.resume()

    def run(self, steps: int, *, part_done: float, hottest: float = 1.0) -> None:
        """Walk some steps; `part_done` of the time has passed, which sets the heat."""
        heat = hottest * HOT_SHARE * (COLD_SHARE / HOT_SHARE / hottest) ** part_done * self.best_units
        walk_steps(
            self.laid.arrays,
            self.routes,
            self.walk,
            steps,
            heat,
            1.0,
            self.average,
            LONGEST_STRING,
            MOST_LOADS,
        )

    def best_sketch(self) -> tuple[RunSketch, ...]:
        """The best runs as bare sequences."""
        return tuple(
            self.sketch(s, self.walk.best_tokens[s, : self.walk.best_length[s]])
            for s in range(len(self.laid.shift_ids))
            if self.walk.best_length[s]
        )

    def pooled(self) -> list[Column]:
        """Runs seen on the way, the best plan's among them."""
        walk = self.walk
        found = [
            Column(
                shift=int(walk.pool[row, POOL_SHIFT]),
                cost=int(walk.pool[row, POOL_COST]),
                tokens=tuple(walk.pool_tokens[row, : walk.pool[row, POOL_LENGTH]].tolist()),
            )
            for row in range(int(walk.pool_count[0]))
        ]
        self.resume()
        for s in range(len(self.laid.shift_ids)):
            if walk.best_length[s]:
                tokens = tuple(walk.best_tokens[s, : walk.best_length[s]].tolist())
                found.append(Column(shift=s, cost=int(self.routes.state[s, COST]), tokens=tokens))
        return found

    def adopt_columns(self, columns: Iterable[Column]) -> None:
        """Go on from these runs."""
        self.adopt(tuple(self.sketch(column.shift, np.array(column.tokens)) for column in columns))

    def sketch_of(self, shift: int) -> RunSketch:
        """A shift's present run as a bare sequence."""
        return self.sketch(shift, self.routes.tokens[shift, : self.routes.state[shift, LENGTH]])

    def sketch(self, shift: int, tokens: Ints) -> RunSketch:
        """Tokens as a bare sequence."""
        loads: list[tuple[str, list[str]]] = []
        for token in tokens.tolist():
            if token < 0:
                loads.append((self.laid.yard_ids[-1 - token], []))
            else:
                loads[-1][1].append(self.laid.part_ids[token])
        return self.laid.shift_ids[shift], tuple((yard, tuple(parts)) for yard, parts in loads)

    def tokens_of(self, sketch: tuple[RunSketch, ...]) -> tuple[Ints, Ints]:
        """Sequences as tokens; shifts, parts and yards that are not laid out are passed over."""
        tokens = np.zeros_like(self.walk.best_tokens)
        length = np.zeros_like(self.walk.best_length)
        parts = {part: number for number, part in enumerate(self.laid.part_ids)}
        for shift, loads in sketch:
            if shift not in self.laid.shift_ids:
                continue
            s = self.laid.shift_ids.index(shift)
            row: list[int] = []
            for yard, stops in loads:
                known = [parts[part] for part in stops if part in parts]
                if known and yard in self.laid.yard_ids:
                    row += [-1 - self.laid.yard_ids.index(yard), *known]
            tokens[s, : len(row)] = row
            length[s] = len(row)
        return tokens, length

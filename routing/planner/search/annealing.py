"""The search as a thing that can be run for a while, asked for its best, and given a better plan."""

from collections.abc import Iterable

import numpy as np

from routing.planner.arrays import Ints, Laid
from routing.planner.params import SEARCH
from routing.planner.search.repair import BIGGEST, DEAREST, FARTHEST, TIGHTEST
from routing.planner.search.ruin_and_recreate import anneal, build, set_runs
from routing.planner.search.state import new_state
from routing.planner.sketches import RunSketch
from routing.planner.tokens import Column, rows_of, sketch_of

BUILD_BY = (BIGGEST, FARTHEST, DEAREST, TIGHTEST)


class Annealing:
    """One search: its arrays, its present runs and its best."""

    def __init__(self, laid: Laid, *, seed: int, pool_rows: int = SEARCH.pool_rows) -> None:
        self.laid = laid
        self.state = new_state(laid.arrays, seed=seed, pool_rows=pool_rows)
        share = len(laid.part_ids) * SEARCH.out_share
        self.average = min(SEARCH.most_out, max(SEARCH.least_out, share))

    @property
    def is_idle(self) -> bool:
        """Whether there is nothing to decide."""
        return not self.laid.part_ids or not self.laid.run_ids

    @property
    def best_units(self) -> int:
        """Cost of the best runs and of what they leave out, in cost units."""
        return int(self.state.total.best[0])

    @property
    def steps(self) -> int:
        """Steps taken."""
        return int(self.state.total.steps[0])

    def begin(self, start: tuple[RunSketch, ...] = ()) -> None:
        """Build the first plan, from a start where one is given and holds, else from empty runs."""
        arrays, state = self.laid.arrays, self.state
        if start and set_runs(arrays, state, *rows_of(self.laid, start)):
            build(arrays, state, BUILD_BY[0])
        for by in BUILD_BY:
            set_runs(arrays, state, *rows_of(self.laid, ()))
            build(arrays, state, by)
        self.resume()

    def begin_from(self, rows: Ints, length: Ints) -> None:
        """Take up runs given as rows of tokens, which keep the rules, and put in what pays."""
        if set_runs(self.laid.arrays, self.state, rows, length):
            build(self.laid.arrays, self.state, BUILD_BY[0])
        else:
            self.begin()

    def resume(self) -> None:
        """Go back to the best runs."""
        length = np.ascontiguousarray(self.state.run.best_length)  # a column would be compiled anew
        set_runs(self.laid.arrays, self.state, self.state.best_tokens, length)
        self.state.total.now[0] = self.state.total.best[0]

    def adopt(self, sketch: tuple[RunSketch, ...]) -> None:
        """Go on from these runs; the best is theirs if they are better."""
        if set_runs(self.laid.arrays, self.state, *rows_of(self.laid, sketch)):
            build(self.laid.arrays, self.state, BUILD_BY[0])
        self.resume()

    def adopt_columns(self, columns: Iterable[Column]) -> None:
        """Go on from these runs."""
        self.adopt(tuple(sketch_of(self.laid, column.run, column.tokens) for column in columns))

    def run(self, steps: int, *, part_done: float, hottest: float = 1.0) -> None:
        """Walk some steps; `part_done` of the time has passed, which sets the heat. An idle search stays."""
        if self.is_idle:
            return  # the compiled loops read the first order without asking
        hot = hottest * SEARCH.hot
        heat = hot * (SEARCH.cold / hot) ** part_done * self.best_units
        anneal(self.laid.arrays, self.state, steps, heat, self.average)

    def best_sketch(self) -> tuple[RunSketch, ...]:
        """The best runs as bare sequences, in an order they can be driven in."""
        run = self.state.run
        used = [s for s in range(len(self.laid.run_ids)) if run.best_length[s]]
        group = self.laid.arrays.run.group
        first = {int(group[s]): s for s in reversed(used) if group[s] >= 0}
        used.sort(key=lambda s: (first.get(int(group[s]), s), run.best_leave[s]))
        return tuple(self._best_of(s) for s in used)

    def _best_of(self, s: int) -> RunSketch:
        row = self.state.best_tokens[s, : self.state.run.best_length[s]]
        return sketch_of(self.laid, s, row.tolist())

    def sketch_of(self, s: int) -> RunSketch:
        """A run as it is now, as a bare sequence."""
        return sketch_of(self.laid, s, self._row(s))

    def _row(self, s: int) -> list[int]:
        parts, source = len(self.laid.part_ids), self.state.source
        row = self.state.tokens[s, : self.state.run.length[s]].tolist()
        return [token if token < 0 else token + parts * int(source[token]) for token in row]

    def pooled(self) -> list[Column]:
        """Runs seen on the way, the best plan's among them."""
        state, parts = self.state, len(self.laid.part_ids)
        seen = int(state.total.pooled[0])
        # whole columns at once: a field of a record array read row by row took longer than a bound
        numbers = (
            getattr(state.pool, name)[:seen].tolist() for name in ("run", "cost", "length", "e", "d", "l")
        )
        found = [
            Column.of(run, cost, tokens[:length].tolist(), parts, (e, d, l))
            for tokens, run, cost, length, e, d, l in zip(state.pool_tokens, *numbers, strict=False)
        ]
        self.resume()
        found += [
            Column.of(
                s,
                int(state.run.cost[s]),
                self._row(s),
                parts,
                (int(state.run.e[s]), int(state.run.d[s]), int(state.run.l[s])),
            )
            for s in np.flatnonzero(state.run.best_length).tolist()
        ]
        return found

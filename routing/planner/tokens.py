"""Runs as rows of numbers, between the names of a plan and the loops.

-1 - y is filling at yard y; p + y * P is a stop that unloads part p, filled at yard y (P parts). Fills next
to one another belong to one load.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from routing.planner.arrays import Ints, Laid
from routing.planner.sketches import LoadSketch, RunSketch, fills_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One run as the master problem sees it: its cost, its row, and (part, yard) of what it brings.

    clock: (e, d, l) of the whole run, see `search.schedule`; what runs that share a truck or a driver need.
    """

    run: int
    cost: int
    tokens: tuple[int, ...]
    stops: tuple[tuple[int, int], ...]
    clock: tuple[int, int, int]

    @classmethod
    def of(
        cls, run: int, cost: int, tokens: Iterable[int], parts: int, clock: tuple[int, int, int]
    ) -> "Column":
        """From a row."""
        row = tuple(tokens)
        stops = tuple((token % parts, token // parts) for token in row if token >= 0)
        return cls(run=run, cost=cost, tokens=row, stops=stops, clock=clock)

    @property
    def parts(self) -> tuple[int, ...]:
        """The parts it brings."""
        return tuple(part for part, _ in self.stops)


def loads_of(tokens: Iterable[int], parts: int) -> list[tuple[list[int], list[tuple[int, int]]]]:
    """Yards of each load of a row, and (part, yard) of its stops."""
    loads: list[tuple[list[int], list[tuple[int, int]]]] = []
    is_filling = False
    for token in tokens:
        if token >= 0:
            loads[-1][1].append((token % parts, token // parts))
        elif is_filling:
            loads[-1][0].append(-1 - token)
        else:
            loads.append(([-1 - token], []))
        is_filling = token < 0
    return loads


def sketch_of(laid: Laid, run: int, tokens: Iterable[int]) -> RunSketch:
    """A row as a bare sequence of names."""
    loads = loads_of(tokens, len(laid.part_ids))
    return laid.run_ids[run], tuple(_load_sketch(laid, yards, stops) for yards, stops in loads)


def _load_sketch(laid: Laid, yards: Sequence[int], stops: Sequence[tuple[int, int]]) -> LoadSketch:
    parts = tuple(laid.part_ids[part] for part, _ in stops)
    if len(yards) == 1:
        return laid.yard_ids[yards[0]], parts
    fills = tuple(
        (laid.yard_ids[yard], tuple(laid.part_ids[part] for part, source in stops if source == yard))
        for yard in yards
    )
    return fills, parts


def rows_of(laid: Laid, sketch: Iterable[RunSketch]) -> tuple[Ints, Ints]:
    """Bare sequences as rows and their lengths; what is not laid out (fixed, hopeless) is passed over."""
    parts = {part: number for number, part in enumerate(laid.part_ids)}
    yards = {yard: number for number, yard in enumerate(laid.yard_ids)}
    runs = {run: number for number, run in enumerate(laid.run_ids)}
    rows = np.zeros((len(runs), 2 * len(parts) + 2), np.int64)
    length = np.zeros(len(runs), np.int64)
    for run, loads in sketch:
        if run not in runs:
            continue
        row: list[int] = []
        for load in loads:
            source = {part: yards[yard] for yard, some in fills_of(load) for part in some if part in parts}
            row += [-1 - yard for yard in dict.fromkeys(source.values())]
            row += [parts[part] + source[part] * len(parts) for part in load[1] if part in parts]
        rows[runs[run], : len(row)] = row
        length[runs[run]] = len(row)
    return rows, length

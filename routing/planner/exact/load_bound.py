"""A bound for big weeks: column generation over single loads instead of whole runs.

Runs are loosened into loads that flow from yard to yard: each class of like runs may drive so many loads as
its runs' hours hold together; dates, windows, waiting and pauses are forgotten, and so is who has the
truck. First a load takes the best road any weight aboard allows, may use trailer and bed as one box, and may
come back to a stop after two others (q-routes without two-cycles, Christofides, Mingozzi and Toth 1981). Once
those prices have nearly settled only loads that can be driven are priced (`load_labeling`).
Whatever the prices of the parts, once no load costs less than its parts' prices their sum bounds every plan
from below; GLOP looks for good prices. A first bound comes from the shortest way to each stop alone.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from routing.planner.arrays import Floats, PlanArrays, row_of
from routing.planner.exact.load_labeling import new_load_store
from routing.planner.exact.load_pricing import (
    LoadDuals,
    PartPrices,
    PricedLoad,
    RunClass,
    load_of,
    price_loads,
    within_prizes,
)
from routing.planner.exact.master import Master, wood_taken
from routing.planner.exact.sharing import SharedHours, of_classes, second_prices, shared_hours
from routing.planner.params import BOUND
from routing.planner.tokens import Column, loads_of


def first_bound(arrays: PlanArrays) -> float:
    """Cost units no plan is below: every stop at least by its shortest way, or left out."""
    best = np.full(len(arrays.part_wood), np.inf)
    loc, yards = arrays.part.loc, arrays.yard.loc
    for kind in _classes(arrays):
        loaded, _ = kind.legs(0.0)
        between = loaded[np.ix_(loc, loc)]
        np.fill_diagonal(between, np.inf)
        way = np.minimum(loaded[np.ix_(yards, loc)].min(axis=0), between.min(axis=0, initial=np.inf))
        stop = kind.stop_costs(0.0, arrays.yard.rate.min())
        best = np.minimum(best, np.where(kind.allowed, way + stop, np.inf))
    return float(within_prizes(arrays, best).sum())


def load_prices(
    arrays: PlanArrays,
    *,
    runs: Sequence[Column],
    upper: int,
    should_stop: Callable[[], bool],
    tell: Callable[[float], None],
    turns: int,
    is_labeled: bool = False,
) -> tuple[float, PartPrices | None]:
    """Cost units no plan is below, bettered turn by turn until time is up or the prices settle; and the best
    prices of parts met on the way.

    Units
        runs: known ones, whose loads make the first columns. tell: hears every better bound. is_labeled: in
        the end price only loads that can be driven.
    """
    # dear orders made cheaper to leave out: it steadies the prices and can only lower the bound
    cap = int(upper * BOUND.cap / max(1, len(arrays.prize)))
    arrays = arrays._replace(prize=np.minimum(arrays.prize, cap))
    lower = min(first_bound(arrays), float(upper))
    tell(lower)
    classes = _classes(arrays)
    of_run = np.zeros(len(arrays.run.home), np.int64)
    for number, kind in enumerate(classes):
        of_run[kind.runs] = number
    rows = shared_hours(arrays)
    shared, sums = of_classes(rows, [kind.runs.tolist() for kind in classes])
    columns = dict.fromkeys(_known_loads(arrays, classes, runs[-BOUND.first_runs :]))
    center: LoadDuals | None = None
    best: PartPrices | None = None
    master: _LoadMaster | None = None
    parts, store = len(arrays.part_wood), None
    may_label = is_labeled and parts <= BOUND.most_stops
    for turn in range(turns):
        if should_stop():
            break
        duals = None if master is None else master.solve()
        if duals is None:  # GLOP now and then gives up from where it last stood
            master = _LoadMaster(arrays, classes, shared, columns)
            duals = master.solve()
        if duals is None:
            break
        asked = duals if center is None or turn % BOUND.unsmoothed_turn == 0 else _smoothed(duals, center)
        found, value, mended = price_loads(arrays, classes, shared, asked, should_stop, store)
        if value is None:
            break
        if value > lower:
            lower = value
            tell(lower)
        if center is None or value >= center.value:
            center = replace(asked, value=value)
            seconds = np.zeros(len(rows))
            for price, some in zip(asked.shared, sums, strict=True):
                seconds[some] = np.floor(price)
            best = PartPrices(mended, asked.wood, seconds, asked.hour[of_run], asked.place[of_run])
        if len(columns) > BOUND.most_columns:
            columns = _kept(arrays, columns, duals, second_prices(len(classes), shared, duals.shared)[0])
            master = None
        new = [load for load in dict.fromkeys(found) if load not in columns]
        columns |= dict.fromkeys(new)
        if master is not None:
            master.add(new)
        gap = duals.value - lower
        is_settled = gap < BOUND.tight_enough * abs(duals.value) or lower >= upper
        is_settled = is_settled or (not new and asked is duals)
        if may_label and store is None and (is_settled or gap < BOUND.label_from * abs(duals.value)):
            store = new_load_store(BOUND.most_load_tails, parts)
            columns = _drivable(classes, columns)
            master = None
        elif is_settled:
            break
    return min(lower, float(upper)), best


def _classes(arrays: PlanArrays) -> list[RunClass]:
    """Like runs together: of the same rig, and where runs are few, with the same parts allowed."""
    groups: dict[object, list[int]] = {}
    are_few = len(arrays.run.home) <= BOUND.few_runs
    for s in range(len(arrays.run.home)):
        run = row_of(arrays.run, s)
        rig = (run.kind, run.loaded_rate, run.empty_rate, run.fixed, run.wage)
        allowed = arrays.allowed[:, s].tobytes() if are_few else b""
        mates = tuple(sorted(arrays.run.kind[arrays.hitch[s] >= 0].tolist()))
        groups.setdefault(
            (*map(int, rig), int(run.start), int(run.end), int(run.longest), mates, allowed), []
        ).append(s)
    return [RunClass(arrays, np.array(runs)) for runs in groups.values()]


def _known_loads(
    arrays: PlanArrays, classes: Sequence[RunClass], runs: Iterable[Column]
) -> Iterator[PricedLoad]:
    """The loads of known runs."""
    of_run = {int(s): number for number, kind in enumerate(classes) for s in kind.runs}
    for run in runs:
        loads, number = loads_of(run.tokens, len(arrays.part_wood)), of_run[run.run]
        for (yards, stops), following in zip(loads, [*loads[1:], None], strict=True):
            after = following[0][0] if following else len(arrays.yard.loc)
            yield load_of(classes[number], number, yards, after, stops, by_weight=False)


def _drivable(classes: Sequence[RunClass], columns: Iterable[PricedLoad]) -> dict[PricedLoad, None]:
    """Those columns that bring nothing twice and are not overfull, by the roads their weight allows."""
    found: dict[PricedLoad, None] = {}
    for load in columns:
        kind, parts = classes[load.kind], [part for part, _ in load.stops]
        if len(set(parts)) == len(parts) and (kind.sizes[parts].sum(axis=0) <= kind.limits).all():
            real = load_of(kind, load.kind, load.yards, load.after, load.stops, by_weight=True)
            found[real] = None
    return found


def _kept(
    arrays: PlanArrays, columns: Iterable[PricedLoad], prices: LoadDuals, second: Sequence[float]
) -> dict[PricedLoad, None]:
    """The columns nearest to paying at these prices."""
    homes = np.append(prices.place, np.zeros((len(prices.place), 1)), axis=1)

    def reduced(load: PricedLoad) -> float:
        return float(
            load.cost
            + (prices.hour[load.kind] + second[load.kind]) * load.seconds
            - prices.part[[part for part, _ in load.stops]].sum()
            + (wood_taken(arrays, load.stops) * prices.wood).sum()
            + homes[load.kind, load.yards[0]]
            - homes[load.kind, load.after]
        )

    return dict.fromkeys(sorted(columns, key=reduced)[: BOUND.most_columns // 2])


def _smoothed(master: LoadDuals, center: LoadDuals) -> LoadDuals:
    """Prices between the master's and the best ones yet, so that they do not swing (Wentges 1997)."""

    def smooth(one: Floats, other: Floats) -> Floats:
        return BOUND.smooth * one + (1 - BOUND.smooth) * other

    return LoadDuals(
        smooth(master.part, center.part),
        0.0,
        smooth(master.hour, center.hour),
        smooth(master.count, center.count),
        smooth(master.place, center.place),
        smooth(master.wood, center.wood),
        smooth(master.shared, center.shared),
    )


class _LoadMaster:
    """The master of loads: as many leave a yard as come to it, and the hours of a class hold them all."""

    def __init__(
        self,
        arrays: PlanArrays,
        classes: Sequence[RunClass],
        shared: Sequence[SharedHours],
        columns: Iterable[PricedLoad],
    ) -> None:
        self.master = master = Master(
            arrays, [len(kind.runs) for kind in classes], is_cover=True, shared=shared
        )
        solver, infinity, self.yards = master.solver, master.infinity, len(arrays.yard.loc)
        self.hours = [solver.Constraint(-infinity, 0.0) for _ in classes]
        self.flow = [[solver.Constraint(0.0, infinity) for _ in range(self.yards)] for _ in classes]
        for number, kind in enumerate(classes):
            road, seconds = kind.home_ways
            for y in range(self.yards):
                master.variable(
                    road[y] + seconds[y] * float(kind.run.wage) + float(kind.run.fixed),
                    [
                        (master.count[number], 1.0),
                        (self.hours[number], (float(seconds[y]) - kind.room) / 3600.0),
                        (self.flow[number][y], 1.0),
                        *master.hours_of_run(number, float(seconds[y])),
                    ],
                )
        self.add(columns)

    def add(self, columns: Iterable[PricedLoad]) -> None:
        """Put loads in."""
        master = self.master
        for load in columns:
            rows = [
                (self.hours[load.kind], load.seconds / 3600.0),
                *master.hours_of_run(load.kind, load.seconds, is_whole=False),
            ]
            if load.after != load.yards[0]:
                rows.append((self.flow[load.kind][load.yards[0]], -1.0))
                if load.after < self.yards:
                    rows.append((self.flow[load.kind][load.after], 1.0))
            master.add(load.cost, None, load.stops, rows)

    def solve(self) -> LoadDuals | None:
        """The prices at which the loads at hand balance, or None when GLOP gives up."""
        duals = self.master.solve()
        if duals is None:
            return None
        return LoadDuals(
            np.maximum(0.0, duals.part),
            duals.value,
            np.maximum(0.0, -self.master.dual(self.hours)) / 3600.0,
            np.maximum(0.0, -duals.count),
            np.maximum(0.0, np.array([self.master.dual(rows) for rows in self.flow])),
            np.maximum(0.0, -duals.wood),
            duals.shared,
        )

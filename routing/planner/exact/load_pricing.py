"""Loads at given prices: what each costs at least, and the cheapest ones from every yard.

First by q-routes, which may overfill a box and take roads too light for their load; where those pay and it is
asked for, by loads that can be driven (`load_labeling`).
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from routing.planner.arrays import Floats, Ints, Parts, PlanArrays, Runs, Yards, row_of
from routing.planner.exact.load_labeling import (
    AT,
    PARENT,
    LoadStore,
    LoadWays,
    heads_of_loads,
    load_tails,
    new_load_store,
)
from routing.planner.exact.load_sequences import packings
from routing.planner.exact.q_routes import QRoutes, grow_loads
from routing.planner.exact.sharing import SharedHours, second_prices
from routing.planner.params import BOUND


@dataclass(frozen=True, slots=True)
class PartPrices:
    """Prices of parts, none below 0 nor an order's above its prize, and of wood at yards, in cost units.

    hour and place: what the bound by loads found a second of each run, and being at each yard with it, worth;
    empty where there was no such bound.
    """

    part: Floats
    wood: Floats  # yards x woods, none below 0
    shared: Floats = field(
        default_factory=lambda: np.zeros(0)
    )  # whole, of a second of each row of shared hours
    hour: Floats = field(default_factory=lambda: np.zeros(0))
    place: Floats = field(default_factory=lambda: np.zeros(0))


@dataclass(frozen=True, slots=True)
class PricedLoad:
    """A column: what a load of a class costs, how long it takes, what it brings, between which yards.

    yards: where it is filled; after: where the next one is, or the number of yards for home; stops: parts and
    the yards they are filled at.
    """

    kind: int
    yards: tuple[int, ...]
    after: int
    cost: float
    seconds: float
    stops: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class LoadDuals:
    part: Floats
    value: float
    hour: Floats  # of each class, none below 0
    count: Floats  # of each class, none below 0
    place: Floats  # classes x yards
    wood: Floats  # yards x woods, none below 0
    shared: Floats  # of a second of each row of shared hours, none below 0


@dataclass(slots=True)
class RunClass:
    """Like runs taken together, with what a leg and a stop cost at a given price of time."""

    arrays: PlanArrays
    runs: Ints
    run: Runs = field(init=False)
    part: Parts = field(init=False)  # plain columns, which are read quicker
    yard: Yards = field(init=False)
    allowed: NDArray[np.bool_] = field(init=False)
    sizes: Ints = field(init=False)  # P x 4: volume, weight, and the same of what may not ride in the bed
    limits: Ints = field(init=False)  # of those
    bins: Ints = field(init=False)
    most_bins: int = field(init=False)
    room: int = field(init=False)
    over: Ints = field(init=False)  # pounds above which a row of `by_weight` holds
    by_weight: tuple[Floats, Floats] = field(init=False)  # least meters and seconds of a leg at it or above
    loaded: tuple[Floats, Floats] = field(init=False)  # the same at any weight
    empty: tuple[Floats, Floats] = field(init=False)

    def __post_init__(self) -> None:
        a, s = self.arrays, int(self.runs[0])
        self.run = row_of(a.run, s)
        every = np.arange(len(a.part_wood)), np.arange(len(a.yard.loc))
        self.part, self.yard = row_of(a.part, every[0]), row_of(a.yard, every[1])
        self.allowed = a.allowed[:, self.runs].any(axis=1)
        self.sizes, self.limits = _sizes(a, self.run)
        # the tighter of volume and weight, by what all parts take of a box
        of_box = self.sizes[:, :2].sum(axis=0) / np.maximum(1, self.limits[:2])
        tighter = int(of_box.argmax())
        self.bins, self.most_bins = binned(self.sizes[:, tighter], int(self.limits[tighter]))
        self.room = min(int(self.run.longest), int(self.run.end - self.run.start))
        empty = a.band_table[s, 0]
        bands = int(self.run.bands)
        self.over = a.band_over[s, :bands].copy()
        tables = a.band_table[s, :bands]
        self.by_weight = tuple(  # type: ignore[assignment]
            np.minimum.accumulate(some[tables][::-1], axis=0)[::-1].astype(float)
            for some in (a.meters, a.seconds)
        )
        meters, seconds = best_loaded_roads(a, s)
        self.loaded = meters.astype(float), seconds.astype(float)
        self.empty = a.meters[empty].astype(float), a.seconds[empty].astype(float)

    @property
    def home_ways(self) -> tuple[Floats, Floats]:
        """Cost without wage, and seconds, from home to each yard."""
        meters, seconds = (some[self.run.home, self.arrays.yard.loc] for some in self.empty)
        return meters * self.run.empty_rate, seconds

    def legs(self, hour: float) -> tuple[Floats, Floats]:
        """What each leg costs loaded and empty, time at wage plus `hour`."""
        price = float(self.run.wage) + hour
        return (
            self.loaded[0] * self.run.loaded_rate + self.loaded[1] * price,
            self.empty[0] * self.run.empty_rate + self.empty[1] * price,
        )

    def stop_costs(self, hour: float, rate: np.int64) -> Floats:
        """Time at a stop and of loading for it at so many seconds per cord, at wage plus `hour`."""
        a = self.arrays
        seconds = a.part.service + rate * a.part.quantity / a.units
        return seconds * (float(self.run.wage) + hour)

    def may_come_from(self, yard: int) -> NDArray[np.bool_]:
        """Parts the class may bring from a yard."""
        return self.allowed & (self.arrays.part.yards >> yard & 1).astype(bool)


def _sizes(arrays: PlanArrays, run: Runs) -> tuple[Ints, Ints]:
    """What each part takes of a load, P x 4, and what there is: volume and weight of trailer and bed, and of
    the trailer for what may not ride in the bed.
    """
    stays = np.where(arrays.wood.step == 0, 1, 0)
    columns = [arrays.part.ft3, arrays.part.lb]
    columns += [arrays.part_wood @ (some * stays) for some in (arrays.wood.ft3, arrays.wood.lb)]
    limits = [run.ft3 + run.bed_ft3, run.lb + run.bed_lb, run.ft3, run.lb]
    return np.ascontiguousarray(np.column_stack(columns)), np.array(limits, np.int64)


def best_loaded_roads(arrays: PlanArrays, s: int) -> tuple[Ints, Ints]:
    """Least meters and seconds of each leg by any of the tables a run may drive by with wood aboard."""
    bands, over = int(arrays.run.bands[s]), arrays.band_over[s]
    lightest = int(arrays.part.lb.min(initial=0))
    first = int((over[1:bands] < lightest).sum())
    tables = arrays.band_table[s, first:bands]
    return arrays.meters[tables].min(axis=0), arrays.seconds[tables].min(axis=0)


def binned(ft3: Ints, box: int) -> tuple[Ints, int]:
    """Volumes as few whole bins and how many a box holds; rounded so that nothing that fits is shut out."""
    step = int(np.gcd.reduce(ft3)) if len(ft3) else 1
    if step > 0 and box // step <= BOUND.bins and (ft3 > 0).all():
        return ft3 // step, box // step
    bins = ft3 * BOUND.bins // max(1, box)
    return np.maximum(1, bins), BOUND.bins + int((bins == 0).sum())


def within_prizes(arrays: PlanArrays, part: Floats) -> Floats:
    """Prices scaled down so that those of an order are at most what leaving it out costs."""
    part = np.maximum(part, 0.0)
    part = np.where(np.isfinite(part), part, 1e18)
    order = np.repeat(np.arange(len(arrays.prize)), np.diff(arrays.order_first))
    sums = np.bincount(order, part, minlength=len(arrays.prize))
    factor = np.minimum(1.0, arrays.prize / np.maximum(sums, 1e-9))
    return part * factor[order]


def load_of(
    kind: RunClass,
    number: int,
    yards: Sequence[int],
    after: int,
    stops: Sequence[tuple[int, int]],
    *,
    by_weight: bool,
) -> PricedLoad:
    """What a load costs at least, by the roads and the loading times of the bound."""
    run, parts, filled = kind.run, [part for part, _ in stops], list(yards)
    halts = np.concatenate((kind.yard.loc[filled], kind.part.loc[parts]))
    end = run.home if after == len(kind.yard.loc) else kind.yard.loc[after]
    if by_weight:
        aboard = np.zeros(len(halts) - 1, np.int64)
        aboard[len(filled) - 1 :] = kind.part.lb[parts][::-1].cumsum()[::-1]
        level = np.searchsorted(kind.over[1:], aboard)
        meters, seconds = (some[level, halts[:-1], halts[1:]].sum() for some in kind.by_weight)
    else:
        meters, seconds = (some[halts[:-1], halts[1:]].sum() for some in kind.loaded)
    seconds += kind.empty[1][halts[-1], end] + kind.part.service[parts].sum() + kind.yard.fixed[filled].sum()
    quantity = float(kind.part.quantity[parts].sum()) / kind.arrays.units
    took = float(seconds) + float(kind.yard.rate[filled].min()) * quantity
    road = float(meters) * float(run.loaded_rate)
    road += float(kind.empty[0][halts[-1], end]) * float(run.empty_rate)
    return PricedLoad(number, tuple(filled), after, road + took * float(run.wage), took, tuple(stops))


def price_loads(
    arrays: PlanArrays,
    classes: Sequence[RunClass],
    shared: list[SharedHours],
    prices: LoadDuals,
    should_stop: Callable[[], bool],
    store: LoadStore | None = None,
) -> tuple[list[PricedLoad], float | None, Floats]:
    """Cheap loads at these prices, the bound they give once mended so that none is too cheap, and the parts'
    prices so mended. With a store, only loads that can be driven.
    """
    part = within_prizes(arrays, prices.part)
    found: list[PricedLoad] = []
    run_cost = 0.0
    cut = np.zeros(len(part))
    second, use = second_prices(len(classes), shared, prices.shared)
    for number, kind in enumerate(classes):
        short: float = 0.0
        for loads, missing in _priced_loads(kind, number, part, prices, second[number], store):
            if should_stop():
                return found, None, part
            found += loads
            short = max(short, missing)
        # a run must pay its way out, its count and its truck; its hours are worth what they cost
        hour = float(prices.hour[number])
        road, seconds = kind.home_ways
        out = road + seconds * (float(kind.run.wage) + hour + second[number]) + float(kind.run.fixed)
        least = float((out - prices.place[number]).min()) - hour * kind.room + float(prices.count[number])
        least += use[number]
        run_cost += len(kind.runs) * (float(prices.count[number]) - min(0.0, least))
        cut[kind.allowed] = np.maximum(cut[kind.allowed], short * kind.bins[kind.allowed])
    # lower the parts' prices by their size until no load of any size is too cheap
    mended = np.maximum(0.0, part - cut)
    run_cost += sum(row.room * price for row, price in zip(shared, prices.shared.tolist(), strict=True))
    return found, float(mended.sum()) - run_cost - float((prices.wood * arrays.stock).sum()), mended


def _priced_loads(
    kind: RunClass, number: int, part: Floats, prices: LoadDuals, second: float, store: LoadStore | None
) -> Iterator[tuple[list[PricedLoad], float]]:
    """For every yard, or pair of yards, a load may be filled at: cheap loads, and what the cheapest costs too
    little, per bin of its size.
    """
    a, hour, place = kind.arrays, float(prices.hour[number]) + second, prices.place[number]
    loc, yard = kind.part.loc, kind.yard
    loaded, empty = kind.legs(hour)
    ends = empty[np.ix_(loc, np.append(yard.loc, kind.run.home))] - np.append(place, 0.0)[None, :]
    between = loaded[np.ix_(loc, loc)]
    price = float(kind.run.wage) + hour
    by_weight = _legs_by_weight(kind, price) if store is not None else None
    for yards in packings(a):
        first, last, filled = yards[0], yards[-1], list(yards)
        # scarce wood is taken where it is cheapest among the yards that hold it
        wood = np.array(
            [np.where(kind.may_come_from(y), a.part_wood @ prices.wood[y], np.inf) for y in yards]
        )
        may, source = np.flatnonzero(wood.min(axis=0) < np.inf), np.array(yards)[wood.argmin(axis=0)]
        if not len(may):
            continue
        entry = place[first] + float(yard.fixed[filled].sum()) * price
        if first != last:
            entry += loaded[yard.loc[first], yard.loc[last]]
        stop = kind.stop_costs(hour, yard.rate[filled].min())[may] - part[may] + wood.min(axis=0)[may]
        routes = QRoutes(
            loaded[yard.loc[last], loc[may]] + entry,
            np.ascontiguousarray(between[np.ix_(may, may)]),
            stop,
            ends[may],
            kind.bins[may],
            kind.most_bins,
        )
        short, is_drivable = routes.short, False
        if short > 0 and store is not None and by_weight is not None:
            ways = LoadWays(
                stop,
                ends[may].min(axis=1),
                np.ascontiguousarray(by_weight[:, loc[may][:, None], loc[may][None, :]]),
                np.ascontiguousarray(by_weight[:, yard.loc[last], loc[may]] + entry),
                kind.over,
                np.ascontiguousarray(np.column_stack([kind.sizes[may], kind.bins[may]])),
                kind.limits,
            )
            lines, exact_short = _loads_by_labeling(routes, ways, store)
            # of too many tails some loads are known, but not the cheapest
            short, is_drivable = (short if exact_short is None else exact_short), True
            paths = [(int(ends[may][line[-1]].argmin()), line) for line in lines]
        else:
            paths = routes.paths() if store is None else []
        yield (
            [
                load_of(
                    kind,
                    number,
                    yards,
                    after,
                    [(int(p), int(source[p])) for p in may[path]],
                    by_weight=is_drivable,
                )
                for after, path in paths
            ],
            short,
        )


def _legs_by_weight(kind: RunClass, price: float) -> Floats:
    """What a leg costs at each weight at which the road changes."""
    legs: Floats = kind.by_weight[0] * float(kind.run.loaded_rate) + kind.by_weight[1] * price
    return legs


def warm_load_loops() -> None:
    """Compile the loops, or read them from disk."""
    none, table, whole = np.zeros(1), np.zeros((2, 1)), np.zeros((2, 1), np.int64)
    grow_loads(none, table[:1], none, np.ones(1, np.int64), table, table, whole, whole)
    heads_of_loads(none, table[:1], table, table, whole, table)
    sizes = np.zeros((1, 5), np.int64)
    ways = LoadWays(none, none, np.zeros((1, 1, 1)), table[:1], sizes[0, :1], sizes, sizes[0, :4])
    load_tails(ways, table, new_load_store(4, 1))


def _loads_by_labeling(routes: QRoutes, ways: LoadWays, store: LoadStore) -> tuple[list[Ints], float | None]:
    """Loads that pay and can be driven, and what the cheapest costs too little per bin; None when there were
    too many tails to tell.
    """
    count = load_tails(ways, routes.heads(), store)
    tails = len(store.cost) if count < 0 else count
    final = store.final[:tails]
    rows = np.flatnonzero(final < -BOUND.slack_units)
    rows = rows[np.argsort(final[rows], kind="stable")]
    lines, of_stop = [], np.zeros(len(ways.stop), np.int64)
    for row in rows.tolist():
        first = store.links[row, AT]
        of_stop[first] += 1
        if of_stop[first] <= BOUND.loads_of_stop:
            line, at = [], row
            while at >= 0:
                line.append(int(store.links[at, AT]))
                at = int(store.links[at, PARENT])
            lines.append(np.array(line))
            if len(lines) >= BOUND.new_loads:
                break
    short = float((-final / store.load[:tails, -1]).max(initial=0.0))
    return lines, None if count < 0 else short

"""Loads at given prices: what each costs at least, and the cheapest of every size by q-routes.

A load takes the best road any weight aboard allows, may use trailer and bed as one box, and may come back
to a stop after two others (q-routes without two-cycles, Christofides, Mingozzi and Toth 1981).
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from routing.planner.arrays import Floats, Ints, PlanArrays, Runs, row_of
from routing.planner.compiled import compiled
from routing.planner.exact.load_sequences import fillings
from routing.planner.exact.sharing import SharedHours, second_prices
from routing.planner.params import BOUND


@dataclass(frozen=True, slots=True)
class PartPrices:
    """Prices of parts, none below 0 nor an order's above its prize, and of wood at yards, in cost units."""

    part: Floats
    wood: Floats  # yards x woods, none below 0
    shared: Floats = field(
        default_factory=lambda: np.zeros(0)
    )  # whole, of a second of each row of shared hours


@dataclass(frozen=True, slots=True)
class PricedLoad:
    """A column: what a load of a class costs, how long it takes, what it brings, between which yards.

    yard: where it is filled first; after: where the next one is, or the number of yards for home; stops:
    parts and the yards they are filled at.
    """

    kind: int
    yard: int
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
    allowed: NDArray[np.bool_] = field(init=False)
    bins: Ints = field(init=False)
    most_bins: int = field(init=False)
    room: int = field(init=False)
    loaded: tuple[Floats, Floats] = field(init=False)  # least meters and seconds of a leg at any weight
    empty: tuple[Floats, Floats] = field(init=False)

    def __post_init__(self) -> None:
        a, s = self.arrays, int(self.runs[0])
        self.run = row_of(a.run, s)
        self.allowed = a.allowed[:, self.runs].any(axis=1)
        self.bins, self.most_bins = binned(a.part.ft3, int(self.run.ft3 + self.run.bed_ft3))
        self.room = min(int(self.run.longest), int(self.run.end - self.run.start))
        empty = a.band_table[s, 0]
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
    kind: RunClass, number: int, yards: Sequence[int], after: int, stops: Sequence[tuple[int, int]]
) -> PricedLoad:
    """What a load costs at least, by the roads and the loading times of the bound."""
    a, run, parts = kind.arrays, kind.run, [part for part, _ in stops]
    halts = [*a.yard.loc[list(yards)], *a.part.loc[parts]]
    end = run.home if after == len(a.yard.loc) else a.yard.loc[after]
    legs = list(pairwise(halts))
    back = halts[-1], end
    quantity = float(a.part.quantity[parts].sum()) / a.units
    seconds = (
        sum(float(kind.loaded[1][leg]) for leg in legs)
        + float(kind.empty[1][back])
        + float(a.part.service[parts].sum())
        + float(a.yard.fixed[list(yards)].sum())
        + float(a.yard.rate[list(yards)].min()) * quantity
    )
    road = sum(float(kind.loaded[0][leg]) for leg in legs) * float(run.loaded_rate)
    road += float(kind.empty[0][back]) * float(run.empty_rate)
    cost = road + seconds * float(run.wage)
    return PricedLoad(number, yards[0], after, cost, seconds, tuple(stops))


def price_loads(
    arrays: PlanArrays,
    classes: Sequence[RunClass],
    shared: list[SharedHours],
    prices: LoadDuals,
    should_stop: Callable[[], bool],
) -> tuple[list[PricedLoad], float | None, Floats]:
    """Cheap loads at these prices, the bound they give once mended so that none is too cheap, and the parts'
    prices so mended.
    """
    part = within_prizes(arrays, prices.part)
    found: list[PricedLoad] = []
    run_cost = 0.0
    cut = np.zeros(len(part))
    second, use = second_prices(len(classes), shared, prices.shared)
    for number, kind in enumerate(classes):
        short = 0.0
        for loads, missing in _priced_loads(kind, number, part, prices, second[number]):
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
    kind: RunClass, number: int, part: Floats, prices: LoadDuals, second: float
) -> Iterator[tuple[list[PricedLoad], float]]:
    """For every yard, or pair of yards, a load may be filled at: cheap loads, and what the cheapest costs too
    little, per bin of its size.
    """
    a, hour, place = kind.arrays, float(prices.hour[number]) + second, prices.place[number]
    loaded, empty = kind.legs(hour)
    ends = empty[np.ix_(a.part.loc, np.append(a.yard.loc, kind.run.home))] - np.append(place, 0.0)[None, :]
    between = loaded[np.ix_(a.part.loc, a.part.loc)]
    price = float(kind.run.wage) + hour
    for yards in fillings(a):
        first, last = yards[0], yards[-1]
        # scarce wood is taken where it is cheapest among the yards that hold it
        wood = np.array(
            [np.where(kind.may_come_from(y), a.part_wood @ prices.wood[y], np.inf) for y in yards]
        )
        may, source = np.flatnonzero(wood.min(axis=0) < np.inf), np.array(yards)[wood.argmin(axis=0)]
        if not len(may):
            continue
        entry = place[first] + float(a.yard.fixed[list(yards)].sum()) * price
        if first != last:
            entry += loaded[a.yard.loc[first], a.yard.loc[last]]
        stop = kind.stop_costs(hour, a.yard.rate[list(yards)].min())[may] - part[may]
        least, paths = _q_routes(
            loaded[a.yard.loc[last], a.part.loc[may]] + entry,
            between[np.ix_(may, may)],
            stop + wood.min(axis=0)[may],
            ends[may],
            kind.bins[may],
            kind.most_bins,
        )
        short = float((-least[1:] / np.arange(1, len(least))).max(initial=0.0))
        found = [
            load_of(kind, number, yards, after, [(int(p), int(source[p])) for p in may[path]])
            for after, path in paths
        ]
        yield found, short


def _q_routes(
    entry: Floats, between: Floats, stop: Floats, ends: Floats, bins: Ints, most: int
) -> tuple[Floats, list[tuple[int, Ints]]]:
    """The cheapest load of every size, and the cheapest for each last stop as (end, stops)."""
    n = len(entry)
    best, second = np.full((2, most + 1, n), np.inf)
    before, before2 = np.full((2, most + 1, n), -1)
    grow_loads(entry, np.ascontiguousarray(between), stop, bins, best, second, before, before2)
    end = ends.argmin(axis=1)
    total = best + ends[np.arange(n), end][None, :]
    lows = total.min(axis=0)
    paths = []
    for k in np.argsort(lows, kind="stable")[: BOUND.new_loads]:
        if lows[k] > -BOUND.slack_units:
            break
        q = int(total[:, k].argmin())
        paths.append((int(end[k]), _traced(before, before2, bins, q, int(k))))
    return total.min(axis=1), paths


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


def _traced(before: Ints, before2: Ints, bins: Ints, q: int, k: int) -> Ints:
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

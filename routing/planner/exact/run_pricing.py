"""The runs of one rig on one date at given prices of its parts: the cheapest ones, and a bound on the cost
of any.

A load filled at two yards is priced as one filled at a place of its own: the way between them and both
yards' fixed times lie before its first stop, all is put on at the quicker rate, and each part comes from the
yard where its wood costs less. No such load costs less, so the bound holds.

`heads` says what a run may still gain before its tail, by a relaxation in steps of time: once by the clock,
with windows and yard hours, once by the time a run takes. A stop served more than once in the relaxed run is
spared: its price is taken back and given once for all (Lagrange), so that every bound holds. `lengthen_tails`
then finds the runs under a limit, and the limit is raised from below until there is one.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from routing.planner.arrays import Floats, Ints, PlanArrays, row_of
from routing.planner.exact.load_pricing import PartPrices, best_loaded_roads, binned
from routing.planner.exact.load_sequences import packings
from routing.planner.exact.master import tight_rows
from routing.planner.exact.run_heads import Hopes, Times, WayCosts, heads
from routing.planner.exact.run_labeling import (
    AT,
    CLOSE,
    HOLDS,
    OPEN,
    PARENT,
    STAY,
    Store,
    Ways,
    first_of,
    lengthen_tails,
)
from routing.planner.exact.sharing import SharedHours, second_prices
from routing.planner.params import BOUND


@dataclass(frozen=True, slots=True)
class PricedRun:
    """A run that may serve a stop twice: its cost in cost units, (part, yard) of its stops."""

    run: int
    cost: float
    stops: tuple[tuple[int, int], ...]
    seconds: int

    @property
    def parts(self) -> tuple[int, ...]:
        """The parts it brings."""
        return tuple(part for part, _ in self.stops)


class RunPricing:
    """The runs one rig may make on one date: its drops and roads, and what earlier prices taught about it."""

    def __init__(self, arrays: PlanArrays, run: int, shared: list[SharedHours]) -> None:
        self.arrays, self.run, self.limits = arrays, run, row_of(arrays.run, run)
        self.shared = shared
        self.second, self.use = 0.0, 0.0  # what a second away, and going at all, cost beyond wage and rig
        # with a pause on top the longest day is that much longer
        self.longest = int(self.limits.longest + self.limits.pause)
        self.stops = np.flatnonzero(arrays.allowed[:, run])
        self.bins, self.most = binned(arrays.part.ft3[self.stops], int(self.limits.ft3 + self.limits.bed_ft3))
        self.packings = [
            yards
            for yards in packings(arrays)
            if len(yards) == 1 or all(_may(arrays, self.stops, (y,)).any() for y in yards)
        ]
        self.leaders, of = _groups(arrays, self.stops, self.packings)
        self.ways = self._ways(of)
        self.spare = np.zeros(len(self.stops))
        self.share = BOUND.first_share  # of the relaxed run's gain that the best run had
        room = int(self.limits.end - self.limits.start)
        cells = len(self.stops) ** 2 * (self.most + 1) * room
        # a drop and the way off it take a step at least, so that time goes on
        quickest = int((self.ways.off_s + self.ways.part[:, STAY, None]).min(initial=BOUND.coarsest_s))
        self.step = min(quickest, max(BOUND.finest_s, cells // BOUND.most_cells))
        self.can_price = (
            len(self.stops) <= BOUND.most_stops
            and self.step >= BOUND.least_s
            and room <= BOUND.most_steps * self.step
        )

    def priced(
        self, prices: PartPrices, store: Store, should_stop: Callable[[], bool]
    ) -> tuple[list[PricedRun], float]:
        """Runs that pay at these prices, and a bound on the cost of any run, prices taken off."""
        if len(prices.shared):
            second, use = second_prices(len(self.arrays.run.home), self.shared, prices.shared)
            self.second, self.use = second[self.run], use[self.run]
        clock, spent, least, visits = self._hopes(prices)
        lower, found = least, []
        share, stride, few = (
            max(self.share, BOUND.least_share) + BOUND.first_try,
            BOUND.spare_step,
            first_of(store, BOUND.few_tails),
        )
        for _ in range(BOUND.tries):
            if should_stop() or lower >= -BOUND.rounding_units:
                break
            below = max(lower, min(-BOUND.rounding_units, least * min(0.9, share)))
            stores = few if stride > BOUND.least_spare_step else store
            runs, low = self._runs(prices, (clock, spent), stores, below=below)
            found += runs
            if low is not None and runs:
                self.share = low / least
                return found, low
            if low is not None:
                lower = max(lower, below)
                if found:
                    break
                share -= BOUND.next_try
                continue
            # too many tails: spare what is served too often, else lower the limit
            slope = np.where((visits > 0) | (self.spare > 0), visits - 1.0, 0.0)
            if stride <= BOUND.least_spare_step:
                share = (share + 1) / 2
                continue
            if not slope.any():
                stride = 0.0
                continue
            kept, gap = self.spare, max(below - least, -BOUND.least_spare_step * least)
            self.spare = np.maximum(0.0, kept + stride * gap / float(slope @ slope) * slope)
            other = self._hopes(prices)
            if other[2] > least:
                clock, spent, least, visits = other
                lower, share = max(lower, least), below / least
            else:
                self.spare = kept
                stride /= 2
        if lower >= -BOUND.rounding_units:
            self.share = 0.0
        return found, lower

    def _runs(
        self, prices: PartPrices, hopes: tuple[Hopes, Hopes], store: Store, *, below: float
    ) -> tuple[list[PricedRun], float | None]:
        """Runs under a limit, and the least cost of any or the limit; None when tails were too many."""
        limits = self.limits
        ways = self.ways._replace(near=self.ways.near | _bits(np.flatnonzero(self.spare)))
        box, payload = limits.ft3 + limits.bed_ft3, limits.lb + limits.bed_lb
        store.limits[:] = np.array(
            [
                limits.start,
                self.longest,
                limits.wage + int(self.second),
                box,
                payload,
                self.step,
                limits.pause,
            ],
            np.int64,
        )
        base = float(limits.fixed) + self.use
        count = lengthen_tails(ways, *hopes, store, self._gain(prices), self.spare, base, below)
        final = store.final[: len(store.cost) if count < 0 else count]
        rows = np.flatnonzero(final < below)
        rows = rows[np.argsort(final[rows], kind="stable")]
        found: dict[tuple[int, ...], PricedRun] = {}
        for at in rows.tolist():
            run = self._run(store, at, prices)
            found.setdefault(tuple(sorted(run.parts)), run)
            if len(found) >= BOUND.new_runs:
                break
        least = float(final[rows[0]]) if len(rows) else below
        return list(found.values()), None if count < 0 else least

    def _run(self, store: Store, at: int, prices: PartPrices) -> PricedRun:
        seconds = self._seconds(store, at)
        cost, packing = float(store.final[at]) - self.use - self.second * seconds, self.packings[0]
        stops: list[tuple[int, int]] = []
        while at > 0:
            place = int(store.links[at, AT])
            if place >= len(self.stops):
                packing = self.packings[place - len(self.stops)]
            else:
                part = int(self.stops[place])
                wood, yard = min(
                    (float(self.arrays.part_wood[part] @ prices.wood[y]), y)
                    for y in packing
                    if self.arrays.part.yards[part] >> y & 1
                )
                stops.append((part, yard))
                cost += float(prices.part[part]) - wood
            at = int(store.links[at, PARENT])
        return PricedRun(self.run, cost, tuple(stops), seconds)

    def _seconds(self, store: Store, at: int) -> int:
        """How long a run is away whose tail begins at a yard; its work alone where it may wait in a pause."""
        w, n = self.ways, len(self.stops)
        e, d, l = store.clock[at].tolist()
        way = int(w.way_s[store.links[at, AT] - n])
        if not self.limits.pause:
            return way + d + max(0, max(int(self.limits.start), e - way) - (l - way))
        while at > 0:
            place, before = int(store.links[at, AT]), int(store.links[at, PARENT])
            then = int(store.links[before, AT])
            if place >= n:
                y = place - n
                loading = -(-w.rate[y] * store.load[before, 0] // w.units)
                way += int(w.fixed[y] + loading + w.out_s[y, then])
            else:
                way += int(
                    w.part[place, STAY] + (w.on_s[place, then] if then < n else w.off_s[place, then - n])
                )
            at = before
        return way

    def _gain(self, prices: PartPrices) -> Floats:
        """What each drop from each group of yards costs beyond the way: under 0 where it pays."""
        by_yard = prices.wood @ self.arrays.part_wood[self.stops].T.astype(float)
        by_yard[~_may_each(self.arrays, self.stops)] = np.inf
        wood = np.array([by_yard[list(self.packings[leader])].min(axis=0) for leader in self.leaders])
        return np.ascontiguousarray(np.where(self.ways.may, wood, 0.0) - prices.part[self.stops][None, :])

    def _hopes(self, prices: PartPrices) -> tuple[Hopes, Hopes, float, Ints]:
        """Both relaxations, the better bound on any run, how often the first one's run serves each drop."""
        clock, by_clock, visits = self._heads(prices, by_clock=True)
        spent, by_time, _ = self._heads(prices, by_clock=False)
        return clock, spent, max(by_clock, by_time), visits

    def _heads(self, prices: PartPrices, *, by_clock: bool) -> tuple[Hopes, float, Ints]:
        w, step, start = self.ways, self.step, int(self.limits.start)
        wage = float(self.limits.wage) + int(self.second)
        room = int(self.limits.end) - start if by_clock else self.longest
        groups, n, yards = len(w.may), len(self.stops), len(w.of)
        putting_on = w.least_rate[:, None] * w.part[:, HOLDS] // w.units
        at_drop = w.part[:, STAY] + putting_on
        drop = np.where(w.may, self._gain(prices) + self.spare, np.inf) + wage * at_drop
        steps = room // step + 1
        shape = (groups, self.most + 1, steps, n)
        tables = (np.full(shape, np.inf), np.full(shape, np.inf), np.full(shape, -1))
        places = (np.zeros((steps, yards)), np.zeros((steps, yards)), np.zeros((steps, yards), np.int64))
        enter_s = w.out_s + w.fixed[:, None]
        enter_c, enter_t = w.out_c + wage * enter_s, enter_s // step
        if by_clock:
            # what a later drop's wood took to load may have passed in waiting at an earlier one: not counted
            at_drop = at_drop - putting_on
            enter_t = (enter_s + w.rate[:, None] * w.part[:, HOLDS] // w.units) // step
        off_s = w.off_s + at_drop[:, :, None]
        off_c = w.off_c + wage * w.off_s + drop[:, :, None]
        shut = w.hours[:, 1] < w.hours[:, 0]
        visits = np.zeros(n, np.int64)
        times = (
            np.maximum(0, w.hours[:, 0] - start) // step * by_clock,
            w.way_s // step,
            enter_t,
            (w.on_s + at_drop[:, :, None]) // step,
            off_s[:, :, :yards] // step,
            (room - off_s[:, :, yards]) // step,
            np.maximum(0, w.part[:, OPEN] - start) // step * by_clock,
            (w.part[:, CLOSE] - start) // step,
        )
        costs = (
            np.where(shut, np.inf, w.way_c + wage * w.way_s),
            enter_c,
            w.on_c + wage * w.on_s + drop[:, :, None],
            np.where(shut, np.inf, off_c[:, :, :yards]),
            off_c[:, :, yards],
        )
        least = heads(
            np.ascontiguousarray(self.bins),
            self.most,
            w.of,
            Times(*(np.ascontiguousarray(some, np.int64) for some in times)),
            WayCosts(*(np.ascontiguousarray(some, np.float64) for some in costs)),
            tables,
            places,
            np.full((groups, steps, n), np.inf),
            visits,
        )
        least += float(self.limits.fixed) + self.use - float(self.spare.sum())
        return Hopes(*tables, *places), least, visits

    def _ways(self, of: Ints) -> Ways:
        a, run, limits = self.arrays, self.run, self.limits
        first, last = (np.array([yards[k] for yards in self.packings]) for k in (0, -1))
        part, at, out = row_of(a.part, self.stops), a.yard.loc[first], a.yard.loc[last]
        loaded = best_loaded_roads(a, run)
        empty = a.meters[a.band_table[run, 0]], a.seconds[a.band_table[run, 0]]
        ends = np.append(at, limits.home)
        on_m, on_s = (some[np.ix_(part.loc, part.loc)] for some in loaded)
        between_m, between_s = (np.where(first == last, 0, some[at, out]) for some in loaded)
        between_s = between_s + np.where(first == last, 0, a.yard.fixed[last])
        out_m = loaded[0][np.ix_(out, part.loc)] + between_m[:, None]
        out_s = loaded[1][np.ix_(out, part.loc)] + between_s[:, None]
        rate = np.minimum(a.yard.rate[first], a.yard.rate[last])
        hours = a.hours[first, run].copy()
        is_shut = (hours[:, 1] < hours[:, 0]) | (a.hours[last, run, 1] < a.hours[last, run, 0])
        # a load of two yards must be done at the second one in time
        hours[:, 1] = np.where(is_shut, -1, a.hours[last, run, 1] - between_s)
        off_m, off_s = (some[np.ix_(part.loc, ends)] for some in empty)
        way_m, way_s = (some[limits.home, at] for some in empty)
        near_first = np.argsort(on_s + on_s.T, axis=1, kind="stable")
        columns = [part.quantity, part.ft3, part.lb, part.service, part.opens, part.closes]
        return Ways(
            part=np.ascontiguousarray(np.column_stack([*columns, self.bins])),
            near=np.array(
                [_bits(np.append(near, k)) for k, near in enumerate(near_first[:, : BOUND.remembered])],
                np.uint64,
            ).reshape(-1, 2),
            may=np.array([_may(a, self.stops, self.packings[leader]) for leader in self.leaders]),
            of=of,
            fixed=np.ascontiguousarray(a.yard.fixed[first]),
            rate=rate,
            least_rate=np.ascontiguousarray(rate[self.leaders]),
            hours=hours,
            on_s=np.ascontiguousarray(on_s),
            on_c=np.ascontiguousarray(on_m * limits.loaded_rate),
            out_s=np.ascontiguousarray(out_s),
            out_c=np.ascontiguousarray(out_m * limits.loaded_rate),
            off_s=np.ascontiguousarray(off_s),
            off_c=np.ascontiguousarray(off_m * limits.empty_rate),
            way_s=np.ascontiguousarray(way_s),
            way_c=np.ascontiguousarray(way_m * limits.empty_rate),
            end=int(limits.end),
            units=a.units,
        )


def _may_each(arrays: PlanArrays, drops: Ints) -> NDArray[np.bool_]:
    """Whether each yard may give a drop, Y x N."""
    bits = arrays.part.yards[drops][None, :] >> np.arange(len(arrays.yard.loc))[:, None]
    return (bits & 1).astype(bool)


def _may(arrays: PlanArrays, drops: Ints, yards: Sequence[int]) -> NDArray[np.bool_]:
    """Whether any of some yards may give a drop."""
    return _may_each(arrays, drops)[list(yards)].any(axis=0)  # type: ignore[no-any-return]


def _groups(arrays: PlanArrays, drops: Ints, filled: Sequence[Sequence[int]]) -> tuple[Ints, Ints]:
    """Yards, or pairs of them, alike in what they give and how fast: the first of each group, and the group
    of each.
    """
    is_short = bool(tight_rows(arrays))
    likes = [
        (
            tuple(sorted(yards)) if is_short else (),
            int(arrays.yard.rate[list(yards)].min()),
            _may(arrays, drops, yards).tobytes(),
        )
        for yards in filled
    ]
    groups = {like: number for number, like in enumerate(dict.fromkeys(likes))}
    return np.array([likes.index(like) for like in groups]), np.array([groups[like] for like in likes])


def _bits(drops: Ints) -> NDArray[np.uint64]:
    """Drops as bits of two words."""
    words = [0, 0]
    for k in drops.tolist():
        words[k >> 6] |= 1 << (k & 63)
    return np.array(words, np.uint64)

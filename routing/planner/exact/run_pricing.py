"""The runs of one rig on one date at given prices of its parts: the cheapest ones, and a bound on the cost
of any.

First the loads that may matter, with their clocks (`timed_loads`); then rows of them (`load_rows`). A load is
left out when, with all time at the price the bound by loads found for it, it costs too much beyond what it
earns; what a run with such a load may cost at least is known, and is part of the bound.

A load filled at two yards is priced as one filled at a place of its own: the way between them and the second
yard's fixed time lie before its first stop, all is put on at the quicker rate, and each part comes from the
yard where its wood costs less. No such load costs less, so the bound holds.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from routing.planner.arrays import Floats, Ints, PlanArrays, row_of
from routing.planner.exact.load_labeling import AT, PARENT
from routing.planner.exact.load_pricing import PartPrices, RunClass, best_loaded_roads
from routing.planner.exact.load_rows import PARENT as BEFORE
from routing.planner.exact.load_rows import (
    ROW,
    Day,
    Rows,
    RowTails,
    heads_of_rows,
    least_knapsack,
    least_of_rows,
    new_row_tails,
    rows_under,
    undominated,
)
from routing.planner.exact.load_sequences import packings
from routing.planner.exact.q_routes import QRoutes
from routing.planner.exact.sharing import SharedHours, second_prices
from routing.planner.exact.timed_loads import (
    END,
    FILLING,
    STAYS,
    TAIL,
    D,
    Tails,
    TimedWays,
    WholeLoads,
    new_loads,
    new_tails,
    timed_loads,
)
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


@dataclass(frozen=True, slots=True)
class Store:
    """Room for the tails, loads and rows of any run, used by one after the other."""

    tails: Tails
    loads: WholeLoads
    rows: RowTails

    @classmethod
    def of(cls, arrays: PlanArrays) -> "Store":
        """As much as the largest run needs."""
        ends = len(arrays.yard.loc) + 1
        return cls(
            new_tails(BOUND.most_tails, len(arrays.part_wood), ends),
            new_loads(BOUND.most_loads, len(packings(arrays)), ends),
            new_row_tails(BOUND.most_rows, ends - 1),
        )


@dataclass(frozen=True, slots=True)
class _Filling:
    """A load's yards, the parts it may bring, and the yard each comes from."""

    yards: tuple[int, ...]
    parts: Ints
    source: Ints


@dataclass(frozen=True, slots=True)
class _Prices:
    """Prices as one run sees them: of a second, with the wage, of going at all, and of parts and wood."""

    parts: PartPrices
    wage: float
    use: float


class RunPricing:
    """The runs one rig may make on one date: its drops and roads, and what earlier prices taught about it."""

    def __init__(self, arrays: PlanArrays, run: int, shared: list[SharedHours], begin: PartPrices) -> None:
        self.arrays, self.run, self.shared = arrays, run, shared
        self.limits, self.kind = row_of(arrays.run, run), RunClass(arrays, np.array([run]))
        yards = len(arrays.yard.loc)
        self.hour = float(begin.hour[run]) if len(begin.hour) else 0.0
        place = begin.place[run] if len(begin.place) else np.zeros(yards)
        self.place = np.append(place, 0.0)  # home is worth nothing
        hours = arrays.hours[:, run]
        self.is_open = hours[:, 1] >= hours[:, 0]
        may = [self.is_open[y] and bool(self.kind.may_come_from(y).any()) for y in range(yards)]
        self.fillings = [some for some in packings(arrays) if all(may[y] for y in some)]
        self.near = _neighborhoods(arrays, run)
        self.step = BOUND.below_s * float(self.limits.wage)
        self.below, self.most_below, self.least_below = self.step, np.inf, -BOUND.least_below * self.step
        self.share = BOUND.first_share
        self.can_price = int(arrays.allowed[:, run].sum()) <= BOUND.most_stops

    @property
    def longest(self) -> int:
        """Seconds it may be away: with a pause on top the longest day is that much longer."""
        return int(self.limits.longest + self.limits.pause)

    def priced(
        self, parts: PartPrices, store: Store, should_stop: Callable[[], bool]
    ) -> tuple[list[PricedRun], float]:
        """Runs that pay at these prices, and a bound on the cost of any run, prices taken off.

        The bound is -inf when loads were too many to tell.
        """
        second, use = 0.0, 0.0
        if len(parts.shared):
            seconds, uses = second_prices(len(self.arrays.run.home), self.shared, parts.shared)
            second, use = float(int(seconds[self.run])), uses[self.run]
        prices = _Prices(parts, float(self.limits.wage) + second, use)
        fillings, count = self._loads(prices, store, should_stop)
        while count < 0 and not should_stop() and self.below > self.least_below:
            self.below = self.most_below = (
                self.below / 2 if self.below > self.step else self.below - self.step
            )
            fillings, count = self._loads(prices, store, should_stop)
        if count < 0:
            return [], -np.inf
        rows, alive = self._rows(prices, store, count)
        done, least = self._done(rows, self._day(prices), store, should_stop)
        found: dict[tuple[tuple[int, int], ...], PricedRun] = {}
        for row in done.tolist():
            run = self._run(store, alive, fillings, prices, row)
            found.setdefault(tuple(sorted(run.stops)), run)
            if len(found) >= BOUND.new_runs:
                break
        least = min(0.0, least)
        other = self._bound_with_left_out(prices, rows)
        if other < least:
            self.below = min(self.most_below, self.below + (least - other if least < 0 else -other))
        return list(found.values()), min(least, other)

    def _loads(
        self, prices: _Prices, store: Store, should_stop: Callable[[], bool]
    ) -> tuple[list[_Filling], int]:
        """Write down the loads that may matter; of which filling, and how many, or -1."""
        store.loads.first[:] = -1
        tails, count, fillings = 0, 0, []
        for number, (filling, ways, heads) in enumerate(self._ways(prices)):
            fillings.append(filling)
            tails, count = timed_loads(ways, heads, number, store.tails, tails, store.loads, count)
            if tails < 0 or should_stop():
                return fillings, -1
        return fillings, count

    def _ways(self, prices: _Prices) -> Iterator[tuple[_Filling, TimedWays, Floats]]:
        """What the loads of each filling are made of."""
        a, kind, limits, yard = self.arrays, self.kind, self.limits, self.kind.yard
        extra, price = self.hour + prices.wage - float(limits.wage), prices.wage + self.hour
        loaded, empty = kind.legs(extra)
        loc, homes = kind.part.loc, np.append(yard.loc, limits.home)
        road_c, road_s = kind.by_weight[0] * float(limits.loaded_rate), kind.by_weight[1].astype(np.int64)
        for yards in self.fillings:
            first, last, filled = yards[0], yards[-1], list(yards)
            wood = [
                np.where(kind.may_come_from(y), a.part_wood @ prices.parts.wood[y], np.inf) for y in yards
            ]
            least = np.min(wood, axis=0)
            may, source = np.flatnonzero(least < np.inf), np.array(yards)[np.argmin(wood, axis=0)]
            at, earns = loc[may], prices.parts.part[may] - least[may]
            way_c, way_s, closes = 0.0, 0, int(a.hours[first, self.run, 1])
            if first != last:
                # a load of two yards must be done at the second one in time
                way_c = float(kind.loaded[0][yard.loc[first], yard.loc[last]] * limits.loaded_rate)
                way_s = int(kind.loaded[1][yard.loc[first], yard.loc[last]] + yard.fixed[last])
                closes = int(a.hours[last, self.run, 1]) - way_s
            entry = self.place[first] + (int(yard.fixed[first]) + way_s) * price + way_c
            rate = int(yard.rate[filled].min())
            ends = [kind.empty[k][np.ix_(at, homes)] for k in range(2)]
            routes = QRoutes(
                loaded[yard.loc[last], at] + entry,
                np.ascontiguousarray(loaded[np.ix_(at, at)]),
                kind.stop_costs(extra, np.int64(rate))[may] - earns,
                empty[np.ix_(at, homes)] - self.place[None, :],
                kind.bins[may],
                kind.most_bins,
            )
            part = kind.part
            yield (
                _Filling(yards, may, source),
                TimedWays(
                    earns=np.ascontiguousarray(earns),
                    part=may.astype(np.int64),
                    stops=np.ascontiguousarray(
                        np.column_stack([part.service, part.opens, part.closes, part.quantity])[may]
                    ),
                    end_c=np.ascontiguousarray(ends[0] * float(limits.empty_rate)),
                    end_s=np.ascontiguousarray(ends[1].astype(np.int64)),
                    worth=self.place,
                    entry_worth=float(self.place[first]),
                    leg_c=np.ascontiguousarray(road_c[:, at[:, None], at[None, :]]),
                    leg_s=np.ascontiguousarray(road_s[:, at[:, None], at[None, :]]),
                    entry_c=np.ascontiguousarray(road_c[:, yard.loc[last], at] + way_c),
                    entry_s=np.ascontiguousarray(road_s[:, yard.loc[last], at] + way_s),
                    over=kind.over,
                    sizes=np.ascontiguousarray(np.column_stack([kind.sizes[may], kind.bins[may]])),
                    room=kind.limits,
                    fixed=int(yard.fixed[first]),
                    rate=rate,
                    units=int(a.units),
                    opens=int(a.hours[first, self.run, 0]),
                    closes=closes,
                    start=int(limits.start),
                    end=int(limits.end),
                    price=float(price),
                    below=float(self.below),
                ),
                routes.heads(),
            )

    def _rows(self, prices: _Prices, store: Store, count: int) -> tuple[Rows, Ints]:
        """The loads that stay by where they begin and end, the cheapest first; and their numbers."""
        loads, ends = store.loads, len(self.place)
        alive = np.flatnonzero(loads.links[:count, STAYS])
        yards = np.array([filling[0] for filling in self.fillings], np.int64)
        begin = yards[loads.links[alive, FILLING]]
        group = loads.links[alive, END] * (ends - 1) + begin
        paid = loads.cost[alive] + prices.wage * loads.clock[alive, D]
        order = np.lexsort((paid, group))
        alive, begin = alive[order], begin[order]
        mask = loads.mask[alive]
        near = np.zeros_like(mask)
        for p, some in enumerate(self.near):
            near[(mask[:, p >> 6] >> np.uint64(p & 63) & np.uint64(1)).astype(bool)] |= some
        rows = Rows(
            cost=loads.cost[alive],
            paid=paid[order],
            clock=loads.clock[alive],
            work=loads.work[alive],
            begin=np.ascontiguousarray(begin),
            end=np.ascontiguousarray(loads.links[alive, END]),
            mask=mask,
            near=near,
            starts=np.searchsorted(group[order], np.arange(ends * (ends - 1) + 1)),
        )
        return rows, alive

    def _day(self, prices: _Prices) -> Day:
        limits, (road, seconds) = self.limits, self.kind.home_ways
        return Day(
            start=int(limits.start),
            step=BOUND.step_s,
            steps=int(limits.end - limits.start) // BOUND.step_s + 1,
            longest=self.longest,
            wage=float(prices.wage),
            unpaid=float(limits.wage),
            pause=int(limits.pause),
            out_c=np.where(self.is_open, road + float(limits.fixed) + prices.use, np.inf),
            out_s=seconds.astype(np.int64),
        )

    def _done(
        self, rows: Rows, day: Day, store: Store, should_stop: Callable[[], bool]
    ) -> tuple[Ints, float]:
        """Rows that pay, the cheapest first, and what none costs less than.

        A limit is raised until there is one.
        """
        is_kept = np.zeros(len(rows.cost), np.bool_)
        undominated(rows.cost, rows.clock, rows.work, rows.starts, is_kept)
        kept = np.flatnonzero(is_kept)
        plain, low = _rows_at(rows, kept), np.empty((2, len(day.out_c), day.steps))
        heads_of_rows(plain, day, low)
        sure = float(least_of_rows(plain, day, low))
        least = np.minimum.accumulate(low, axis=2)
        most = -BOUND.rounding_units
        if sure >= most:
            return np.zeros(0, np.int64), sure
        share, lowest, tails = self.share, sure, store.rows
        while True:
            limit = lowest * share if share > BOUND.least_share else most
            count, done = rows_under(rows, day, low, least, tails, limit)
            if count < 0 or done or limit == most or should_stop():
                break
            sure = limit
            share *= BOUND.next_share
        found = tails.done[:done]
        found = found[np.argsort(tails.final[found], kind="stable")]
        if count < 0:
            self.share = min(1.0, share + BOUND.wider_share)
        elif done:
            sure = float(tails.final[found[0]])
            self.share = max(BOUND.least_share, BOUND.narrower_share * sure / lowest)
        else:
            sure, self.share = limit, BOUND.least_share
        return found, sure

    def _bound_with_left_out(self, prices: _Prices, rows: Rows) -> float:
        """What a run with a load that was left out costs at least: all its time at one price."""
        price, place = prices.wage + self.hour, self.place
        value = rows.cost + price * rows.clock[:, D] + place[rows.begin] - place[rows.end]
        step = max(1, min(BOUND.coarse_s, int(rows.clock[:, D].min(initial=BOUND.coarse_s))))
        low = np.zeros(self.longest // step + 1)
        least_knapsack(value, rows.clock[:, D] // step, low)
        road, seconds = self.kind.home_ways
        out = float((road + price * seconds - place[:-1]).min()) + float(self.limits.fixed) + prices.use
        rest = float(self.limits.wage * self.limits.pause)
        return float(self.below + out + low[-1] - self.hour * self.longest - rest)

    def _run(
        self, store: Store, alive: Ints, fillings: list[_Filling], prices: _Prices, row: int
    ) -> PricedRun:
        tails, parts = store.rows, prices.parts
        seconds = int(tails.seconds[row])
        cost = float(tails.final[row]) - prices.use - (prices.wage - float(self.limits.wage)) * seconds
        stops: list[tuple[int, int]] = []
        while row >= 0:
            load = alive[tails.links[row, ROW]]
            filling, tail = fillings[store.loads.links[load, FILLING]], int(store.loads.links[load, TAIL])
            while tail >= 0:
                part = int(filling.parts[store.tails.links[tail, AT]])
                yard = int(filling.source[part])
                stops.append((part, yard))
                cost += float(parts.part[part] - self.arrays.part_wood[part] @ parts.wood[yard])
                tail = int(store.tails.links[tail, PARENT])
            row = int(tails.links[row, BEFORE])
        return PricedRun(self.run, cost, tuple(stops), seconds)


def _rows_at(rows: Rows, kept: Ints) -> Rows:
    """Some of the loads, in their order."""
    starts = np.searchsorted(kept, rows.starts)
    columns = {name: getattr(rows, name)[kept] for name in Rows._fields if name != "starts"}
    return Rows(**columns, starts=starts)


def _neighborhoods(arrays: PlanArrays, run: int) -> np.ndarray[tuple[int, ...], np.dtype[np.uint64]]:
    """The parts remembered at each, as bits of two words: the nearest by the road, itself among them."""
    loc = arrays.part.loc
    way = best_loaded_roads(arrays, run)[1][np.ix_(loc, loc)]
    nearest = np.argsort(way + way.T, axis=1, kind="stable")[:, : BOUND.remembered]
    bits = np.zeros((len(loc), 2), np.uint64)
    for p, some in enumerate(nearest.tolist()):
        for near in {*some, p}:
            bits[p, near >> 6] |= np.uint64(1 << (near & 63))
    return bits

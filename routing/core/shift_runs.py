"""The runs of one shift at given prices of its drops: the cheapest ones, and a bound on the cost of any.

`heads` says what a run may still gain before its tail, by a relaxation in steps of time: once by the clock,
with windows and yard hours, once by the time a run takes. A drop served more than once in the relaxed run is
spared: its price is taken back and given once for all (Lagrange), so that every bound holds. `tails` then
finds the runs under a limit, and the limit is raised from below until there is one.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from routing.core.arrays import (
    BOX,
    CLOSES,
    END,
    FIXED,
    FT3,
    HOME,
    LB,
    LOC,
    LONGEST,
    METERS,
    OPENS,
    PAYLOAD,
    QUANTITY,
    RATE_EMPTY,
    RATE_LOADED,
    ROAD_EMPTY,
    ROAD_LOADED,
    SECONDS,
    SERVICE,
    START,
    WAGE,
    YARD_FIXED,
    YARD_LOC,
    YARD_RATE,
    YARDS,
    Ints,
    PlanArrays,
)
from routing.core.bound import DropPrices, binned
from routing.core.exact import tight_rows
from routing.core.tails import (
    AT,
    CLOSE,
    HOLDS,
    OPEN,
    PARENT,
    STAY,
    Hopes,
    Store,
    Times,
    WayCosts,
    Ways,
    first_of,
    heads,
    tails,
)

type Floats = NDArray[np.float64]
MOST_DROPS = 128
REMEMBERED = 12
ROUNDING_UNITS = 2000.0
NEW_PER_SHIFT = 25
FINEST_S = 150
COARSEST_S = 900
LEAST_S = 30
MOST_STEPS = 500
MOST_CELLS = 6_000_000
FEW_TAILS = 3_000
MOST_TRIES = 9
FIRST_TRY = 0.15
NEXT_TRY = 0.25
LEAST_SHARE = 0.5
SPARE_STEP = 0.7
LEAST_SPARE_STEP = 0.1


@dataclass(frozen=True, slots=True)
class PricedRun:
    """A run that may serve a drop twice: its cost in cost units, its loads as (yard, parts)."""

    shift: int
    cost: float
    loads: tuple[tuple[int, tuple[int, ...]], ...]

    @property
    def parts(self) -> tuple[int, ...]:
        """The parts it brings."""
        return tuple(part for _, parts in self.loads for part in parts)


class ShiftRuns:
    """One shift: its drops and roads, and what earlier prices taught about it."""

    def __init__(self, arrays: PlanArrays, shift: int) -> None:
        self.arrays, self.shift, self.row = arrays, shift, arrays.shift[shift]
        self.drops = np.flatnonzero(arrays.allowed[:, shift])
        self.bins, self.most = binned(arrays.part[self.drops, FT3], int(self.row[BOX]))
        self.leaders, of = _groups(arrays, self.drops)
        self.ways = self._ways(of)
        self.spare = np.zeros(len(self.drops))
        self.share = 0.9  # of the relaxed run's gain that the best run had
        room = int(self.row[END] - self.row[START])
        cells = len(self.drops) ** 2 * (self.most + 1) * room
        # a drop and the way off it take a step at least, so that time goes on
        quickest = int((self.ways.off_s + self.ways.part[:, STAY, None]).min(initial=COARSEST_S))
        self.step = min(quickest, max(FINEST_S, cells // MOST_CELLS))
        self.can_price = (
            len(self.drops) <= MOST_DROPS and self.step >= LEAST_S and room <= MOST_STEPS * self.step
        )

    def priced(
        self, prices: DropPrices, store: Store, should_stop: Callable[[], bool]
    ) -> tuple[list[PricedRun], float]:
        """Runs that pay at these prices, and a bound on the cost of any run, prices taken off."""
        clock, spent, least, visits = self._hopes(prices)
        lower, found = least, []
        share, stride, few = max(self.share, LEAST_SHARE) + FIRST_TRY, SPARE_STEP, first_of(store, FEW_TAILS)
        for _ in range(MOST_TRIES):
            if should_stop() or lower >= -ROUNDING_UNITS:
                break
            below = max(lower, min(-ROUNDING_UNITS, least * min(0.9, share)))
            stores = few if stride > LEAST_SPARE_STEP else store
            runs, low = self._runs(prices, (clock, spent), stores, below=below)
            found += runs
            if low is not None and runs:
                self.share = low / least
                return found, low
            if low is not None:
                lower = max(lower, below)
                if found:
                    break
                share -= NEXT_TRY
                continue
            # too many tails: spare what is served too often, else lower the limit
            slope = np.where((visits > 0) | (self.spare > 0), visits - 1.0, 0.0)
            if stride <= LEAST_SPARE_STEP:
                share = (share + 1) / 2
                continue
            if not slope.any():
                stride = 0.0
                continue
            kept, gap = self.spare, max(below - least, -LEAST_SPARE_STEP * least)
            self.spare = np.maximum(0.0, kept + stride * gap / float(slope @ slope) * slope)
            other = self._hopes(prices)
            if other[2] > least:
                clock, spent, least, visits = other
                lower, share = max(lower, least), below / least
            else:
                self.spare = kept
                stride /= 2
        if lower >= -ROUNDING_UNITS:
            self.share = 0.0
        return found, lower

    def _runs(
        self, prices: DropPrices, hopes: tuple[Hopes, Hopes], store: Store, *, below: float
    ) -> tuple[list[PricedRun], float | None]:
        """Runs under a limit, and the least cost of any or the limit; None when tails were too many."""
        row = self.row
        ways = self.ways._replace(near=self.ways.near | _bits(np.flatnonzero(self.spare)))
        store.limits[:] = [row[START], row[LONGEST], row[WAGE], row[BOX], row[PAYLOAD], self.step]
        count = tails(ways, *hopes, store, self._gain(prices), self.spare, float(row[FIXED]), below)
        final = store.final[: len(store.cost) if count < 0 else count]
        rows = np.flatnonzero(final < below)
        rows = rows[np.argsort(final[rows], kind="stable")]
        found: dict[tuple[int, ...], PricedRun] = {}
        for at in rows.tolist():
            run = self._run(store, at, prices)
            found.setdefault(tuple(sorted(run.parts)), run)
            if len(found) >= NEW_PER_SHIFT:
                break
        least = float(final[rows[0]]) if len(rows) else below
        return list(found.values()), None if count < 0 else least

    def _run(self, store: Store, at: int, prices: DropPrices) -> PricedRun:
        cost = float(store.final[at])
        loads: list[tuple[int, list[int]]] = []
        while at > 0:
            place = int(store.links[at, AT])
            if place >= len(self.drops):
                loads.append((place - len(self.drops), []))
            else:
                loads[-1][1].append(int(self.drops[place]))
            at = int(store.links[at, PARENT])
        for yard, parts in loads:
            cost += float(prices.part[parts].sum())
            cost -= float((self.arrays.part_wood[parts] @ prices.wood[yard]).sum())
        return PricedRun(self.shift, cost, tuple((yard, tuple(parts)) for yard, parts in loads))

    def _gain(self, prices: DropPrices) -> Floats:
        """What each drop from each group of yards costs beyond the way: under 0 where it pays."""
        wood = prices.wood[self.leaders] @ self.arrays.part_wood[self.drops].T.astype(float)
        return np.ascontiguousarray(wood - prices.part[self.drops][None, :])

    def _hopes(self, prices: DropPrices) -> tuple[Hopes, Hopes, float, Ints]:
        """Both relaxations, the better bound on any run, how often the first one's run serves each drop."""
        clock, by_clock, visits = self._heads(prices, by_clock=True)
        spent, by_time, _ = self._heads(prices, by_clock=False)
        return clock, spent, max(by_clock, by_time), visits

    def _heads(self, prices: DropPrices, *, by_clock: bool) -> tuple[Hopes, float, Ints]:
        w, wage, step, start = self.ways, float(self.row[WAGE]), self.step, int(self.row[START])
        room = int(self.row[END]) - start if by_clock else int(self.row[LONGEST])
        groups, n, yards = len(w.may), len(self.drops), len(w.of)
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
            visits,
        )
        least += float(self.row[FIXED]) - float(self.spare.sum())
        return Hopes(*tables, *places), least, visits

    def _ways(self, of: Ints) -> Ways:
        a, row = self.arrays, self.row
        part, at = a.part[self.drops], a.yard[:, YARD_LOC]
        loaded, empty = a.roads[row[ROAD_LOADED]], a.roads[row[ROAD_EMPTY]]
        loc, ends = part[:, LOC], np.append(at, row[HOME])
        on, out, off = loaded[np.ix_(loc, loc)], loaded[np.ix_(at, loc)], empty[np.ix_(loc, ends)]
        way = empty[row[HOME], at]
        near_first = np.argsort(on[:, :, SECONDS] + on[:, :, SECONDS].T, axis=1, kind="stable")
        columns = [part[:, c] for c in (QUANTITY, FT3, LB, SERVICE, OPENS, CLOSES)]
        return Ways(
            part=np.ascontiguousarray(np.column_stack([*columns, self.bins])),
            near=np.array(
                [_bits(np.append(near, k)) for k, near in enumerate(near_first[:, :REMEMBERED])], np.uint64
            ).reshape(-1, 2),
            may=np.ascontiguousarray(_may(a, self.drops)[self.leaders]),
            of=of,
            fixed=np.ascontiguousarray(a.yard[:, YARD_FIXED]),
            rate=np.ascontiguousarray(a.yard[:, YARD_RATE]),
            least_rate=np.ascontiguousarray(a.yard[self.leaders, YARD_RATE]),
            hours=np.ascontiguousarray(a.hours[:, self.shift]),
            on_s=np.ascontiguousarray(on[:, :, SECONDS]),
            on_c=np.ascontiguousarray(on[:, :, METERS] * row[RATE_LOADED]),
            out_s=np.ascontiguousarray(out[:, :, SECONDS]),
            out_c=np.ascontiguousarray(out[:, :, METERS] * row[RATE_LOADED]),
            off_s=np.ascontiguousarray(off[:, :, SECONDS]),
            off_c=np.ascontiguousarray(off[:, :, METERS] * row[RATE_EMPTY]),
            way_s=np.ascontiguousarray(way[:, SECONDS]),
            way_c=np.ascontiguousarray(way[:, METERS] * row[RATE_EMPTY]),
            end=int(row[END]),
            units=a.units,
        )


def _may(arrays: PlanArrays, drops: Ints) -> NDArray[np.bool_]:
    """Whether a yard may give a drop, Y x N."""
    bits = arrays.part[drops, YARDS][None, :] >> np.arange(len(arrays.yard))[:, None]
    return (bits & 1).astype(bool)


def _groups(arrays: PlanArrays, drops: Ints) -> tuple[Ints, Ints]:
    """Yards alike in what they give and how fast: the first of each group, and the group of each yard."""
    may, is_short = _may(arrays, drops), bool(tight_rows(arrays))
    likes = [
        (y if is_short else -1, int(rate), may[y].tobytes())
        for y, rate in enumerate(arrays.yard[:, YARD_RATE])
    ]
    groups = {like: number for number, like in enumerate(dict.fromkeys(likes))}
    return np.array([likes.index(like) for like in groups]), np.array([groups[like] for like in likes])


def _bits(drops: Ints) -> NDArray[np.uint64]:
    """Drops as bits of two words."""
    words = [0, 0]
    for k in drops.tolist():
        words[k >> 6] |= 1 << (k & 63)
    return np.array(words, np.uint64)

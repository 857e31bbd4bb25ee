"""All worthwhile runs of one shift, put together from its fillings, backward from home.

A label is the tail of a run: its drops, the yard it begins at, its clock (E, D, L) as in `routes`, and its
cost less what its drops earn. What the head may still gain is bounded by a small linear program over the
fillings: prices v <= 0 of drops such that no filling is cheaper than its drops' prices, with an hour priced
so that the shift's length counts. The bound is the sum of a number of the label and a number of the filling
to be put before it, so that only pairs that can matter are ever looked at. Numpy and GLOP only.
After Feillet et al. 2004 (labels) and Baldacci, Christofides and Mingozzi 2008 (bounds from duals).
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from routing.core.arrays import (
    END,
    FIXED,
    HOME,
    LONGEST,
    METERS,
    RATE_EMPTY,
    ROAD_EMPTY,
    SECONDS,
    START,
    WAGE,
    YARD_LOC,
    Ints,
    PlanArrays,
)
from routing.core.fillings import Fillings, TooMany, clocks_joined, fillings_of, unbeaten
from routing.core.problem import COST_UNITS_PER_CENT

type Floats = NDArray[np.float64]
MOST_PARTS = 60
PRICE_ROUNDS = 12
PRICE_ROWS = 120
PRICE_SLACK = 50_000.0
PAIRS_PER_LABEL = 50
CHUNK = 400_000
MOST_CODED_PARTS = 31
MOST_CODED_YARDS = 3
HOUR_PRICES = (0.0, 0.5, 1.0, 2.0, 4.0)
CENT = float(COST_UNITS_PER_CENT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Earnings:
    """What bringing each part earns, what the shift costs, what wood costs, in cost units."""

    part: Floats  # P
    shift: float
    wood: Floats  # Y x K


@dataclass(frozen=True, slots=True, kw_only=True)
class Runs:
    """Runs of one shift: cost, reduced cost, the parts as bits, the sequence of tokens."""

    cost: Ints
    reduced: Floats
    mask: Ints
    tokens: tuple[tuple[int, ...], ...]
    is_complete: bool


@dataclass(slots=True)
class _Labels:
    mask: Ints
    yard: Ints  # number of yards = home, the empty tail
    cost: Floats  # reduced, wage included
    real: Ints
    e: Ints
    d: Ints
    l: Ints
    code: Ints  # which yard each part comes from, where wood is short
    parent: Ints
    filling: Ints

    def __len__(self) -> int:
        return len(self.mask)

    def at(self, rows: Ints | NDArray[np.bool_]) -> "_Labels":
        return _Labels(*(getattr(self, name)[rows] for name in self.__slots__))


@dataclass(slots=True)
class RunFinder:
    """Finds runs of a shift for given earnings; knows its fillings once they were asked for."""

    arrays: PlanArrays
    shift: int
    most: int
    fillings: Fillings = field(init=False)
    should_stop: Callable[[], bool] = field(default=lambda: False)
    bits: Floats = field(init=False)
    hour_price: float = 0.0
    turn: int = 0
    binding: Ints = field(init=False)

    def __post_init__(self) -> None:
        self.fillings = fillings_of(self.arrays, self.shift, most=self.most)
        self.binding = np.zeros(0, np.int64)
        shifts = np.arange(len(self.arrays.part))[None, :]
        self.bits = (self.fillings.mask[:, None] >> shifts & 1).astype(np.float64)

    def find(
        self,
        earnings: Earnings,
        *,
        below: float,
        most_labels: int,
        most_runs: int,
        keep_usage: bool = False,
        plain: bool = False,
    ) -> Runs:
        """Runs whose reduced cost is below a limit, cheapest first, one per set of parts (and yards).

        Of each generation only the `most_labels` most hopeful tails are followed; when that or `most_runs`
        left any out, the answer is not complete. With `plain` the bound is only that no road costs less
        than nothing: no linear program, which for a handful of drops takes longer than it saves.

        Errors
            TooMany: time is up.
        """
        row = self.arrays.shift[self.shift]
        f = self.fillings
        earned = self.bits @ earnings.part
        wood = self._wood_prices(earnings)
        reduced = f.road + f.d * row[WAGE] - earned + wood
        hour, prices = (0.0, self._plain_prices(earnings, wood)) if plain else self._best_prices(reduced)
        slack = reduced + hour * f.d - prices.of(self.bits, f)
        by_end = self._by_end(slack)
        floor = row[FIXED] - earnings.shift + prices.way_out
        start = _Labels(
            np.zeros(1, np.int64),
            np.full(1, len(self.arrays.yard), np.int64),
            np.zeros(1),
            np.zeros(1, np.int64),
            np.zeros(1, np.int64),
            np.zeros(1, np.int64),
            np.full(1, row[END], np.int64),
            np.zeros(1, np.int64),
            np.full(1, -1, np.int64),
            np.full(1, -1, np.int64),
        )
        generations = [start]
        finals: list[tuple[Floats, Ints, Ints, Ints, int]] = []
        hope = self._hope(start, prices, hour) + floor
        complete = True
        while len(generations[-1]):
            if self.should_stop():
                raise TooMany
            labels = generations[-1]
            limit = _limit(hope, labels.yard, by_end, below, PAIRS_PER_LABEL * most_labels)
            few: list[_Labels] = []
            for at, use in _pairs(labels, hope, self.fillings.mask, by_end, limit):
                if self.should_stop():
                    raise TooMany
                some = self._grown(labels, at, use, reduced, keep_usage)
                few.append(some.at(some.cost + self._hope(some, prices, hour) + floor < below))
            grown = self._unbeaten(_together(few) if few else labels.at(np.zeros(0, np.int64)), keep_usage)
            hope = grown.cost + self._hope(grown, prices, hour) + floor
            complete = complete and limit >= below
            if len(grown) > most_labels:
                kept = np.argpartition(hope, most_labels)[:most_labels]
                grown, hope, complete = grown.at(kept), hope[kept], False
            self._finish(grown, earnings, below, len(generations), finals)
            generations.append(grown)
        return self._runs(generations, finals, most_runs, complete)

    def _best_prices(self, reduced: Floats) -> tuple[float, "Prices"]:
        """An hour's price and the drops' prices that bound best what a whole shift can gain."""
        row = self.arrays.shift[self.shift]
        room = min(int(row[LONGEST]), int(row[END] - row[START]))
        best: tuple[float, float, Prices] | None = None
        wage = max(1.0, float(row[WAGE]))
        self.turn += 1
        if self.turn == 1:
            tried = [wage * share for share in HOUR_PRICES]
        elif self.turn % 3:
            tried = [self.hour_price]
        else:
            tried = [self.hour_price / 1.6, self.hour_price, self.hour_price * 1.6 + 0.05 * wage]
        for hour in tried:
            prices = self._prices(reduced + hour * self.fillings.d, self._ways_out(hour))
            worth = float(prices.part.sum()) + prices.way_out - hour * room
            if best is None or worth > best[0]:
                best = (worth, hour, prices)
        assert best is not None
        self.hour_price = best[1]
        return best[1], best[2]

    def _plain_prices(self, earnings: Earnings, wood: Floats | float) -> "Prices":
        """What each drop earns is all it can save, where wood has no price of its own."""
        least = min(0.0, float(np.min(wood, initial=0.0)))
        free = Prices.none(len(self.arrays.part), self._ways_out(0.0))
        return Prices(np.minimum(free.part, -earnings.part) + least, free.place, free.way_out)

    def _prices(self, cost: Floats, ways_out: Floats) -> "Prices":
        """Prices by GLOP over the fillings that bind, found a few at a time."""
        f = self.fillings
        rows = self.binding
        prices = Prices.none(len(self.arrays.part), ways_out)
        for _ in range(PRICE_ROUNDS):
            over = prices.of(self.bits, f) - cost
            worst = np.flatnonzero(over > PRICE_SLACK)
            if not len(worst):
                break
            if len(worst) > PRICE_ROWS:
                worst = worst[np.argpartition(-over[worst], PRICE_ROWS)[:PRICE_ROWS]]
            rows = np.union1d(rows, worst)
            prices = _packing_prices(self.bits[rows], f.yard[rows], f.after[rows], cost[rows], ways_out)
        over = prices.of(self.bits, f) - cost
        close = over[rows] > -PRICE_SLACK * 50
        self.binding = rows[close]
        return prices.lowered(max(0.0, float(over.max(initial=0.0))), self.bits.any(axis=0))

    def _hope(self, labels: _Labels, prices: "Prices", hour: float) -> Floats:
        row = self.arrays.shift[self.shift]
        taken = (labels.mask[:, None] >> np.arange(len(prices.part))[None, :] & 1) @ prices.part
        left = np.minimum(labels.l - row[START], row[LONGEST] - labels.d)
        return prices.part.sum() - taken - prices.place[labels.yard] - hour * left

    def _ways_out(self, hour: float) -> Floats:
        row = self.arrays.shift[self.shift]
        way = self.arrays.roads[row[ROAD_EMPTY], row[HOME], self.arrays.yard[:, YARD_LOC]]
        return way[:, METERS] * row[RATE_EMPTY] + way[:, SECONDS] * (row[WAGE] + hour)

    def _by_end(self, slack: Floats) -> list[tuple[Ints, Floats]]:
        """For every yard and home the fillings that end there, least slack first."""
        found = []
        for end in range(len(self.arrays.yard) + 1):
            rows = np.flatnonzero(self.fillings.after == end)
            rows = rows[np.argsort(slack[rows], kind="stable")]
            found.append((rows, slack[rows]))
        return found

    def _wood_prices(self, earnings: Earnings) -> Floats | float:
        if not self.arrays.is_tight or not earnings.wood.any():
            return 0.0
        wood = self.bits @ self.arrays.part_wood
        return -(wood * earnings.wood[self.fillings.yard]).sum(axis=1)

    def _grown(self, labels: _Labels, at: Ints, use: Ints, reduced: Floats, keep_usage: bool) -> _Labels:
        """The tails that come of putting fillings before tails, those that no other beats."""
        row = self.arrays.shift[self.shift]
        f = self.fillings
        e, d, l = clocks_joined(f.e[use], f.d[use], f.l[use], 0, labels.e[at], labels.d[at], labels.l[at])
        fine = (l >= row[START]) & (d <= row[LONGEST])
        at, use, e, d, l = at[fine], use[fine], e[fine], d[fine], l[fine]
        waited = (d - labels.d[at] - f.d[use]) * row[WAGE]
        code = labels.code[at]
        if keep_usage:
            code = code + coded(f.mask[use], f.yard[use], len(self.arrays.part))
        grown = _Labels(
            labels.mask[at] | f.mask[use],
            f.yard[use],
            labels.cost[at] + reduced[use] + waited,
            labels.real[at] + f.road[use] + f.d[use] * row[WAGE] + waited,
            e,
            d,
            l,
            code,
            at,
            use,
        )
        return self._unbeaten(grown, keep_usage)

    def _unbeaten(self, labels: _Labels, keep_usage: bool) -> _Labels:
        keys = [labels.mask, labels.yard, labels.code] if keep_usage else [labels.mask, labels.yard]
        wage = int(self.arrays.shift[self.shift, WAGE])
        return labels.at(unbeaten(keys, labels.cost, labels.e, labels.d, labels.l, wage))

    def _finish(
        self,
        labels: _Labels,
        earnings: Earnings,
        below: float,
        generation: int,
        finals: list[tuple[Floats, Ints, Ints, Ints, int]],
    ) -> None:
        a, row = self.arrays, self.arrays.shift[self.shift]
        way = a.roads[row[ROAD_EMPTY], row[HOME], a.yard[:, YARD_LOC]][labels.yard]
        start = np.full(len(labels), row[START])
        far = np.full(len(labels), np.int64(1) << 40)
        _, d, l = clocks_joined(start, 0, far, way[:, SECONDS], labels.e, labels.d, labels.l)
        added = way[:, METERS] * row[RATE_EMPTY] + (d - labels.d) * row[WAGE] + row[FIXED]
        reduced = labels.cost + added - earnings.shift
        fine = np.flatnonzero((l >= 0) & (d <= row[LONGEST]) & (reduced < below))
        finals.append((reduced[fine], labels.real[fine] + added[fine], labels.mask[fine], fine, generation))

    def _runs(
        self,
        generations: list[_Labels],
        finals: list[tuple[Floats, Ints, Ints, Ints, int]],
        most_runs: int,
        complete: bool,
    ) -> Runs:
        reduced = np.concatenate([f[0] for f in finals])
        cost = np.concatenate([f[1] for f in finals])
        mask = np.concatenate([f[2] for f in finals])
        rows = np.concatenate([f[3] for f in finals])
        generation = np.concatenate([np.full(len(f[0]), f[4]) for f in finals])
        code = np.concatenate([generations[f[4]].code[f[3]] for f in finals])
        by = np.lexsort((reduced, code, mask))
        first = np.ones(len(by), bool)
        first[1:] = (mask[by][1:] != mask[by][:-1]) | (code[by][1:] != code[by][:-1])
        kept = by[first]
        kept = kept[np.argsort(reduced[kept], kind="stable")][:most_runs]
        return Runs(
            cost=cost[kept],
            reduced=reduced[kept],
            mask=mask[kept],
            tokens=tuple(self._tokens(generations, int(generation[k]), int(rows[k])) for k in kept),
            is_complete=complete,
        )

    def _tokens(self, generations: list[_Labels], generation: int, row: int) -> tuple[int, ...]:
        tokens: list[int] = []
        while generation > 0:
            labels = generations[generation]
            filling = int(labels.filling[row])
            tokens.append(-1 - int(self.fillings.yard[filling]))
            tokens += self.fillings.drops.parts(int(self.fillings.sequence[filling]))
            row = int(labels.parent[row])
            generation -= 1
        return tuple(tokens)


def _pairs(
    labels: _Labels, hope: Floats, masks: Ints, by_end: list[tuple[Ints, Floats]], limit: float
) -> Iterator[tuple[Ints, Ints]]:
    """Tails and the fillings to put before them, a chunk at a time.

    Tail's hope + filling's slack < limit: of each tail a prefix of the fillings sorted by slack.
    """
    for end, (rows, slacks) in enumerate(by_end):
        here = np.flatnonzero(labels.yard == end)
        if not len(here) or not len(rows):
            continue
        upto = np.searchsorted(slacks, limit - hope[here], side="left")
        chunk = np.cumsum(upto) // CHUNK
        for number in np.unique(chunk):
            some = chunk == number
            counts = upto[some]
            label = np.repeat(here[some], counts)
            place = np.arange(len(label)) - np.repeat(np.cumsum(counts) - counts, counts)
            filling = rows[place]
            apart = (labels.mask[label] & masks[filling]) == 0
            yield label[apart], filling[apart]


def _together(many: list[_Labels]) -> _Labels:
    return _Labels(*(np.concatenate([getattr(one, name) for one in many]) for name in _Labels.__slots__))


def _limit(hope: Floats, yard: Ints, by_end: list[tuple[Ints, Floats]], below: float, most: int) -> float:
    """The hope above which pairs are not looked at, lowered until they are few enough."""
    limit, step = below, 0.0
    least = min((float(hope.min()), 0.0)) + min((float(s[0]) for _, s in by_end if len(s)), default=0.0)
    for _ in range(40):
        count = sum(
            int(np.searchsorted(slacks, limit - hope[yard == end], side="left").sum())
            for end, (_, slacks) in enumerate(by_end)
        )
        if count <= most:
            return limit
        step = (limit - least) / 3
        limit -= step
    return limit


@dataclass(frozen=True, slots=True)
class Prices:
    """Prices of drops (none above 0) and of places, such that no filling costs less than its drops' prices
    plus the price of its yard less that of where it ends; way_out: the least way from home into the places.
    """

    part: Floats
    place: Floats  # yards, then home
    way_out: float

    @classmethod
    def none(cls, parts: int, ways_out: Floats) -> "Prices":
        """All free."""
        return cls(np.zeros(parts), np.zeros(len(ways_out) + 1), float(ways_out.min()))

    def of(self, bits: Floats, fillings: Fillings) -> Floats:
        """The price of each filling."""
        return bits @ self.part + self.place[fillings.yard] - self.place[fillings.after]

    def lowered(self, by: float, used: NDArray[np.bool_]) -> "Prices":
        """All drops cheaper, so that what rounding left over is gone."""
        return Prices(self.part - np.where(used, by, 0.0), self.place, self.way_out)


def _packing_prices(bits: Floats, yard: Ints, after: Ints, cost: Floats, ways_out: Floats) -> Prices:
    """The prices of greatest worth for these fillings, by GLOP."""
    from ortools.linear_solver import pywraplp

    solver = pywraplp.Solver.CreateSolver("GLOP")
    infinity = solver.infinity()
    part = [solver.NumVar(-infinity, 0.0, "") for _ in range(bits.shape[1])]
    place = [solver.NumVar(-1e7, 1e7, "") for _ in ways_out]
    way_out = solver.NumVar(-infinity, infinity, "")
    objective = solver.Objective()
    objective.SetMaximization()
    objective.SetCoefficient(way_out, 1.0)
    for variable in part:
        objective.SetCoefficient(variable, 1.0)
    for y, way in enumerate((ways_out / CENT).tolist()):
        constraint = solver.Constraint(-infinity, way)
        constraint.SetCoefficient(way_out, 1.0)
        constraint.SetCoefficient(place[y], -1.0)
    home = len(place)
    for row, y, end, limit in zip(bits, yard.tolist(), after.tolist(), (cost / CENT).tolist(), strict=True):
        constraint = solver.Constraint(-infinity, limit)
        for k in np.flatnonzero(row).tolist():
            constraint.SetCoefficient(part[k], 1.0)
        if y != end:
            constraint.SetCoefficient(place[y], 1.0)
            if end != home:
                constraint.SetCoefficient(place[end], -1.0)
    if solver.Solve() != pywraplp.Solver.OPTIMAL:
        return Prices.none(len(part), ways_out)
    prices = np.minimum(0.0, np.array([variable.solution_value() for variable in part])) * CENT
    places = np.append([variable.solution_value() * CENT for variable in place], 0.0)
    return Prices(prices, places, float((ways_out + places[:-1]).min()))


def coded(mask: Ints, yard: Ints, parts: int) -> Ints:
    """Two bits per part that say which yard it comes from."""
    code = np.zeros(len(mask), np.int64)
    for p in range(min(parts, MOST_CODED_PARTS)):
        code += (mask >> p & 1) * (yard + 1 << 2 * p)
    return code

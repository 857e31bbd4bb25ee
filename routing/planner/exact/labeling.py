"""All worthwhile runs of one rig on one date, put together from its load sequences, backward from home.

A label is the tail of a run: its parts, the yard it begins at, its clock (e, d, l) as in `search.schedule`,
and its cost less what its parts earn. What the head may still gain is bounded by `head_prices`. That bound
is the sum of a number of the label and a number of the load to be put before it, so that only pairs that
can matter are ever looked at. After Feillet et al. 2004 (labels).
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from routing.planner.arrays import Floats, Ints, PlanArrays, row_of
from routing.planner.exact.head_prices import Prices, packing_prices
from routing.planner.exact.label_columns import (
    Finals,
    Labels,
    completion_limit,
    concatenated,
    departures,
    pairs_under,
)
from routing.planner.exact.load_sequences import (
    LoadSequences,
    TooMany,
    clocks_joined,
    load_sequences,
    undominated,
)
from routing.planner.params import PROOF
from routing.planner.problem import COST_UNITS_PER_CENT

CENT = float(COST_UNITS_PER_CENT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Earnings:
    """What bringing each part earns, what the run itself costs, what wood and a second away cost beyond the
    wage, in cost units.
    """

    part: Floats  # P
    run: float
    wood: Floats  # Y x K
    second: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Runs:
    """Runs of one rig on one date: cost, reduced cost, rows of tokens, clock (e, d, l)."""

    cost: Ints
    reduced: Floats
    tokens: tuple[tuple[int, ...], ...]
    clock: tuple[tuple[int, int, int], ...]
    is_complete: bool


@dataclass(slots=True)
class RunFinder:
    """Finds runs of a run for given earnings; knows its load sequences once they were asked for."""

    arrays: PlanArrays
    run: int
    most: int
    loads: LoadSequences = field(init=False)
    should_stop: Callable[[], bool] = field(default=lambda: False)
    bits: Floats = field(init=False)
    late_bits: Floats = field(init=False)
    hour_price: float = 0.0
    turn: int = 0
    binding: Ints = field(init=False)

    def __post_init__(self) -> None:
        self.loads = load_sequences(self.arrays, self.run, most=self.most)
        self.binding = np.zeros(0, np.int64)
        parts = np.arange(len(self.arrays.part_wood))[None, :]
        self.bits = (self.loads.mask[:, None] >> parts & 1).astype(np.float64)
        self.late_bits = (self.loads.late[:, None] >> parts & 1).astype(np.float64)

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
        run = row_of(self.arrays.run, self.run)
        f = self.loads
        earned = self.bits @ earnings.part
        wood = self._wood_prices(earnings)
        reduced = f.road + f.paid * run.wage + f.d * earnings.second - earned + wood
        hour, prices = (
            (0.0, self._plain_prices(earnings, wood))
            if plain
            else self._best_prices(reduced, earnings.second)
        )
        slack = reduced + hour * f.paid - prices.of(self.bits, f)
        by_end = self._by_end(slack)
        floor = run.fixed - earnings.run + prices.way_out
        start = Labels(
            np.zeros(1, np.int64),
            np.full(1, len(self.arrays.yard.loc), np.int64),
            np.zeros(1),
            np.zeros(1, np.int64),
            np.zeros(1, np.int64),
            np.zeros(1, np.int64),
            np.full(1, run.end, np.int64),
            np.zeros(1, np.int64),
            np.zeros(1, np.int64),
            np.full(1, -1, np.int64),
            np.full(1, -1, np.int64),
        )
        generations = [start]
        finals: list[Finals] = []
        completion = self._completion_bound(start, prices, hour) + floor
        complete = True
        while len(generations[-1]):
            if self.should_stop():
                raise TooMany
            labels = generations[-1]
            limit = completion_limit(
                completion, labels.yard, by_end, below, PROOF.pairs_per_label * most_labels
            )
            few: list[Labels] = []
            for at, use in pairs_under(labels, completion, self.loads.mask, by_end, limit):
                if self.should_stop():
                    raise TooMany
                some = self._grown(labels, at, use, reduced, earnings.second, keep_usage)
                few.append(some.at(some.cost + self._completion_bound(some, prices, hour) + floor < below))
            grown = self._undominated(
                concatenated(few) if few else labels.at(np.zeros(0, np.int64)), earnings.second, keep_usage
            )
            completion = grown.cost + self._completion_bound(grown, prices, hour) + floor
            complete = complete and limit >= below
            if len(grown) > most_labels:
                kept = np.argpartition(completion, most_labels)[:most_labels]
                grown, completion, complete = grown.at(kept), completion[kept], False
            self._finish(grown, earnings, below, len(generations), finals)
            generations.append(grown)
        return self._runs(generations, finals, most_runs, complete, keep_usage)

    def _best_prices(self, reduced: Floats, second: float) -> tuple[float, Prices]:
        """An hour's price and the drops' prices that bound best what a whole run can gain."""
        run = row_of(self.arrays.run, self.run)
        room = min(int(run.longest), int(run.end - run.start))
        best: tuple[float, float, Prices] | None = None
        wage = max(1.0, float(run.wage))
        self.turn += 1
        if self.turn == 1:
            tried = [wage * share for share in PROOF.hour_prices]
        elif self.turn % 3:
            tried = [self.hour_price]
        else:
            tried = [self.hour_price / 1.6, self.hour_price, self.hour_price * 1.6 + 0.05 * wage]
        for hour in tried:
            prices = self._prices(reduced + hour * self.loads.paid, self._first_legs(hour + second))
            worth = float(prices.part.sum()) + prices.way_out - hour * room
            if best is None or worth > best[0]:
                best = (worth, hour, prices)
        assert best is not None
        self.hour_price = best[1]
        return best[1], best[2]

    def _plain_prices(self, earnings: Earnings, wood: Floats | float) -> Prices:
        """What each drop earns is all it can save, where wood has no price of its own."""
        least = min(0.0, float(np.min(wood, initial=0.0)))
        free = Prices.none(len(self.arrays.part_wood), self._first_legs(earnings.second))
        return Prices(np.minimum(free.part, -earnings.part) + least, free.place, free.way_out)

    def _prices(self, cost: Floats, first_legs: Floats) -> Prices:
        """Prices by GLOP over the load sequences that bind, found a few at a time."""
        f = self.loads
        rows = self.binding
        prices = Prices.none(len(self.arrays.part_wood), first_legs)
        for _ in range(PROOF.price_rounds):
            over = prices.of(self.bits, f) - cost
            worst = np.flatnonzero(over > PROOF.price_slack)
            if not len(worst):
                break
            if len(worst) > PROOF.price_rows:
                worst = worst[np.argpartition(-over[worst], PROOF.price_rows)[: PROOF.price_rows]]
            rows = np.union1d(rows, worst)
            prices = packing_prices(self.bits[rows], f.yard[rows], f.after[rows], cost[rows], first_legs)
        over = prices.of(self.bits, f) - cost
        close = over[rows] > -PROOF.price_slack * 50
        self.binding = rows[close]
        return prices.lowered(max(0.0, float(over.max(initial=0.0))), self.bits.any(axis=0))

    def _completion_bound(self, labels: Labels, prices: Prices, hour: float) -> Floats:
        run = row_of(self.arrays.run, self.run)
        taken = (labels.mask[:, None] >> np.arange(len(prices.part))[None, :] & 1) @ prices.part
        left = np.minimum(labels.l - run.start, run.longest - labels.d + run.pause * labels.paused)
        return prices.part.sum() - taken - prices.place[labels.yard] - hour * left

    def _first_legs(self, hour: float) -> Floats:
        run = row_of(self.arrays.run, self.run)
        meters, seconds = first_legs(self.arrays, self.run)
        cost: Floats = meters * run.empty_rate + seconds * (float(run.wage) + hour)
        return cost

    def _by_end(self, slack: Floats) -> list[tuple[Ints, Floats]]:
        """For every yard and home the load sequences that end there, least slack first."""
        found = []
        for end in range(len(self.arrays.yard.loc) + 1):
            rows = np.flatnonzero(self.loads.after == end)
            rows = rows[np.argsort(slack[rows], kind="stable")]
            found.append((rows, slack[rows]))
        return found

    def _wood_prices(self, earnings: Earnings) -> Floats | float:
        if not self.arrays.is_tight or not earnings.wood.any():
            return 0.0
        first = (self.bits - self.late_bits) @ self.arrays.part_wood
        late = self.late_bits @ self.arrays.part_wood
        prices = first * earnings.wood[self.loads.yard] + late * earnings.wood[self.loads.second]
        return -prices.sum(axis=1)

    def _grown(
        self, labels: Labels, at: Ints, use: Ints, reduced: Floats, second: float, keep_usage: bool
    ) -> Labels:
        """The tails that come of putting load sequences before tails, those that no other beats."""
        run = row_of(self.arrays.run, self.run)
        f = self.loads
        once = labels.paused[at] + f.paused[use] < 2
        at, use = at[once], use[once]
        e, d, l = clocks_joined(f.e[use], f.d[use], f.l[use], 0, labels.e[at], labels.d[at], labels.l[at])
        paused = labels.paused[at] + f.paused[use]
        fine = (l >= run.start) & (d - run.pause * paused <= run.longest)
        at, use, e, d, l, paused = at[fine], use[fine], e[fine], d[fine], l[fine], paused[fine]
        waited = d - labels.d[at] - f.d[use]
        code = labels.code[at]
        if keep_usage:
            parts, late = len(self.arrays.part_wood), f.late[use]
            code = code + coded(f.mask[use] & ~late, f.yard[use], parts) + coded(late, f.second[use], parts)
        grown = Labels(
            labels.mask[at] | f.mask[use],
            f.yard[use],
            labels.cost[at] + reduced[use] + waited * (float(run.wage) + second),
            labels.real[at] + f.road[use] + (f.paid[use] + waited) * run.wage,
            e,
            d,
            l,
            code,
            paused,
            at,
            use,
        )
        return self._undominated(grown, second, keep_usage)

    def _undominated(self, labels: Labels, second: float, keep_usage: bool) -> Labels:
        """Those no other beats. Where the yards are told apart, or have no prices, what a tail really costs
        decides: a quicker one that costs no more is better at any price of a second.
        """
        keys = [labels.mask, labels.yard, labels.paused, *([labels.code] if keep_usage else [])]
        wage = float(self.arrays.run.wage[self.run])
        if self._is_real(keep_usage):
            return labels.at(undominated(keys, labels.real, labels.e, labels.d, labels.l, int(wage)))
        return labels.at(undominated(keys, labels.cost, labels.e, labels.d, labels.l, wage + second))

    def _is_real(self, keep_usage: bool) -> bool:
        return keep_usage or not self.arrays.is_tight

    def _finish(
        self,
        labels: Labels,
        earnings: Earnings,
        below: float,
        generation: int,
        finals: list[Finals],
    ) -> None:
        a, run = self.arrays, row_of(self.arrays.run, self.run)
        meters, seconds = (way[labels.yard] for way in first_legs(a, self.run))
        start = np.full(len(labels), run.start)
        far = np.full(len(labels), np.int64(1) << 40)
        e, d, l = clocks_joined(start, 0, far, seconds, labels.e, labels.d, labels.l)
        added = meters * run.empty_rate + (d - labels.d) * run.wage + run.fixed
        reduced = labels.cost + added + (d - labels.d) * earnings.second - earnings.run
        is_short = d - run.pause * labels.paused <= run.longest
        rows = np.flatnonzero((l >= 0) & is_short & (reduced < below))
        is_shared = bool(run.group >= 0)
        for fine, e_may, l_may in departures(run, labels.paused, e, d, l, rows, is_shared=is_shared):
            finals.append(
                Finals(
                    reduced[fine],
                    labels.real[fine] + added[fine],
                    labels.mask[fine],
                    labels.code[fine],
                    e_may,
                    d[fine],
                    l_may,
                    labels.paused[fine],
                    fine,
                    np.full(len(fine), generation),
                )
            )

    def _runs(
        self,
        generations: list[Labels],
        finals: list[Finals],
        most_runs: int,
        complete: bool,
        keep_usage: bool,
    ) -> Runs:
        """The cheapest of each set of parts and yards; where truck or driver are shared, all that may fit."""
        f = Finals(*(np.concatenate(columns) for columns in zip(*finals, strict=True)))
        if self.arrays.run.group[self.run] >= 0:
            cost = f.cost if self._is_real(keep_usage) else f.reduced
            kept = undominated([f.mask, f.code, f.paused], cost, f.e, f.d, f.l, 0)
        else:
            by = np.lexsort((f.reduced, f.code, f.mask))
            first = np.ones(len(by), bool)
            first[1:] = (np.diff(f.mask[by]) != 0) | (np.diff(f.code[by]) != 0)
            kept = by[first]
        kept = kept[np.argsort(f.reduced[kept], kind="stable")][:most_runs]
        return Runs(
            cost=f.cost[kept],
            reduced=f.reduced[kept],
            tokens=tuple(self._tokens(generations, int(f.generation[k]), int(f.row[k])) for k in kept),
            clock=tuple((int(f.e[k]), int(f.d[k]), int(f.l[k])) for k in kept),
            is_complete=complete,
        )

    def _tokens(self, generations: list[Labels], generation: int, row: int) -> tuple[int, ...]:
        tokens: list[int] = []
        while generation > 0:
            labels = generations[generation]
            tokens += self.loads.tokens(int(labels.load[row]), len(self.arrays.part_wood))
            row = int(labels.parent[row])
            generation -= 1
        return tuple(tokens)


def first_legs(arrays: PlanArrays, run: int) -> tuple[Ints, Ints]:
    """Meters and seconds from a run's home to every yard, empty."""
    table, home = arrays.band_table[run, 0], arrays.run.home[run]
    return arrays.meters[table, home, arrays.yard.loc], arrays.seconds[table, home, arrays.yard.loc]


def coded(mask: Ints, yard: Ints, parts: int) -> Ints:
    """Two bits per part that say which yard it comes from."""
    code = np.zeros(len(mask), np.int64)
    for p in range(min(parts, PROOF.coded_parts)):
        code += (mask >> p & 1) * (yard + 1 << 2 * p)
    return code

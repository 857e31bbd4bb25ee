"""A bound by whole runs: column generation where a run keeps its hours, windows, loads and weights.

Runs are priced one by one in `run_pricing`; all they may do that no run can is serve a far stop again.
Whatever the prices of the parts, their sum less what the best of each run gains at them bounds every
plan from below (Lagrange), so the bound holds at any moment. GLOP looks for good prices, kept near the best
ones yet so that they do not swing (the box step of Marsten, Hogan and Blankenship 1975).

Where the best mix of runs leaves a part of an order out, plans are parted into those that bring it, for which
leaving it out costs as much as the best plan, and those that do not, for which it costs nothing more. The
least of what the branches say bounds them all.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from heapq import heappop, heappush

import numpy as np

from routing.planner.arrays import Floats, Ints, PlanArrays
from routing.planner.compiled import IS_COMPILED
from routing.planner.exact.load_pricing import PartPrices, within_prizes
from routing.planner.exact.master import CENT, Master, tight_rows
from routing.planner.exact.run_pricing import PricedRun, RunPricing, Store
from routing.planner.exact.sharing import SharedHours, shared_hours
from routing.planner.params import BOUND
from routing.planner.tokens import Column


@dataclass(frozen=True, slots=True, order=True)
class _Branch:
    """Plans that bring some orders and leave out others: what none costs less than, and at which prices."""

    value: float
    number: int
    brought: frozenset[int] = field(compare=False)
    left: frozenset[int] = field(compare=False)
    prices: PartPrices = field(compare=False)
    shares: Floats = field(compare=False)  # of each order left out, in the best mix of runs


def run_bound(
    arrays: PlanArrays,
    *,
    runs: Sequence[Column],
    begin: PartPrices,
    upper: int,
    should_stop: Callable[[], bool],
    tell: Callable[[float], None],
    turns: int,
) -> float:
    """Cost units no plan is below, bettered turn by turn until time is up or the prices settle; 0 untried.

    Units
        runs: known ones, the first columns. begin: prices to begin with, those of `load_prices` say; at them
        the bound is not below theirs. tell: hears every better bound.
    """
    cap = int(upper * BOUND.cap / max(1, len(arrays.prize)))
    arrays = arrays._replace(prize=np.minimum(arrays.prize, cap))
    bounding = _Bounding(arrays, runs, begin, upper, should_stop, turns)
    if not bounding.can_price:
        return 0.0
    best = 0.0

    def hear(value: float) -> None:
        nonlocal best
        if value > best:
            best = min(value, float(upper))
            tell(best)

    def hear_last(value: float) -> None:
        hear(min(value, branches[0].value))

    none: frozenset[int] = frozenset()
    prices = bounding.first_prices(begin)
    root = bounding.settled(_Branch(0.0, 0, none, none, prices, np.zeros(len(arrays.prize))), hear)
    branches = [root] if root is not None else []
    while branches and branches[0].value < upper and bounding.turns > 0:
        branch = heappop(branches)
        order = int(np.abs(branch.shares - 0.5).argmin())
        if min(branch.shares[order], 1.0 - branch.shares[order]) < BOUND.least_fraction:
            break
        for is_left in (False, True):
            child = replace(
                branch,
                number=2 * branch.number + 1 + is_left,
                brought=branch.brought | ({order} if not is_left else none),
                left=branch.left | ({order} if is_left else none),
            )
            # of the first one's sibling nothing better is known meanwhile than of their parent
            done = bounding.settled(child, hear_last if is_left else lambda _: None)
            if done is None:
                return best
            heappush(branches, done)
        hear(branches[0].value)
    return best


class _Bounding:
    """Prices of parts and what they say, one branch after the other over the same columns."""

    def __init__(
        self,
        arrays: PlanArrays,
        runs: Sequence[Column],
        begin: PartPrices,
        upper: int,
        should_stop: Callable[[], bool],
        turns: int,
    ) -> None:
        self.arrays, self.upper, self.should_stop, self.turns = arrays, upper, should_stop, turns
        self.shared = shared_hours(arrays)
        driven = np.flatnonzero(arrays.allowed.any(axis=0)).tolist()
        self.pricings = [RunPricing(arrays, s, self.shared, begin) for s in driven]
        self.can_price = IS_COMPILED and arrays.fill_yards <= 2 and all(p.can_price for p in self.pricings)
        self.rooms = np.array([row.room for row in self.shared], float)
        if self.can_price:
            self.store = Store.of(arrays)
            self.master = _BoxedMaster(arrays, runs[-BOUND.first_columns :], self.shared)

    def first_prices(self, begin: PartPrices) -> PartPrices:
        """Wood has a price only where it is short: other yards may be priced together."""
        scarce = np.zeros(self.arrays.stock.shape)
        for y, k in tight_rows(self.arrays):
            scarce[y, k] = 1.0
        seconds = begin.shared if len(begin.shared) else np.zeros(len(self.shared))
        return PartPrices(within_prizes(self.arrays, begin.part), begin.wood * scarce, seconds)

    def settled(self, branch: _Branch, hear: Callable[[float], None]) -> _Branch | None:
        """The branch with the best prices found for it; None when time is up, or loads are too many."""
        arrays = self.arrays
        prize, fixed = arrays.prize.copy(), float(arrays.prize[list(branch.left)].sum())
        prize[list(branch.left)], prize[list(branch.brought)] = 0, self.upper
        arrays = arrays._replace(prize=prize)
        master = self.master
        master.leave_out_for(prize)
        center = asked = replace(branch.prices, part=within_prizes(arrays, branch.prices.part))
        lower, radius, shares = 0.0, BOUND.radius, branch.shares
        while self.turns > 0 and lower + fixed < self.upper:
            self.turns -= 1
            value = float(asked.part.sum() - (asked.wood * arrays.stock).sum())
            value -= float((asked.shared * self.rooms).sum())
            for pricing in self.pricings:
                new, least = pricing.priced(asked, self.store, self.should_stop)
                if self.should_stop() or least == -np.inf:
                    return None
                for run in new:
                    master.add(run)
                value += min(0.0, least) - BOUND.rounding_units
            if value > lower:
                lower, center = value, asked
                hear(max(branch.value, lower + fixed))
                radius *= BOUND.wider
            else:
                radius *= BOUND.narrower
            prices = master.solve(arrays, center, radius)
            if prices is not None and master.value - lower < BOUND.tight_enough * master.value:
                # settled, but for the box
                shares = master.shares
                if radius > BOUND.widest:
                    break
                radius *= BOUND.reopened
                prices = master.solve(arrays, center, radius)
            if prices is None:
                break
            asked = prices
        shares[list(branch.left | branch.brought)] = 0.0
        return replace(branch, value=max(branch.value, lower + fixed), prices=center, shares=shares)


class _BoxedMaster:
    """The master of runs with prices kept near the best ones: a part may be covered at a highest price and
    sold at a lowest.
    """

    def __init__(self, arrays: PlanArrays, runs: Sequence[Column], shared: Sequence[SharedHours]) -> None:
        self.master = master = Master(arrays, [1] * len(arrays.run.home), is_cover=True, shared=shared)
        self.known: set[PricedRun] = set()
        self.value, self.shares = np.inf, np.zeros(len(arrays.prize))
        self.high = [master.variable(0.0, [(row, 1.0)]) for row in master.cover]
        self.low = [master.variable(0.0, [(row, -1.0)]) for row in master.cover]
        for run in runs:
            self.add(PricedRun(run.run, float(run.cost), run.stops, run.clock[1]))

    def add(self, run: PricedRun) -> None:
        """Put a run in unless it is known."""
        if run not in self.known:
            self.known.add(run)
            hours = self.master.hours_of_run(run.run, float(run.seconds))
            self.master.add(run.cost, run.run, run.stops, hours)

    def leave_out_for(self, prize: Ints) -> None:
        """What leaving each order out costs from now on."""
        for variable, cost in zip(self.master.left_out, prize.tolist(), strict=True):
            self.master.objective.SetCoefficient(variable, cost / CENT)

    def solve(self, arrays: PlanArrays, center: PartPrices, radius: float) -> PartPrices | None:
        """The prices near given ones at which the runs at hand balance, or None when GLOP gives up."""
        reach = radius * np.maximum(center.part, center.part.mean()) / CENT
        for high, low, price, far in zip(
            self.high, self.low, (center.part / CENT).tolist(), reach.tolist(), strict=True
        ):
            self.master.objective.SetCoefficient(high, price + far)
            self.master.objective.SetCoefficient(low, min(0.0, far - price))
        duals = self.master.solve()
        if duals is None:
            return None
        self.value, self.shares = duals.value, duals.left_out
        part = within_prizes(arrays, np.maximum(0.0, duals.part))
        return PartPrices(part, np.maximum(0.0, -duals.wood), np.floor(duals.shared))

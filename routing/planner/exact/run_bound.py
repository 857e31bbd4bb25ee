"""A bound by whole runs: column generation where a run keeps its hours, windows, loads and weights.

Runs are priced one by one in `run_pricing`; all they may do that no run can is serve a far stop again.
Whatever the prices of the parts, their sum less what the best of each run gains at them bounds every
plan from below (Lagrange), so the bound holds at any moment. GLOP looks for good prices, kept near the best
ones yet so that they do not swing (the box step of Marsten, Hogan and Blankenship 1975).
"""

from collections.abc import Callable, Sequence

import numpy as np

from routing.planner.arrays import PlanArrays
from routing.planner.compiled import IS_COMPILED
from routing.planner.exact.load_pricing import PartPrices, within_prizes
from routing.planner.exact.master import CENT, Master, tight_rows
from routing.planner.exact.run_pricing import PricedRun, RunPricing, Store
from routing.planner.exact.sharing import SharedHours, shared_hours
from routing.planner.params import BOUND
from routing.planner.tokens import Column


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
    shared = shared_hours(arrays)
    pricings = [
        RunPricing(arrays, s, shared, begin) for s in np.flatnonzero(arrays.allowed.any(axis=0)).tolist()
    ]
    can_price = all(pricing.can_price for pricing in pricings) and IS_COMPILED
    if not can_price or arrays.fill_yards > 2:
        return 0.0
    store = Store.of(arrays)
    master: _BoxedMaster | None = None
    # wood has a price only where it is short: other yards may be priced together
    scarce = np.zeros(arrays.stock.shape)
    for y, k in tight_rows(arrays):
        scarce[y, k] = 1.0
    seconds = begin.shared if len(begin.shared) else np.zeros(len(shared))
    center = asked = PartPrices(within_prizes(arrays, begin.part), begin.wood * scarce, seconds)
    rooms = np.array([row.room for row in shared], float)
    lower, radius = 0.0, BOUND.radius
    for _ in range(turns):
        value = float(asked.part.sum() - (asked.wood * arrays.stock).sum() - (asked.shared * rooms).sum())
        found: list[PricedRun] = []
        for pricing in pricings:
            new, least = pricing.priced(asked, store, should_stop)
            if should_stop() or least == -np.inf:
                return min(lower, float(upper))
            found += new
            value += min(0.0, least) - BOUND.rounding_units
        if value > lower:
            lower, center = value, asked
            tell(min(lower, float(upper)))
            radius *= BOUND.wider
        else:
            radius *= BOUND.narrower
        if master is None:
            master = _BoxedMaster(arrays, runs[-BOUND.first_columns :], shared)
        for run in found:
            master.add(run)
        prices = master.solve(center, radius)
        if prices is not None and master.value - lower < BOUND.tight_enough * master.value:
            # settled, but for the box
            if radius > BOUND.widest:
                break
            radius *= BOUND.reopened
            prices = master.solve(center, radius)
        if prices is None or lower >= upper:
            break
        asked = prices
    return min(lower, float(upper))


class _BoxedMaster:
    """The master of runs with prices kept near the best ones: a part may be covered at a highest price and
    sold at a lowest.
    """

    def __init__(self, arrays: PlanArrays, runs: Sequence[Column], shared: Sequence[SharedHours]) -> None:
        self.arrays = arrays
        self.master = master = Master(arrays, [1] * len(arrays.run.home), is_cover=True, shared=shared)
        self.known: set[PricedRun] = set()
        self.value = np.inf
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

    def solve(self, center: PartPrices, radius: float) -> PartPrices | None:
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
        self.value = duals.value
        part = within_prizes(self.arrays, np.maximum(0.0, duals.part))
        return PartPrices(part, np.maximum(0.0, -duals.wood), np.floor(duals.shared))

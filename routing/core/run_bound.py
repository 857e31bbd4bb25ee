"""A bound by whole runs: column generation where a run keeps its hours, windows, loads and weights.

Runs are priced shift by shift in `shift_runs`; all they may do that no run can is serve a far drop again.
Whatever the prices of the drops, their sum less what the best run of each shift gains at them bounds every
plan from below (Lagrange), so the bound holds at any moment. GLOP looks for good prices, kept near the best
ones yet so that they do not swing (the box step of Marsten, Hogan and Blankenship 1975).
"""

from collections.abc import Callable

import numpy as np

from routing.core.arrays import PlanArrays
from routing.core.bound import TIGHT_ENOUGH, DropPrices, within_prizes
from routing.core.compiled import IS_COMPILED
from routing.core.exact import Column, tight_rows
from routing.core.problem import COST_UNITS_PER_CENT
from routing.core.shift_runs import ROUNDING_UNITS, PricedRun, ShiftRuns
from routing.core.tails import new_store

CENT = float(COST_UNITS_PER_CENT)
CAP = 8.0
RADIUS = 0.03
WIDER = 1.4
NARROWER = 0.5
FIRST_RUNS = 2000
MOST_TAILS = 16_000


def run_bound(
    arrays: PlanArrays,
    *,
    runs: list[Column],
    begin: DropPrices,
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
    cap = int(upper * CAP / max(1, len(arrays.prize)))
    arrays = arrays._replace(prize=np.minimum(arrays.prize, cap))
    shifts = [ShiftRuns(arrays, s) for s in np.flatnonzero(arrays.allowed.any(axis=0)).tolist()]
    if not IS_COMPILED or not all(shift.can_price for shift in shifts):
        return 0.0
    store = new_store(MOST_TAILS, arrays)
    master: _Master | None = None
    # wood has a price only where it is short: other yards may be priced together
    scarce = np.zeros(arrays.stock.shape)
    for y, k in tight_rows(arrays):
        scarce[y, k] = 1.0
    center = asked = DropPrices(within_prizes(arrays, begin.part), begin.wood * scarce)
    lower, radius = 0.0, RADIUS
    for _ in range(turns):
        value = float(asked.part.sum() - (asked.wood * arrays.stock).sum())
        found: list[PricedRun] = []
        for shift in shifts:
            new, least = shift.priced(asked, store, should_stop)
            if should_stop():
                return min(lower, float(upper))
            found += new
            value += min(0.0, least) - ROUNDING_UNITS
        if value > lower:
            lower, center = value, asked
            tell(min(lower, float(upper)))
            radius *= WIDER
        else:
            radius *= NARROWER
        if master is None:
            master = _Master(arrays, runs[-FIRST_RUNS:])
        for run in found:
            master.add(run)
        prices = master.solve(center, radius)
        if prices is None or master.value - lower < TIGHT_ENOUGH * master.value or lower >= upper:
            break
        asked = prices
    return min(lower, float(upper))


class _Master:
    """The runs at hand chosen at the least cost, by GLOP; a run is added when it is found."""

    def __init__(self, arrays: PlanArrays, runs: list[Column]) -> None:
        from ortools.linear_solver import pywraplp

        self.arrays = arrays
        self.solver = solver = pywraplp.Solver.CreateSolver("GLOP")
        self.infinity = infinity = solver.infinity()
        self.cover = [solver.Constraint(1.0, infinity) for _ in range(len(arrays.part))]
        self.count = [solver.Constraint(-infinity, 1.0) for _ in range(len(arrays.shift))]
        self.wood = {
            (y, k): solver.Constraint(-infinity, float(arrays.stock[y, k])) for y, k in tight_rows(arrays)
        }
        self.objective = solver.Objective()
        self.objective.SetMinimization()
        self.known: set[PricedRun] = set()
        self.value = np.inf
        for o, prize in enumerate(arrays.prize.tolist()):
            left_out = solver.NumVar(0.0, infinity, "")
            self.objective.SetCoefficient(left_out, prize / CENT)
            for p in range(arrays.order_first[o], arrays.order_first[o + 1]):
                self.cover[p].SetCoefficient(left_out, 1.0)
        # prices are kept near the best ones: a part may be covered at a highest price, sold at a lowest
        self.high = [solver.NumVar(0.0, infinity, "") for _ in self.cover]
        self.low = [solver.NumVar(0.0, infinity, "") for _ in self.cover]
        for high, low, row in zip(self.high, self.low, self.cover, strict=True):
            row.SetCoefficient(high, 1.0)
            row.SetCoefficient(low, -1.0)
        for run in runs:
            self.add(PricedRun(run.shift, float(run.cost), _loads(run.tokens)))

    def add(self, run: PricedRun) -> None:
        """Put a run in unless it is known."""
        if run in self.known:
            return
        self.known.add(run)
        used = self.solver.NumVar(0.0, self.infinity, "")
        self.objective.SetCoefficient(used, run.cost / CENT)
        self.count[run.shift].SetCoefficient(used, 1.0)
        parts = run.parts
        for part in set(parts):
            self.cover[part].SetCoefficient(used, float(parts.count(part)))
        for (y, k), row in self.wood.items():
            brought = [part for yard, some in run.loads if yard == y for part in some]
            taken = float(self.arrays.part_wood[brought, k].sum())
            if taken:
                row.SetCoefficient(used, taken)

    def solve(self, center: DropPrices, radius: float) -> DropPrices | None:
        """The prices near given ones at which the runs at hand balance, or None when GLOP gives up."""
        reach = radius * np.maximum(center.part, center.part.mean()) / CENT
        for high, low, price, far in zip(
            self.high, self.low, (center.part / CENT).tolist(), reach.tolist(), strict=True
        ):
            self.objective.SetCoefficient(high, price + far)
            self.objective.SetCoefficient(low, min(0.0, far - price))
        if self.solver.Solve() != self.solver.OPTIMAL:
            return None
        self.value = self.objective.Value() * CENT
        wood = np.zeros(self.arrays.stock.shape)
        for (y, k), row in self.wood.items():
            wood[y, k] = max(0.0, -row.dual_value()) * CENT
        part = np.array([max(0.0, row.dual_value()) for row in self.cover]) * CENT
        return DropPrices(within_prizes(self.arrays, part), wood)


def _loads(tokens: tuple[int, ...]) -> tuple[tuple[int, tuple[int, ...]], ...]:
    loads: list[tuple[int, list[int]]] = []
    for token in tokens:
        if token < 0:
            loads.append((-1 - token, []))
        else:
            loads[-1][1].append(token)
    return tuple((yard, tuple(parts)) for yard, parts in loads)

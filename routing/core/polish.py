"""Set-partition polish: of all runs the search has seen, the best plan they can make together.

The linear master first prices the runs; those whose reduced cost is above the gap cannot better the plan, and
CP-SAT chooses among the rest.
"""

import numpy as np

from routing.core.arrays import PlanArrays
from routing.core.exact import Choice, Column, choose, solve_master, usage

MOST_RUNS = 4000
LEAST_GAP_SHARE = 1e-5


def recombined(
    arrays: PlanArrays, runs: list[Column], *, upper: int, seconds: float, effort: float
) -> Choice | None:
    """The best plan of these runs when it is better than `upper` cost units, else None."""
    duals = solve_master(arrays, runs)
    if duals is None:
        return None
    gap = upper - duals.value
    if gap <= LEAST_GAP_SHARE * upper:
        return None
    reduced = np.array([_reduced(arrays, run, duals.part, duals.shift, duals.wood) for run in runs])
    useful = np.flatnonzero(reduced <= gap)
    useful = useful[np.argsort(reduced[useful], kind="stable")][:MOST_RUNS]
    choice = choose(arrays, [runs[row] for row in useful], seconds=seconds, effort=effort, upper=upper)
    return choice if choice is not None and choice.cost < upper else None


def _reduced(arrays: PlanArrays, run: Column, part, shift, wood) -> float:  # type: ignore[no-untyped-def]
    cost = float(run.cost) - float(part[list(run.parts)].sum()) - float(shift[run.shift])
    if arrays.is_tight:
        cost -= float((usage(arrays, run) * wood).sum())
    return cost

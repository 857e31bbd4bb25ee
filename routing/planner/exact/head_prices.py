"""What the head of a run may still gain at most: prices of parts and yards by a small linear program.

Prices v <= 0 of parts are such that no load sequence is cheaper than its parts' prices, with an hour priced
so that the run's length counts. After Baldacci, Christofides and Mingozzi 2008 (bounds from duals).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from routing.planner.arrays import Floats, Ints
from routing.planner.exact.load_sequences import LoadSequences
from routing.planner.problem import COST_UNITS_PER_CENT

CENT = float(COST_UNITS_PER_CENT)


@dataclass(frozen=True, slots=True)
class Prices:
    """Prices of drops (none above 0) and of places, such that no load costs less than its drops' prices
    plus the price of its yard less that of where it ends; way_out: the least way from home into the places.
    """

    part: Floats
    place: Floats  # yards, then home
    way_out: float

    @classmethod
    def none(cls, parts: int, first_legs: Floats) -> "Prices":
        """All free."""
        return cls(np.zeros(parts), np.zeros(len(first_legs) + 1), float(first_legs.min()))

    def of(self, bits: Floats, loads: LoadSequences) -> Floats:
        """The price of each load."""
        return bits @ self.part + self.place[loads.yard] - self.place[loads.after]

    def lowered(self, by: float, used: NDArray[np.bool_]) -> "Prices":
        """All drops cheaper, so that what rounding left over is gone."""
        return Prices(self.part - np.where(used, by, 0.0), self.place, self.way_out)


def packing_prices(bits: Floats, yard: Ints, after: Ints, cost: Floats, first_legs: Floats) -> Prices:
    """The prices of greatest worth for these load sequences, by GLOP."""
    from ortools.linear_solver import pywraplp

    solver = pywraplp.Solver.CreateSolver("GLOP")
    infinity = solver.infinity()
    part = [solver.NumVar(-infinity, 0.0, "") for _ in range(bits.shape[1])]
    place = [solver.NumVar(-1e7, 1e7, "") for _ in first_legs]
    way_out = solver.NumVar(-infinity, infinity, "")
    objective = solver.Objective()
    objective.SetMaximization()
    objective.SetCoefficient(way_out, 1.0)
    for variable in part:
        objective.SetCoefficient(variable, 1.0)
    for y, way in enumerate((first_legs / CENT).tolist()):
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
        return Prices.none(len(part), first_legs)
    prices = np.minimum(0.0, np.array([variable.solution_value() for variable in part])) * CENT
    places = np.append([variable.solution_value() * CENT for variable in place], 0.0)
    return Prices(prices, places, float((first_legs + places[:-1]).min()))

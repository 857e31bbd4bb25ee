"""The one master problem: which columns cover all parts at the least cost, as a linear program and as a
choice.

A column is a run (or, in the bound by loads, a load). Every part is covered or its order left out for its
prize, no run is used twice, no yard gives more than it has. The linear relaxation by GLOP prices parts,
runs and wood for the pricing problems; CP-SAT chooses among whole columns.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from routing.planner.arrays import Floats, Ints, PlanArrays, wood_asked_for
from routing.planner.exact.sharing import HOUR, SharedHours
from routing.planner.params import PROOF
from routing.planner.problem import COST_UNITS_PER_CENT
from routing.planner.tokens import Column

CENT = float(COST_UNITS_PER_CENT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Duals:
    """The master's prices, in cost units: none below 0 for parts of a covering master, none above 0 for runs
    and wood. value: what they are worth together, never above the cost of any plan of the columns at hand.
    """

    value: float
    part: Floats
    count: Floats
    wood: Floats  # yards x woods
    shared: Floats  # of a second, of each row of shared hours, none below 0
    left_out: Floats  # share of each order left out


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Columns chosen and their whole cost, orders left out included; is_best when nothing is cheaper."""

    columns: tuple[Column, ...]
    cost: int
    is_best: bool


class Master:
    """The linear master problem by GLOP; columns may be added between solves.

    counts: how often each run (or class of runs) may be used. With `is_cover` a part may be brought more than
    once, which keeps its price from falling below zero.
    """

    def __init__(
        self,
        arrays: PlanArrays,
        counts: Iterable[int],
        *,
        is_cover: bool,
        shared: Sequence[SharedHours] = (),
    ) -> None:
        from ortools.linear_solver import pywraplp

        self.arrays = arrays
        self.solver = solver = pywraplp.Solver.CreateSolver("GLOP")
        self.infinity = infinity = solver.infinity()
        most = infinity if is_cover else 1.0
        self.cover = [solver.Constraint(1.0, most) for _ in range(len(arrays.part_wood))]
        self.count = [solver.Constraint(-infinity, float(count)) for count in counts]
        self.wood = {
            (y, k): solver.Constraint(-infinity, float(arrays.stock[y, k])) for y, k in tight_rows(arrays)
        }
        self.part_wood: list[list[int]] = arrays.part_wood.tolist()
        self.shared = [(row, solver.Constraint(-infinity, row.room / HOUR)) for row in shared]
        self.objective = solver.Objective()
        self.objective.SetMinimization()
        self.left_out = [self.variable(prize, []) for prize in arrays.prize.tolist()]
        for order, variable in enumerate(self.left_out):
            for row in self.cover[arrays.order_first[order] : arrays.order_first[order + 1]]:
                row.SetCoefficient(variable, 1.0)

    def variable(self, cost: float, rows: Iterable[tuple[object, float]]) -> object:
        """A variable from 0 up with its cost (cost units) and what it takes of constraints."""
        variable = self.solver.NumVar(0.0, self.infinity, "")
        self.objective.SetCoefficient(variable, cost / CENT)
        for row, amount in rows:
            row.SetCoefficient(variable, amount)  # type: ignore[attr-defined]
        return variable

    def add(
        self,
        cost: float,
        count: int | None,
        stops: Sequence[tuple[int, int]],
        rows: Iterable[tuple[object, float]] = (),
    ) -> None:
        """A column: its cost, what it counts against, (part, yard) of its stops (a part may come twice)."""
        parts = [part for part, _ in stops]
        taken = [(self.cover[part], float(parts.count(part))) for part in dict.fromkeys(parts)]
        if count is not None:
            taken.append((self.count[count], 1.0))
        if self.wood:
            for (yard, wood), row in self.wood.items():
                amount = sum(self.part_wood[part][wood] for part, at in stops if at == yard)
                if amount:
                    taken.append((row, float(amount)))
        self.variable(cost, [*taken, *rows])

    def hours_of_run(self, run: int, seconds: float, *, is_whole: bool = True) -> list[tuple[object, float]]:
        """What a run, or a load of it, takes of shared hours."""
        return [
            (row, (seconds + hours.of(run, 0) * is_whole) / HOUR)
            for hours, row in self.shared
            if run in hours.runs
        ]

    def solve(self) -> Duals | None:
        """The prices of the best mix of the columns at hand, or None when GLOP gives up."""
        if self.solver.Solve() != self.solver.OPTIMAL:
            return None
        wood = np.zeros(self.arrays.stock.shape)
        for at, row in self.wood.items():
            wood[at] = min(0.0, row.dual_value()) * CENT
        part = self.dual(self.cover)
        return Duals(
            value=self.objective.Value() * CENT,
            part=part,
            count=np.minimum(0.0, self.dual(self.count)),
            wood=wood,
            shared=np.maximum(0.0, -self.dual(row for _, row in self.shared)) / HOUR,
            left_out=np.array([variable.solution_value() for variable in self.left_out]),  # type: ignore[attr-defined]
        )

    def dual(self, rows: Iterable[object]) -> Floats:
        """Prices of constraints in cost units."""
        return np.array([row.dual_value() for row in rows], np.float64) * CENT  # type: ignore[attr-defined]


def solve_master(
    arrays: PlanArrays, columns: Iterable[Column], shared: Sequence[SharedHours] = ()
) -> Duals | None:
    """The prices at which these runs balance, every part brought just once."""
    master = Master(arrays, [1] * len(arrays.run.home), is_cover=False, shared=shared)
    for column in columns:
        rows = master.hours_of_run(column.run, float(column.clock[1]))
        master.add(float(column.cost), column.run, column.stops, rows)
    duals = master.solve()
    if duals is None:
        return None
    part = _within_prizes(arrays, duals.part)
    # the dual objective itself, so that rounding in the solver can never lift the bound
    rooms = np.array([row.room for row in shared], float)
    value = part.sum() + duals.count.sum() + (duals.wood * arrays.stock).sum() - (duals.shared * rooms).sum()
    return replace(duals, value=float(value), part=part)


def _within_prizes(arrays: PlanArrays, part: Floats) -> Floats:
    """Prices made to keep the left-out columns' rows exactly: those of an order never exceed its prize."""
    size = np.diff(arrays.order_first)
    over = np.maximum(0.0, np.add.reduceat(part, arrays.order_first[:-1]) - arrays.prize)
    return part - np.repeat(over / size, size)


def tight_rows(arrays: PlanArrays) -> list[tuple[int, int]]:
    """Yards and woods that cannot give all that is asked of the wood."""
    if not arrays.is_tight:
        return []
    wanted = wood_asked_for(arrays.part_wood, arrays.part.yards, len(arrays.stock))
    return [(int(y), int(k)) for y, k in zip(*np.nonzero(arrays.stock < wanted), strict=True)]


def wood_taken(arrays: PlanArrays, stops: Iterable[tuple[int, int]]) -> Ints:
    """Wood the stops take from each yard, Y x K."""
    taken = np.zeros(arrays.stock.shape, np.int64)
    for part, yard in stops:
        taken[yard] += arrays.part_wood[part]
    return taken


def recombined(
    arrays: PlanArrays, runs: Sequence[Column], *, upper: int, seconds: float, effort: float
) -> Choice | None:
    """The best plan of these runs when it is better than `upper` cost units, else None.

    Runs whose reduced cost is above the gap cannot better the plan and are not offered to CP-SAT.
    """
    duals = solve_master(arrays, runs)
    if duals is None or upper - duals.value <= PROOF.least_gap * upper:
        return None
    reduced = np.array([_reduced(arrays, run, duals) for run in runs])
    useful = np.flatnonzero(reduced <= upper - duals.value)
    useful = useful[np.argsort(reduced[useful], kind="stable")][: PROOF.most_recombined]
    choice = choose(arrays, [runs[int(row)] for row in useful], seconds=seconds, effort=effort, upper=upper)
    return choice if choice is not None and choice.cost < upper else None


def _reduced(arrays: PlanArrays, run: Column, duals: Duals) -> float:
    cost = float(run.cost) - float(duals.part[list(run.parts)].sum()) - float(duals.count[run.run])
    if arrays.is_tight:
        cost -= float((wood_taken(arrays, run.stops) * duals.wood).sum())
    return cost


def choose(
    arrays: PlanArrays,
    columns: Sequence[Column],
    *,
    seconds: float,
    effort: float = 1e9,
    upper: int | None = None,
) -> Choice | None:
    """The cheapest choice of runs by CP-SAT, in whole cost units; None when it found none in time.

    The model is written straight into CP-SAT's own form: the comfortable front of it imports pandas, which
    takes longer than most of our models do.
    """
    from ortools.sat.python import cp_model_helper as sat

    model = sat.CpModelProto()
    orders = len(arrays.prize)
    numbers = range(orders + len(columns))
    for _ in numbers:
        model.variables.add().domain.extend([0, 1])
    costs = [*arrays.prize.tolist(), *(column.cost for column in columns)]
    _cover(model, arrays, columns)
    for group in arrays.mates:
        _take_turns(model, arrays, columns, [int(s) for s in group if s >= 0])
    _limit_crews(model, arrays, columns)
    if upper is not None:
        _at_most(model, list(zip(numbers, costs, strict=True)), upper)
    model.objective.vars.extend(numbers)
    model.objective.coeffs.extend(costs)
    parameters = sat.SatParameters()
    parameters.max_time_in_seconds = seconds
    parameters.max_deterministic_time = effort
    parameters.num_workers = 1
    parameters.random_seed = 1
    solver = sat.SolveWrapper()
    solver.set_parameters(parameters)
    answer = solver.solve(model)
    if answer.status not in (sat.CpSolverStatus.OPTIMAL, sat.CpSolverStatus.FEASIBLE):
        return None
    chosen = tuple(column for number, column in enumerate(columns, start=orders) if answer.solution[number])
    left = sum(int(prize) for prize, is_out in zip(arrays.prize, answer.solution, strict=False) if is_out)
    return Choice(
        columns=chosen,
        cost=sum(column.cost for column in chosen) + left,
        is_best=answer.status == sat.CpSolverStatus.OPTIMAL,
    )


def _cover(model, arrays: PlanArrays, columns: Sequence[Column]) -> None:  # type: ignore[no-untyped-def]
    """Every part once or its order left out, every run once, no yard giving more than it has."""
    parts: list[list[int]] = [[] for _ in arrays.part_wood]
    runs: list[list[int]] = [[] for _ in arrays.run.home]
    wood: dict[tuple[int, int], list[tuple[int, int]]] = {row: [] for row in tight_rows(arrays)}
    for order in range(len(arrays.prize)):
        for part in range(arrays.order_first[order], arrays.order_first[order + 1]):
            parts[part].append(order)
    for number, column in enumerate(columns, start=len(arrays.prize)):
        runs[column.run].append(number)
        for part in column.parts:
            parts[part].append(number)
        if wood:
            taken = wood_taken(arrays, column.stops)
            for at, pairs in wood.items():
                if taken[at]:
                    pairs.append((number, int(taken[at])))
    for row in parts:
        model.constraints.add().exactly_one.literals.extend(row)
    for row in runs:
        if len(row) > 1:
            model.constraints.add().at_most_one.literals.extend(row)
    for at, pairs in wood.items():
        _at_most(model, pairs, int(arrays.stock[at]))


def _take_turns(  # type: ignore[no-untyped-def]
    model, arrays: PlanArrays, columns: Sequence[Column], group: Sequence[int]
) -> None:
    """Of runs that share a truck or a driver none leaves before the other is back and the trailer changed."""
    orders = len(arrays.prize)
    of_run = {
        s: [(number, column) for number, column in enumerate(columns, start=orders) if column.run == s]
        for s in group
    }
    leaves = {}
    for s in group:
        start, end = int(arrays.run.start[s]), int(arrays.run.end[s])
        leaves[s] = len(model.variables)
        model.variables.add().domain.extend([start, max(start, end)])
        _linear(model, [(leaves[s], 1), *((n, start - c.clock[0]) for n, c in of_run[s])], start, None)
        _linear(model, [(leaves[s], 1), *((n, end - c.clock[2]) for n, c in of_run[s])], None, end)
    for s, t in combinations(group, 2):
        if arrays.hitch[s, t] < 0 or not of_run[s] or not of_run[t]:
            continue
        turns = []
        for first, second in ((s, t), (t, s)):
            is_first = len(model.variables)
            model.variables.add().domain.extend([0, 1])
            away = [(n, -c.clock[1]) for n, c in of_run[first]]
            gap = int(arrays.hitch[first, second])
            _linear(model, [(leaves[second], 1), (leaves[first], -1), *away], gap, None, when=is_first)
            turns.append((is_first, 1))
        used = [(n, -1) for n, _ in (*of_run[s], *of_run[t])]
        _linear(model, [*turns, *used], -1, None)


def _limit_crews(model, arrays: PlanArrays, columns: Sequence[Column]) -> None:  # type: ignore[no-untyped-def]
    """No crew handles more in a day than it can, no driver is out for longer than may be."""
    for s in range(len(arrays.run.home)):
        beside = (arrays.hitch[s] >= 0) & (arrays.run.driver == arrays.run.driver[s])
        together = {s, *np.flatnonzero(beside).tolist()}
        driven = [
            (number, column)
            for number, column in enumerate(columns, start=len(arrays.prize))
            if column.run in together
        ]
        if len(together) > 1:
            seconds = [(number, column.clock[1]) for number, column in driven]
            _at_most(model, seconds, int(arrays.run.driver_longest[s]))
        if arrays.run.most_quantity[s] >= 0:
            wood = [(n, int(arrays.part.quantity[list(column.parts)].sum())) for n, column in driven]
            _at_most(model, wood, int(arrays.run.most_quantity[s]))


def _linear(  # type: ignore[no-untyped-def]
    model, pairs: Sequence[tuple[int, int]], low: int | None, high: int | None, when: int | None = None
) -> None:
    """A sum of whole numbers kept between limits, always or when a variable is 1."""
    constraint = model.constraints.add()
    if when is not None:
        constraint.enforcement_literal.append(when)
    constraint.linear.vars.extend([number for number, _ in pairs])
    constraint.linear.coeffs.extend([amount for _, amount in pairs])
    wide = 1 << 50
    constraint.linear.domain.extend([-wide if low is None else low, wide if high is None else high])


def _at_most(model, pairs: list[tuple[int, int]], limit: int) -> None:  # type: ignore[no-untyped-def]
    """A sum of whole numbers kept at or under a limit."""
    if pairs:
        _linear(model, pairs, 0, limit)

"""Proof for ordinary days: column generation, then every run that could still matter, then CP-SAT.

The master problem chooses at most one run per shift so that each part is brought or its order left out. Its
linear relaxation, priced exactly by `labels`, bounds every plan from below; every run of a cheaper plan has a
reduced cost under the gap (Baldacci, Christofides and Mingozzi 2008), so when all such runs are at hand and
CP-SAT chooses the best of them in whole cost units, the plan is proven best.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from routing.core.arrays import Ints, PlanArrays
from routing.core.fillings import TooMany
from routing.core.labels import (
    MOST_CODED_PARTS,
    MOST_CODED_YARDS,
    MOST_PARTS,
    Earnings,
    RunFinder,
    Runs,
)
from routing.core.problem import COST_UNITS_PER_CENT

CENT = float(COST_UNITS_PER_CENT)
SLACK_UNITS = 2000.0
MOST_PROVEN = 40
CLOSE_ENOUGH = 1e-6
RUNS_PER_TURN = 150
FEW = 10
FIRST_CAP = 4.0
CAP_STEP = 3
CAPPED_SHARE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One run of one shift."""

    shift: int
    cost: int
    tokens: tuple[int, ...]

    @property
    def parts(self) -> tuple[int, ...]:
        """The parts it brings."""
        return tuple(token for token in self.tokens if token >= 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Columns chosen and their whole cost, orders left out included; is_best when nothing is cheaper."""

    columns: tuple[Column, ...]
    cost: int
    is_best: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Duals:
    """The master's value and prices, in cost units."""

    value: float
    part: "np.ndarray"  # type: ignore[type-arg]
    shift: "np.ndarray"  # type: ignore[type-arg]
    wood: "np.ndarray"  # type: ignore[type-arg]
    left_out: "np.ndarray"  # type: ignore[type-arg]  # share of each order left out


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """What exact solving found: a bound in cost units, and the best choice where it is proven."""

    lower: float
    choice: Choice | None


@dataclass(slots=True, kw_only=True)
class Limits:
    """How much work may be spent."""

    fillings: int = 150_000
    labels: int = 300_000
    may_enumerate: bool = True
    quick_labels: int = 2_000
    runs: int = 60_000
    turns: int = 60
    solver_seconds: Callable[[], float] = field(default=lambda: 30.0)
    solver_effort: float = 1e9
    should_stop: Callable[[], bool] = field(default=lambda: False)


def can_prove(arrays: PlanArrays) -> bool:
    """Whether the problem is small enough to try: parts are kept as bits of one whole number."""
    if arrays.is_tight:
        return len(arrays.part) <= MOST_CODED_PARTS and len(arrays.yard) <= MOST_CODED_YARDS
    return len(arrays.part) <= MOST_PROVEN


def can_price(arrays: PlanArrays) -> bool:
    """Whether whole runs can be priced for a bound."""
    return len(arrays.part) <= MOST_PARTS


def prove(
    arrays: PlanArrays,
    *,
    seeds: list[Column],
    upper: int,
    limits: Limits,
    tell_bound: Callable[[float], None] | None = None,
) -> Proof:
    """A lower bound and, when the work fits the limits, the proven best choice of runs.

    Units
        upper: cost units of the best plan known. seeds: runs known, the best plan's among them.
    """
    # an order dearer to leave out than the whole plan known is never left out by a cheaper one
    arrays = arrays._replace(prize=np.minimum(arrays.prize, upper))
    shifts = arrays.allowed.shape[1]
    columns = {_key(c): c for c in seeds}
    # dear orders begin cheaper, which steadies the prices and only lowers the bound; raised where it shows
    caps = np.minimum(arrays.prize, int(upper * FIRST_CAP / max(1, len(arrays.prize))))
    lower = 0.0
    duals = None
    try:
        finders = [RunFinder(arrays, s, limits.fillings, limits.should_stop) for s in range(shifts)]
        labels = limits.quick_labels
        for _ in range(limits.turns):
            duals = solve_master(arrays._replace(prize=caps), list(columns.values()))
            if duals is None:
                return Proof(lower=lower, choice=None)
            found, least, complete = 0, 0.0, True
            for s, finder in enumerate(finders):
                if limits.should_stop():
                    return Proof(lower=lower, choice=None)
                runs = finder.find(
                    _earnings(duals, s), below=-SLACK_UNITS, most_labels=labels, most_runs=RUNS_PER_TURN
                )
                found += _add(columns, s, runs)
                complete = complete and runs.is_complete
                least += float(runs.reduced[0]) if len(runs.reduced) else -SLACK_UNITS
            if complete and duals.value + least > lower:
                lower = duals.value + least
                if tell_bound is not None:
                    tell_bound(lower)
            capped = (duals.left_out > CAPPED_SHARE) & (caps < arrays.prize)
            if capped.any() and found < FEW:
                caps = np.where(capped, np.minimum(arrays.prize, caps * CAP_STEP), caps)
                continue
            if complete and (not found or upper - lower < CLOSE_ENOUGH * upper):
                break
            if found < FEW and not complete:
                labels *= 8
                if labels > limits.labels:
                    return Proof(lower=lower, choice=None)
        else:
            return Proof(lower=lower, choice=None)
        if duals is None or not limits.may_enumerate:
            return Proof(lower=lower, choice=None)
        return _enumerate(
            arrays,
            finders=finders,
            columns=columns,
            upper=upper,
            lower=lower,
            duals=duals,
            least=least,
            limits=limits,
        )
    except TooMany:
        return Proof(lower=lower, choice=None)


def _enumerate(
    arrays: PlanArrays,
    *,
    finders: list[RunFinder],
    columns: dict[object, Column],
    upper: int,
    lower: float,
    duals: Duals,
    least: float,
    limits: Limits,
) -> Proof:
    """All runs that a cheaper plan could use, and the best choice of them.

    A plan's cost is at least the master's value plus the reduced costs of its runs, each at least its
    shift's least one: so a run of a plan cheaper than `upper` has one under upper - value - least.
    """
    below = upper - duals.value - min(0.0, least) + SLACK_UNITS
    known = dict(columns)
    total = 0
    for s, finder in enumerate(finders):
        if limits.should_stop():
            return Proof(lower=lower, choice=None)
        runs = finder.find(
            _earnings(duals, s),
            below=below,
            most_labels=limits.labels,
            most_runs=limits.runs + 1,
            keep_usage=bool(arrays.is_tight),
        )
        total += len(runs.cost)
        if total > limits.runs or not runs.is_complete:
            return Proof(lower=lower, choice=None)
        _add(known, s, runs)
    choice = choose(
        arrays,
        list(known.values()),
        seconds=limits.solver_seconds(),
        effort=limits.solver_effort,
        upper=upper,
    )
    if choice is None or not choice.is_best:
        return Proof(lower=lower, choice=choice)
    return Proof(lower=float(min(choice.cost, upper)), choice=choice)


def _key(column: Column) -> object:
    return column.shift, _yards_of(column)


def _add(columns: dict[object, Column], shift: int, runs: Runs) -> int:
    """Put new runs in; returns how many were new or cheaper."""
    added = 0
    for cost, tokens in zip(runs.cost.tolist(), runs.tokens, strict=True):
        column = Column(shift=shift, cost=int(cost), tokens=tokens)
        old = columns.get(_key(column))
        if old is None or cost < old.cost:
            columns[_key(column)] = column
            added += 1
    return added


def _yards_of(column: Column) -> tuple[tuple[int, int], ...]:
    """Which yard each part comes from."""
    found, yard = [], 0
    for token in column.tokens:
        if token < 0:
            yard = -1 - token
        else:
            found.append((token, yard))
    return tuple(sorted(found))


def _earnings(duals: Duals, shift: int) -> Earnings:
    return Earnings(part=duals.part, shift=float(duals.shift[shift]), wood=duals.wood)


def usage(arrays: PlanArrays, column: Column) -> Ints:
    """Wood a run takes from each yard, Y x K."""
    taken = np.zeros(arrays.stock.shape, np.int64)
    for part, yard in _yards_of(column):
        taken[yard] += arrays.part_wood[part]
    return taken


def solve_master(arrays: PlanArrays, columns: list[Column]) -> Duals | None:
    """The linear master problem by GLOP, or None when it gives up."""
    from ortools.linear_solver import pywraplp

    solver = pywraplp.Solver.CreateSolver("GLOP")
    infinity = solver.infinity()
    part_rows = [solver.Constraint(1.0, 1.0) for _ in range(len(arrays.part))]
    shift_rows = [solver.Constraint(-infinity, 1.0) for _ in range(arrays.allowed.shape[1])]
    tight = tight_rows(arrays)
    wood_rows = {(y, k): solver.Constraint(-infinity, float(arrays.stock[y, k])) for y, k in tight}
    objective = solver.Objective()
    objective.SetMinimization()
    left_out = [solver.NumVar(0.0, infinity, "") for _ in arrays.prize]
    for o, variable in enumerate(left_out):
        objective.SetCoefficient(variable, float(arrays.prize[o]) / CENT)
        for p in range(arrays.order_first[o], arrays.order_first[o + 1]):
            part_rows[p].SetCoefficient(variable, 1.0)
    for column in columns:
        used = solver.NumVar(0.0, infinity, "")
        objective.SetCoefficient(used, column.cost / CENT)
        for part in column.parts:
            part_rows[part].SetCoefficient(used, 1.0)
        shift_rows[column.shift].SetCoefficient(used, 1.0)
        if tight:
            taken = usage(arrays, column)
            for y, k in tight:
                if taken[y, k]:
                    wood_rows[y, k].SetCoefficient(used, float(taken[y, k]))
    if solver.Solve() != pywraplp.Solver.OPTIMAL:
        return None
    wood = np.zeros(arrays.stock.shape)
    for (y, k), row in wood_rows.items():
        wood[y, k] = min(0.0, row.dual_value()) * CENT
    prices = _within_prizes(arrays, np.array([row.dual_value() for row in part_rows]) * CENT)
    shift = np.minimum(0.0, np.array([row.dual_value() for row in shift_rows])) * CENT
    # the dual objective itself, so that rounding in the solver can never lift the bound
    value = float(prices.sum() + shift.sum() + sum(wood[y, k] * arrays.stock[y, k] for y, k in tight))
    shares = np.array([variable.solution_value() for variable in left_out])
    return Duals(value=value, part=prices, shift=shift, wood=wood, left_out=shares)


def _within_prizes(arrays: PlanArrays, part: "np.ndarray") -> "np.ndarray":  # type: ignore[type-arg]
    """Prices made to keep the left-out columns' rows exactly: those of an order never exceed its prize."""
    part = part.copy()
    for o in range(len(arrays.prize)):
        rows = slice(arrays.order_first[o], arrays.order_first[o + 1])
        over = part[rows].sum() - arrays.prize[o]
        if over > 0:
            part[rows] -= over / (rows.stop - rows.start)
    return part


def tight_rows(arrays: PlanArrays) -> list[tuple[int, int]]:
    """Yards and woods that cannot give all that is asked of the wood."""
    if not arrays.is_tight:
        return []
    wanted = arrays.part_wood.sum(axis=0)
    return [(int(y), int(k)) for y, k in zip(*np.nonzero(arrays.stock < wanted[None, :]), strict=True)]


def choose(
    arrays: PlanArrays,
    columns: list[Column],
    *,
    seconds: float,
    effort: float = 1e9,
    upper: int | None = None,
    workers: int = 1,
) -> Choice | None:
    """The cheapest choice of runs by CP-SAT, in whole cost units; None when it found none in time.

    The model is written straight into CP-SAT's own form: the comfortable front of it imports pandas, which
    takes longer than most of our models do.
    """
    from ortools.sat.python import cp_model_helper as sat

    model = sat.CpModelProto()
    orders, parts = len(arrays.prize), len(arrays.part)
    for _ in range(orders + len(columns)):
        model.variables.add().domain.extend([0, 1])
    rows: list[list[int]] = [[] for _ in range(parts)]
    of_shift: list[list[int]] = [[] for _ in range(arrays.allowed.shape[1])]
    tight = tight_rows(arrays)
    wood: dict[tuple[int, int], list[tuple[int, int]]] = {row: [] for row in tight}
    for o in range(orders):
        for p in range(arrays.order_first[o], arrays.order_first[o + 1]):
            rows[p].append(o)
    for number, column in enumerate(columns, start=orders):
        of_shift[column.shift].append(number)
        for part in column.parts:
            rows[part].append(number)
        if tight:
            taken = usage(arrays, column)
            for y, k in tight:
                if taken[y, k]:
                    wood[y, k].append((number, int(taken[y, k])))
    for row in rows:
        model.constraints.add().exactly_one.literals.extend(row)
    for row in of_shift:
        if len(row) > 1:
            model.constraints.add().at_most_one.literals.extend(row)
    numbers = list(range(orders + len(columns)))
    costs = [int(prize) for prize in arrays.prize] + [column.cost for column in columns]
    for (y, k), pairs in wood.items():
        _at_most(model, pairs, int(arrays.stock[y, k]))
    if upper is not None:
        _at_most(model, list(zip(numbers, costs, strict=True)), upper)
    model.objective.vars.extend(numbers)
    model.objective.coeffs.extend(costs)
    parameters = sat.SatParameters()
    parameters.max_time_in_seconds = seconds
    parameters.max_deterministic_time = effort
    parameters.num_workers = workers
    parameters.random_seed = 1
    solver = sat.SolveWrapper()
    solver.set_parameters(parameters)
    answer = solver.solve(model)
    if answer.status not in (sat.CpSolverStatus.OPTIMAL, sat.CpSolverStatus.FEASIBLE):
        return None
    chosen = tuple(column for number, column in enumerate(columns, start=orders) if answer.solution[number])
    return Choice(
        columns=chosen,
        cost=_whole_cost(arrays, chosen),
        is_best=answer.status == sat.CpSolverStatus.OPTIMAL,
    )


def _at_most(model, pairs: list[tuple[int, int]], limit: int) -> None:  # type: ignore[no-untyped-def]
    """A sum of whole numbers kept at or under a limit."""
    if not pairs:
        return
    linear = model.constraints.add().linear
    linear.vars.extend([number for number, _ in pairs])
    linear.coeffs.extend([amount for _, amount in pairs])
    linear.domain.extend([0, limit])


def _whole_cost(arrays: PlanArrays, chosen: tuple[Column, ...]) -> int:
    brought = {part for column in chosen for part in column.parts}
    left = [o for o in range(len(arrays.prize)) if int(arrays.order_first[o]) not in brought]
    return sum(column.cost for column in chosen) + int(sum(arrays.prize[o] for o in left))

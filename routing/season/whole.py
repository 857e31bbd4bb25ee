"""What has to be whole, chosen by CP-SAT: a treatment for each lot, and this week's trips to the far towns.

Benders decomposition: CP-SAT chooses among the whole things, GLOP plans all the rest around its choice, and
the reduced costs of what was chosen bound what any other choice could bring. So each choice tried narrows
the next, until none left can be better.

Source
    Benders 1962, Numerische Mathematik 4: 238-252; for scenarios: Van Slyke and Wets 1969, SIAM Journal on
    Applied Mathematics 17(4): 638-663. Cited from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor
from typing import TYPE_CHECKING, Any

from routing.season.problem import SeasonNotSolved

if TYPE_CHECKING:
    from routing.season.model import Program

MOST_TRIES = 30
NEAR_BOUND = 0.0005  # of the season's net: no better choice is looked for
LEAST_GAIN = 0.25  # dollars
CENTS = 100
MOST_CENTS = 10**11


@dataclass(frozen=True, slots=True)
class _Cut:
    """No choice x brings more than `at` + sum of slopes times x, dollars."""

    at: float
    slopes: tuple[float, ...]


def choose_whole(program: Program, *, held: set[str]) -> float:
    """Fix the lots not held and this week's trips at the best whole choice found, and solve the rest.

    Returns the most that any whole choice could bring, dollars.

    Errors
        SeasonNotSolved: no whole choice tried keeps all rows.
    """
    groups = [
        [program.choice[lot.key, choice.key] for choice in lot.choices]
        for lot in program.season.lots
        if len(lot.choices) > 1 and lot.key not in held
    ]
    trips = [column for column in program.trips_now.values() if column.ub() >= 1]
    bound = program.solve()
    if not groups and not trips:
        return bound
    columns = [*(column for group in groups for column in group), *trips]
    cuts = [_cut(program, columns, bound)]
    best, chosen = float("-inf"), [0] * len(columns)
    ruled_out: list[list[int]] = []
    tries = _rounded(groups, trips)
    most = [round(column.ub()) for column in columns]
    for _ in range(MOST_TRIES):
        net = _net(program, columns, tries)
        if net is None:
            ruled_out.append(tries)
        else:
            cuts.append(_cut(program, columns, net))
            if net > best:
                best, chosen = net, tries
        found = _master([len(group) for group in groups], most, cuts, ruled_out)
        if found is None:
            break
        bound, tries = min(bound, found[0]), found[1]
        if bound - best <= max(LEAST_GAIN, NEAR_BOUND * abs(best)):
            break
    if _net(program, columns, chosen) is None:
        raise SeasonNotSolved
    return max(bound, best)


def _rounded(groups: list[list[Any]], trips: list[Any]) -> list[int]:
    """The whole choice nearest to the relaxation."""
    found = []
    for group in groups:
        values = [column.solution_value() for column in group]
        found += [int(i == values.index(max(values))) for i in range(len(values))]
    return [*found, *(floor(column.solution_value() + 0.5) for column in trips)]


def _net(program: Program, columns: list[Any], chosen: list[int]) -> float | None:
    """The objective with so much of each column, all else planned; None where that can't be."""
    for column, value in zip(columns, chosen, strict=True):
        column.SetBounds(float(value), float(value))
    try:
        return program.solve()
    except SeasonNotSolved:
        return None


def _cut(program: Program, columns: list[Any], net: float) -> _Cut:
    """By duality the program's value is concave in what is held: a plane through it bounds it everywhere."""
    slopes = tuple(float(column.reduced_cost()) for column in columns)
    here = sum(slope * column.solution_value() for slope, column in zip(slopes, columns, strict=True))
    return _Cut(at=net - here, slopes=slopes)


def _master(
    groups: list[int], most: list[int], cuts: list[_Cut], ruled_out: list[list[int]]
) -> tuple[float, list[int]] | None:
    """The most the cuts allow, dollars, and the whole choice that would bring it; None = none is left."""
    from ortools.sat.python import cp_model_helper as sat

    model = sat.CpModelProto()
    for high in most:
        model.variables.add().domain.extend([0, high])
    net = len(most)
    model.variables.add().domain.extend([-MOST_CENTS, MOST_CENTS])
    first = 0
    for size in groups:
        model.constraints.add().exactly_one.literals.extend(range(first, first + size))
        first += size
    for cut in cuts:  # net - slopes x <= at, in cents, rounded so that nothing possible is cut off
        row = model.constraints.add().linear
        row.vars.extend([*range(len(most)), net])
        row.coeffs.extend([*(-ceil(slope * CENTS) for slope in cut.slopes), 1])
        row.domain.extend([-4 * MOST_CENTS, ceil(cut.at * CENTS)])
    for tried in ruled_out:
        ones = [number for number in range(first) if tried[number]]
        row = model.constraints.add().linear
        row.vars.extend(ones)
        row.coeffs.extend([1] * len(ones))
        row.domain.extend([0, len(ones) - 1])
    model.objective.vars.append(net)
    model.objective.coeffs.append(-1)
    found = best_whole(model)
    return None if found is None else (found[net] / CENTS, found[:net])


def best_whole(model: Any) -> list[int] | None:
    """The best whole numbers of a CP-SAT model, in their order; None where there are none. Equal models give
    equal numbers."""
    from ortools.sat.python import cp_model_helper as sat

    parameters = sat.SatParameters()
    parameters.num_workers = 1
    parameters.random_seed = 1
    solver = sat.SolveWrapper()
    solver.set_parameters(parameters)
    answer = solver.solve(model)
    return [int(value) for value in answer.solution] if answer.status == sat.CpSolverStatus.OPTIMAL else None

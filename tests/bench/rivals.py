"""General solvers on the same instances, each followed by the same repair.

Neither knows loading time by quantity, yards that lack a wood, or orders that come whole or not at all; they
get the nearest thing (loading counted at the drop, any yard, parts by themselves). The repair then puts
their loads on yards that hold the wood with true loading times, drops what does not fit, and puts left-out
orders in where that pays. PyVRP runs when it is installed (the extra `bench`), OR-Tools' library always.
"""

import json
from importlib.util import find_spec
from typing import Any

import numpy as np

from routing.planner.arrays import Laid, PlanArrays, row_of
from routing.planner.clock import timed
from routing.planner.lay_out import lay_out
from routing.planner.plan_format import problem_from
from routing.planner.referee import check_plan
from routing.planner.search.annealing import Annealing
from routing.planner.search.ruin_and_recreate import set_runs
from tests.bench.planning import FOLDER

SCALE = 3600  # cost units to thousandths of a cent
NEVER = 10**9
# of each shift, its trips: yard and parts
type Trips = list[list[tuple[int, list[int]]]]


def installed() -> list[str]:
    """The rivals at hand."""
    return [*(["pyvrp"] if find_spec("pyvrp") else []), "ortools"]


def rival_cost(rival: str, name: str, *, seconds: float, seed: int) -> dict[str, Any]:
    """What a rival reaches on an instance, after repair."""
    problem = problem_from(json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8")))
    laid = lay_out(problem)
    trips = (_pyvrp if rival == "pyvrp" else _ortools)(laid.arrays, seconds, seed)
    plan = timed(problem, repaired(laid, trips).best_sketch())
    verdict = check_plan(problem, plan)
    if not verdict.ok:
        raise SystemExit(f"{rival} on {name}: {verdict.faults}")
    return {"cost": verdict.cost_c}


def repaired(laid: Laid, trips: Trips) -> Annealing:
    """The trips made to keep every rule, and left-out orders put in where that pays."""
    arrays = laid.arrays
    search = Annealing(laid, seed=0, pool_rows=1)
    tokens = np.zeros_like(search.state.best_tokens)
    length = np.zeros_like(search.state.run.best_length)
    for s, row in enumerate(trips):
        for yard, parts in row:
            _append(arrays, search, tokens, length, s, yard, list(parts))
    _drop_orphans(arrays, tokens, length)
    search.begin_from(tokens, length)
    return search


def _append(
    arrays: PlanArrays,
    search: Annealing,
    tokens: np.ndarray,
    length: np.ndarray,
    s: int,
    yard: int,
    parts: list[int],
) -> None:
    """Put a trip at the end of a run, from the first yard it fits, losing last drops until it does."""
    begin = int(length[s])
    yards = [yard, *(y for y in range(len(arrays.yard.loc)) if y != yard)]
    while parts:
        for y in yards:
            row = [-1 - y, *(part + y * len(arrays.part_wood) for part in parts)]
            tokens[s, begin : begin + len(row)] = row
            length[s] = begin + len(row)
            if _fits(arrays, search, tokens, length, s, parts):
                return
        parts.pop()
    length[s] = begin


def _fits(
    arrays: PlanArrays, search: Annealing, tokens: np.ndarray, length: np.ndarray, s: int, parts: list[int]
) -> bool:
    return bool(
        arrays.allowed[parts, s].all()
        and arrays.part.ft3[parts].sum() <= arrays.run.ft3[s]
        and arrays.part.lb[parts].sum() <= arrays.run.lb[s]
        and set_runs(arrays, search.state, tokens, length)
        and (search.state.taken <= arrays.stock).all()
    )


def _drop_orphans(arrays: PlanArrays, tokens: np.ndarray, length: np.ndarray) -> None:
    """Take out the parts of orders that are not brought whole."""
    parts = len(arrays.part_wood)
    there = {int(t) % parts for s in range(len(length)) for t in tokens[s, : length[s]] if t >= 0}
    whole = {
        o
        for o in range(len(arrays.prize))
        if all(p in there for p in range(arrays.order_first[o], arrays.order_first[o + 1]))
    }
    for s in range(len(length)):
        kept: list[int] = []
        for token in tokens[s, : length[s]].tolist():
            if token < 0 and kept and kept[-1] < 0:
                kept.pop()
            if token < 0 or int(arrays.part.order[token % parts]) in whole:
                kept.append(token)
        if kept and kept[-1] < 0:
            kept.pop()
        tokens[s, : len(kept)] = kept
        length[s] = len(kept)


def _nodes(arrays: PlanArrays) -> np.ndarray:
    """Locations of yards, then of parts."""
    return np.concatenate([arrays.yard.loc, arrays.part.loc])


def _leg_tables(arrays: PlanArrays, s: int, locs: np.ndarray, yards: int) -> tuple[np.ndarray, np.ndarray]:
    """Road cost in thousandths of a cent, and seconds, between nodes; empty toward the first `yards`."""
    run, corner = row_of(arrays.run, s), np.ix_(locs, locs)
    empty, loaded = arrays.band_table[s, 0], arrays.band_table[s, arrays.run.bands[s] - 1]
    cost = arrays.meters[loaded][corner] * run.loaded_rate // SCALE
    seconds = arrays.seconds[loaded][corner].copy()
    cost[:, :yards] = arrays.meters[empty][corner][:, :yards] * run.empty_rate // SCALE
    seconds[:, :yards] = arrays.seconds[empty][corner][:, :yards]
    return cost, seconds


def _stops(arrays: PlanArrays) -> np.ndarray:
    """Seconds at each drop with its share of loading at a middling yard."""
    rate = int(np.median(arrays.yard.rate))
    return arrays.part.service + rate * arrays.part.quantity // arrays.units


def _pyvrp(arrays: PlanArrays, seconds: float, seed: int) -> Trips:
    import pyvrp
    from pyvrp.stop import MaxRuntime

    yards, stops = len(arrays.yard.loc), _stops(arrays)
    order_size = np.diff(arrays.order_first)
    clients = [
        pyvrp.Client(
            location=yards + p,
            delivery=[int(row.ft3), int(row.lb)],
            service_duration=int(stops[p]),
            tw_early=int(row.opens),
            tw_late=int(row.closes),
            prize=int(arrays.prize[row.order] // order_size[row.order] // SCALE),
            required=False,
        )
        for p, row in ((p, row_of(arrays.part, p)) for p in range(len(arrays.part_wood)))
    ]
    depots = [pyvrp.Depot(location=y, service_duration=int(arrays.yard.fixed[y])) for y in range(yards)]
    costs, times, profile_of, kinds = [], [], {}, []
    for s, row in ((s, row_of(arrays.run, s)) for s in range(len(arrays.run.home))):
        key = (
            *arrays.band_table[s].tolist(),
            int(row.loaded_rate),
            int(row.empty_rate),
            arrays.allowed[:, s].tobytes(),
        )
        if key not in profile_of:
            profile_of[key] = len(costs)
            cost, time = _leg_tables(arrays, s, _nodes(arrays), yards)
            barred = yards + np.flatnonzero(arrays.allowed[:, s] == 0)
            time[:, barred] = time[barred, :] = NEVER
            np.fill_diagonal(time, 0)
            costs.append(cost)
            times.append(time)
        home = int(np.flatnonzero(arrays.yard.loc == row.home)[0])
        kinds.append(
            pyvrp.VehicleType(
                num_available=1,
                capacity=[int(row.ft3), int(row.lb)],
                start_depot=home,
                end_depot=home,
                fixed_cost=int(row.fixed // SCALE),
                tw_early=int(row.start),
                tw_late=int(row.end),
                shift_duration=int(row.longest),
                unit_distance_cost=1,
                unit_duration_cost=int(row.wage // SCALE),
                profile=profile_of[key],
                reload_depots=list(range(yards)),
            )
        )
    locations = [pyvrp.Location(0, 0) for _ in range(yards + len(clients))]
    data = pyvrp.ProblemData(locations, clients, depots, kinds, costs, times)
    found = pyvrp.solve(data, MaxRuntime(seconds), seed=seed, collect_stats=False, display=False).best
    trips: Trips = [[] for _ in arrays.run.home]
    for route in found.routes():
        row: list[tuple[int, list[int]]] = trips[route.vehicle_type()]
        for activity in route:
            if activity.is_depot():
                row.append((activity.idx, []))
            elif activity.is_client():
                row[-1][1].append(activity.idx)
    return trips


def _ortools(arrays: PlanArrays, seconds: float, seed: int) -> Trips:
    from ortools.constraint_solver import pywrapcp, routing_enums_pb2

    yards, parts, shifts = len(arrays.yard.loc), len(arrays.part_wood), len(arrays.run.home)
    copies = min(12, max(2, parts // yards // 2))
    reload_yard = np.repeat(np.arange(yards), copies)
    locs = np.concatenate([arrays.yard.loc, arrays.yard.loc[reload_yard], arrays.part.loc])
    first = yards + len(reload_yard)
    homes = [
        int(np.flatnonzero(arrays.yard.loc == row.home)[0])
        for row in (row_of(arrays.run, s) for s in range(len(arrays.run.home)))
    ]
    manager = pywrapcp.RoutingIndexManager(len(locs), shifts, homes, homes)
    model = pywrapcp.RoutingModel(manager)
    stay = np.concatenate([arrays.yard.fixed, arrays.yard.fixed[reload_yard], _stops(arrays)]).astype(
        np.int64
    )
    known: dict[tuple[int, ...], tuple[int, int]] = {}
    legs, travel = [], []
    for s, row in ((s, row_of(arrays.run, s)) for s in range(len(arrays.run.home))):
        key = (*arrays.band_table[s].tolist(), int(row.loaded_rate), int(row.empty_rate))
        if key not in known:
            cost, time = _leg_tables(arrays, s, locs, first)
            known[key] = (
                model.RegisterTransitMatrix(cost.tolist()),
                model.RegisterTransitMatrix((time + stay[:, None]).tolist()),
            )
        legs.append(known[key][0])
        travel.append(known[key][1])
        model.SetArcCostEvaluatorOfVehicle(legs[-1], s)
        model.SetFixedCostOfVehicle(int(row.fixed // SCALE), s)
    model.AddDimensionWithVehicleTransits(travel, 86_400, 2 * 86_400, False, "clock")
    clock = model.GetDimensionOrDie("clock")
    for s, row in ((s, row_of(arrays.run, s)) for s in range(len(arrays.run.home))):
        clock.CumulVar(model.Start(s)).SetRange(int(row.start), int(row.end))
        clock.CumulVar(model.End(s)).SetRange(int(row.start), int(row.end))
        clock.SetSpanUpperBoundForVehicle(int(row.longest), s)
        clock.SetSpanCostCoefficientForVehicle(int(row.wage // SCALE), s)
    for column, limit, name in (
        (arrays.part.ft3, arrays.run.ft3, "volume"),
        (arrays.part.lb, arrays.run.lb, "weight"),
    ):
        most = int(limit.max())
        loads = [0] * yards + [-most] * len(reload_yard) + column.tolist()
        index = model.RegisterUnaryTransitVector(loads)
        model.AddDimensionWithVehicleCapacity(index, most, limit.tolist(), True, name)
        dimension = model.GetDimensionOrDie(name)
        for node in range(first, first + parts):
            dimension.SlackVar(manager.NodeToIndex(node)).SetValue(0)
    order_size = np.diff(arrays.order_first)
    for node in range(yards):
        if node not in homes:
            model.AddDisjunction([manager.NodeToIndex(node)], 0)
    for node in range(yards, first):
        model.AddDisjunction([manager.NodeToIndex(node)], 0)
    for p, row in ((p, row_of(arrays.part, p)) for p in range(len(arrays.part_wood))):
        index = manager.NodeToIndex(first + p)
        model.AddDisjunction([index], int(arrays.prize[row.order] // order_size[row.order] // SCALE))
        clock.CumulVar(index).SetRange(int(row.opens), int(row.closes))
        model.VehicleVar(index).SetValues([-1, *np.flatnonzero(arrays.allowed[p]).tolist()])
    asked = pywrapcp.DefaultRoutingSearchParameters()
    asked.first_solution_strategy = routing_enums_pb2.FirstSolutionStrategy.PARALLEL_CHEAPEST_INSERTION
    asked.local_search_metaheuristic = routing_enums_pb2.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
    asked.time_limit.FromMilliseconds(int(seconds * 1000))
    found = model.SolveWithParameters(asked)
    trips: Trips = [[] for _ in range(shifts)]
    if found is None:
        return trips
    for s in range(shifts):
        row = trips[s]
        row.append((homes[s], []))
        index = found.Value(model.NextVar(model.Start(s)))
        while not model.IsEnd(index):
            node = manager.IndexToNode(index)
            if node >= first:
                row[-1][1].append(node - first)
            else:
                row.append((int(reload_yard[node - yards]) if node >= yards else node, []))
            index = found.Value(model.NextVar(index))
    return trips

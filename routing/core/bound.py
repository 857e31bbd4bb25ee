"""A bound for big weeks: column generation over single loads instead of whole runs.

Runs are loosened into loads that flow from yard to yard: each class of like shifts may drive so many loads as
its shifts' hours hold together; dates, windows and waiting are forgotten, a load may come back to
a drop after two others (q-routes without two-cycles, Christofides, Mingozzi and Toth 1981). Whatever the
prices of the drops, once no load costs less than its drops' prices their sum bounds every plan from below;
GLOP looks for good prices, and a first bound comes from the shortest way to each drop alone.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from routing.core.arrays import (
    BOX,
    END,
    FIXED,
    FT3,
    HOME,
    LOC,
    LONGEST,
    METERS,
    QUANTITY,
    RATE_EMPTY,
    RATE_LOADED,
    ROAD_EMPTY,
    ROAD_LOADED,
    SECONDS,
    SERVICE,
    START,
    WAGE,
    YARD_FIXED,
    YARD_LOC,
    YARD_RATE,
    YARDS,
    Ints,
    PlanArrays,
)
from routing.core.compiled import compiled
from routing.core.exact import tight_rows
from routing.core.problem import COST_UNITS_PER_CENT

type Floats = NDArray[np.float64]
BINS = 72
TURNS = 200
SMOOTH = 0.5
MOST_NEW = 60
FIRST_RUNS = 400
CAP = 8.0
FEW_SHIFTS = 20
MOST_COLUMNS = 5000
TIGHT_ENOUGH = 2e-4
CENT = float(COST_UNITS_PER_CENT)


@dataclass(frozen=True, slots=True)
class DropPrices:
    """Prices of parts, none below 0 nor an order's above its prize, and of wood at yards, in cost units."""

    part: Floats
    wood: Floats  # yards x woods, none below 0


@dataclass(frozen=True, slots=True)
class _Load:
    """A column: what a load of a class costs, how long it takes, what it brings, between which yards."""

    kind: int
    yard: int
    after: int
    cost: float
    seconds: float
    parts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Prices:
    part: Floats
    value: float
    hour: Floats  # of each class, none below 0
    run: Floats  # of each class, none below 0
    place: Floats  # classes x yards
    wood: Floats  # yards x woods, none below 0


@dataclass(slots=True)
class _Class:
    """Like shifts taken together, with what a leg and a drop cost at a given price of time."""

    arrays: PlanArrays
    shifts: Ints
    row: Ints = field(init=False)
    allowed: NDArray[np.bool_] = field(init=False)
    bins: Ints = field(init=False)
    most_bins: int = field(init=False)
    room: int = field(init=False)

    def __post_init__(self) -> None:
        a = self.arrays
        self.row = a.shift[self.shifts[0]]
        self.allowed = a.allowed[:, self.shifts].any(axis=1)
        self.bins, self.most_bins = binned(a.part[:, FT3], int(self.row[BOX]))
        self.room = min(int(self.row[LONGEST]), int(self.row[END] - self.row[START]))

    @property
    def home_ways(self) -> tuple[Floats, Floats]:
        """Cost without wage, and seconds, from home to each yard."""
        a, row = self.arrays, self.row
        way = a.roads[row[ROAD_EMPTY], row[HOME], a.yard[:, YARD_LOC]].astype(float)
        return way[:, METERS] * row[RATE_EMPTY], way[:, SECONDS]

    def legs(self, hour: float) -> tuple[Floats, Floats, Floats]:
        """Costs of yard to drop, drop to drop, drop to yard or home (last), time at wage plus `hour`."""
        a, row = self.arrays, self.row
        loc, yards = a.part[:, LOC], a.yard[:, YARD_LOC]
        loaded, empty = a.roads[row[ROAD_LOADED]].astype(float), a.roads[row[ROAD_EMPTY]].astype(float)
        price = float(row[WAGE]) + hour
        on = loaded[:, :, METERS] * row[RATE_LOADED] + loaded[:, :, SECONDS] * price
        off = empty[:, :, METERS] * row[RATE_EMPTY] + empty[:, :, SECONDS] * price
        ends = np.append(yards, row[HOME])
        return on[np.ix_(yards, loc)], on[np.ix_(loc, loc)], off[np.ix_(loc, ends)]

    def drop_costs(self, hour: float, yard: int) -> Floats:
        """Time at a drop and of loading it at a yard, at wage plus `hour`."""
        a = self.arrays
        seconds = a.part[:, SERVICE] + a.yard[yard, YARD_RATE] * a.part[:, QUANTITY] / a.units
        return seconds * (float(self.row[WAGE]) + hour)

    def may_come_from(self, yard: int) -> NDArray[np.bool_]:
        """Parts the class may bring from a yard."""
        return self.allowed & (self.arrays.part[:, YARDS] >> yard & 1).astype(bool)


def first_bound(arrays: PlanArrays) -> float:
    """Cost units no plan is below: every drop at least by its shortest way, or left out."""
    classes = _classes(arrays)
    best = np.full(len(arrays.part), np.inf)
    for kind in classes:
        from_yard, between, _ = kind.legs(0.0)
        between = between.copy()
        np.fill_diagonal(between, np.inf)
        way = np.minimum(from_yard.min(axis=0), between.min(axis=0, initial=np.inf))
        at = np.min([kind.drop_costs(0.0, y) for y in range(len(arrays.yard))], axis=0)
        best = np.minimum(best, np.where(kind.allowed, way + at, np.inf))
    return float(within_prizes(arrays, best).sum())


def load_bound(
    arrays: PlanArrays,
    *,
    runs: list[tuple[int, tuple[int, ...]]],
    upper: int,
    should_stop: Callable[[], bool],
    tell: Callable[[float], None],
    turns: int = TURNS,
) -> float:
    """Cost units no plan is below: `load_prices` without the prices."""
    return load_prices(arrays, runs=runs, upper=upper, should_stop=should_stop, tell=tell, turns=turns)[0]


def load_prices(
    arrays: PlanArrays,
    *,
    runs: list[tuple[int, tuple[int, ...]]],
    upper: int,
    should_stop: Callable[[], bool],
    tell: Callable[[float], None],
    turns: int = TURNS,
) -> tuple[float, DropPrices | None]:
    """Cost units no plan is below, bettered turn by turn until time is up or the prices settle; and the best
    prices of drops met on the way.

    Units
        runs: (shift, tokens) known, whose loads make the first columns. tell: hears every better bound.
    """
    # dear orders made cheaper to leave out: it steadies the prices and can only lower the bound
    cap = int(upper * CAP / max(1, len(arrays.prize)))
    arrays = arrays._replace(prize=np.minimum(arrays.prize, cap))
    lower = min(first_bound(arrays), float(upper))
    tell(lower)
    classes = _classes(arrays)
    columns: dict[object, _Load] = {
        _key(load): load for load in _known_loads(arrays, classes, runs[-FIRST_RUNS:])
    }
    center: _Prices | None = None
    best: DropPrices | None = None
    for turn in range(turns):
        if should_stop():
            break
        master = _master(arrays, classes, list(columns.values()))
        if master is None:
            break
        asked = master if center is None or turn % 4 == 3 else _between(master, center)
        found, value, mended = _priced(arrays, classes, asked, should_stop)
        if value is None:
            break
        if value > lower:
            lower = value
            tell(lower)
        if center is None or value >= center.value:
            center = _Prices(asked.part, value, asked.hour, asked.run, asked.place, asked.wood)
            best = DropPrices(mended, asked.wood)
        if len(columns) > MOST_COLUMNS:
            columns = _kept(arrays, columns, master)
        new = [load for load in found if _key(load) not in columns]
        for load in new:
            columns[_key(load)] = load
        if master.value - lower < TIGHT_ENOUGH * abs(master.value) or lower >= upper:
            break
        if not new and asked is master:
            break
    return min(lower, float(upper)), best


def _classes(arrays: PlanArrays) -> list[_Class]:
    """Like shifts together: of the same rig, and where shifts are few, with the same drops allowed."""
    groups: dict[object, list[int]] = {}
    are_few = len(arrays.shift) <= FEW_SHIFTS
    for s, row in enumerate(arrays.shift.tolist()):
        allowed = arrays.allowed[:, s].tobytes() if are_few else b""
        groups.setdefault((*row, allowed), []).append(s)
    return [_Class(arrays, np.array(shifts)) for shifts in groups.values()]


def binned(ft3: Ints, box: int) -> tuple[Ints, int]:
    """Volumes as few whole bins and how many a box holds; rounded so that nothing that fits is shut out."""
    step = int(np.gcd.reduce(ft3)) if len(ft3) else 1
    if step > 0 and box // step <= BINS and (ft3 > 0).all():
        return ft3 // step, box // step
    bins = ft3 * BINS // max(1, box)
    return np.maximum(1, bins), BINS + int((bins == 0).sum())


def within_prizes(arrays: PlanArrays, part: Floats) -> Floats:
    """Prices scaled down so that those of an order are at most what leaving it out costs."""
    part = np.maximum(part, 0.0)
    part = np.where(np.isfinite(part), part, 1e18)
    order = np.repeat(np.arange(len(arrays.prize)), np.diff(arrays.order_first))
    sums = np.bincount(order, part, minlength=len(arrays.prize))
    factor = np.minimum(1.0, arrays.prize / np.maximum(sums, 1e-9))
    return part * factor[order]


def _known_loads(
    arrays: PlanArrays, classes: list[_Class], runs: list[tuple[int, tuple[int, ...]]]
) -> list[_Load]:
    of_shift = {int(s): kind for kind, one in enumerate(classes) for s in one.shifts}
    found = []
    for s, tokens in runs:
        loads: list[tuple[int, list[int]]] = []
        for token in tokens:
            if token < 0:
                loads.append((-1 - token, []))
            else:
                loads[-1][1].append(token)
        for at, (yard, parts) in enumerate(loads):
            after = loads[at + 1][0] if at + 1 < len(loads) else len(arrays.yard)
            found.append(_load(classes[of_shift[s]], of_shift[s], yard, after, parts))
    return found


def _load(kind: _Class, number: int, yard: int, after: int, parts: list[int]) -> _Load:
    a, row = kind.arrays, kind.row
    stops = [a.yard[yard, YARD_LOC], *a.part[parts, LOC]]
    end = row[HOME] if after == len(a.yard) else a.yard[after, YARD_LOC]
    loaded, empty = a.roads[row[ROAD_LOADED]], a.roads[row[ROAD_EMPTY]]
    legs = [loaded[here, there] for here, there in pairwise(stops)]
    back = empty[stops[-1], end]
    seconds = (
        sum(int(leg[SECONDS]) for leg in legs)
        + int(back[SECONDS])
        + int(a.part[parts, SERVICE].sum())
        + int(a.yard[yard, YARD_FIXED])
        + float(a.yard[yard, YARD_RATE]) * float(a.part[parts, QUANTITY].sum()) / a.units
    )
    road = sum(int(leg[METERS]) for leg in legs) * row[RATE_LOADED] + back[METERS] * row[RATE_EMPTY]
    return _Load(number, yard, after, float(road) + seconds * float(row[WAGE]), seconds, tuple(parts))


def _key(load: _Load) -> tuple[int, int, int, tuple[int, ...]]:
    return load.kind, load.yard, load.after, load.parts


def _kept(arrays: PlanArrays, columns: dict[object, _Load], prices: _Prices) -> dict[object, _Load]:
    """The columns nearest to paying at these prices."""
    homes = np.append(prices.place, np.zeros((len(prices.place), 1)), axis=1)
    reduced = np.array(
        [
            load.cost
            + prices.hour[load.kind] * load.seconds
            - prices.part[list(load.parts)].sum()
            + (arrays.part_wood[list(load.parts)] @ prices.wood[load.yard]).sum()
            + homes[load.kind, load.yard]
            - homes[load.kind, load.after]
            for load in columns.values()
        ]
    )
    keys = list(columns)
    return {keys[k]: columns[keys[k]] for k in np.argsort(reduced, kind="stable")[: MOST_COLUMNS // 2]}


def _between(master: _Prices, center: _Prices) -> _Prices:
    """Prices halfway, so that they do not swing."""

    def mix(one: Floats, other: Floats) -> Floats:
        return SMOOTH * one + (1 - SMOOTH) * other

    return _Prices(
        mix(master.part, center.part),
        0.0,
        mix(master.hour, center.hour),
        mix(master.run, center.run),
        mix(master.place, center.place),
        mix(master.wood, center.wood),
    )


def _master(arrays: PlanArrays, classes: list[_Class], columns: list[_Load]) -> _Prices | None:
    from ortools.linear_solver import pywraplp

    solver = pywraplp.Solver.CreateSolver("GLOP")
    infinity = solver.infinity()
    yards = len(arrays.yard)
    cover = [solver.Constraint(1.0, infinity) for _ in range(len(arrays.part))]
    count = [solver.Constraint(-infinity, float(len(kind.shifts))) for kind in classes]
    hours = [solver.Constraint(-infinity, 0.0) for _ in classes]
    flow = [[solver.Constraint(0.0, infinity) for _ in range(yards)] for _ in classes]
    tight = tight_rows(arrays)
    wood = {(y, k): solver.Constraint(-infinity, float(arrays.stock[y, k])) for y, k in tight}
    objective = solver.Objective()
    objective.SetMinimization()
    for o in range(len(arrays.prize)):
        left_out = solver.NumVar(0.0, infinity, "")
        objective.SetCoefficient(left_out, float(arrays.prize[o]) / CENT)
        for p in range(arrays.order_first[o], arrays.order_first[o + 1]):
            cover[p].SetCoefficient(left_out, 1.0)
    for number, kind in enumerate(classes):
        road, seconds = kind.home_ways
        for y in range(yards):
            out = solver.NumVar(0.0, infinity, "")
            cost = road[y] + seconds[y] * float(kind.row[WAGE]) + float(kind.row[FIXED])
            objective.SetCoefficient(out, cost / CENT)
            count[number].SetCoefficient(out, 1.0)
            hours[number].SetCoefficient(out, (seconds[y] - kind.room) / 3600.0)
            flow[number][y].SetCoefficient(out, 1.0)
    for load in columns:
        used = solver.NumVar(0.0, infinity, "")
        objective.SetCoefficient(used, load.cost / CENT)
        for p in set(load.parts):
            cover[p].SetCoefficient(used, float(load.parts.count(p)))
        hours[load.kind].SetCoefficient(used, load.seconds / 3600.0)
        if tight:
            taken = arrays.part_wood[list(load.parts)].sum(axis=0)
            for y, k in tight:
                if y == load.yard and taken[k]:
                    wood[y, k].SetCoefficient(used, float(taken[k]))
        if load.after != load.yard:
            flow[load.kind][load.yard].SetCoefficient(used, -1.0)
            if load.after < yards:
                flow[load.kind][load.after].SetCoefficient(used, 1.0)
    if solver.Solve() != pywraplp.Solver.OPTIMAL:
        return None
    prices = np.zeros(arrays.stock.shape)
    for (y, k), row in wood.items():
        prices[y, k] = max(0.0, -row.dual_value()) * CENT
    return _Prices(
        np.array([max(0.0, row.dual_value()) for row in cover]) * CENT,
        solver.Objective().Value() * CENT,
        np.array([max(0.0, -row.dual_value()) for row in hours]) * CENT / 3600.0,
        np.array([max(0.0, -row.dual_value()) for row in count]) * CENT,
        np.array([[max(0.0, row.dual_value()) for row in rows] for rows in flow]) * CENT,
        prices,
    )


def _priced(
    arrays: PlanArrays, classes: list[_Class], prices: _Prices, should_stop: Callable[[], bool]
) -> tuple[list[_Load], float | None, Floats]:
    """Cheap loads at these prices, the bound they give once mended so that none is too cheap, and the drops'
    prices so mended.
    """
    part = within_prizes(arrays, prices.part)
    found: list[_Load] = []
    run_cost = 0.0
    cut = np.zeros(len(part))
    for number, kind in enumerate(classes):
        hour, place = float(prices.hour[number]), prices.place[number]
        from_yard, between, to_end = kind.legs(hour)
        ends = to_end - np.append(place, 0.0)[None, :]
        scarce = 0.0
        for y in range(len(arrays.yard)):
            if should_stop():
                return found, None, part
            may = np.flatnonzero(kind.may_come_from(y))
            if not len(may):
                continue
            entry = place[y] + float(arrays.yard[y, YARD_FIXED]) * (float(kind.row[WAGE]) + hour)
            drop = kind.drop_costs(hour, y)[may] - part[may] + arrays.part_wood[may] @ prices.wood[y]
            least, paths = _q_routes(
                from_yard[y, may] + entry,
                between[np.ix_(may, may)],
                drop,
                ends[may],
                kind.bins[may],
                kind.most_bins,
            )
            sizes = np.arange(1, len(least))
            scarce = max(scarce, float((-least[1:] / sizes).max(initial=0.0)))
            found += [_load(kind, number, y, after, [int(may[k]) for k in path]) for after, path in paths]
        # a run must pay its way out and its count; its hours are worth what they cost
        road, seconds = kind.home_ways
        out = road + seconds * (float(kind.row[WAGE]) + hour) + float(kind.row[FIXED])
        short = min(0.0, float((out - place).min()) - hour * kind.room + float(prices.run[number]))
        run_cost += len(kind.shifts) * (float(prices.run[number]) - short)
        cut[kind.allowed] = np.maximum(cut[kind.allowed], scarce * kind.bins[kind.allowed])
    # lower the drops' prices by their size until no load of any size is too cheap
    mended = np.maximum(0.0, part - cut)
    return found, float(mended.sum()) - run_cost - float((prices.wood * arrays.stock).sum()), mended


def _q_routes(
    entry: Floats, between: Floats, drop: Floats, ends: Floats, bins: Ints, most: int
) -> tuple[Floats, list[tuple[int, list[int]]]]:
    """The cheapest load of every size, and the cheapest for each last drop as (end, drops)."""
    n = len(entry)
    best = np.full((most + 1, n), np.inf)
    second = np.full((most + 1, n), np.inf)
    before = np.full((most + 1, n), -1)
    before2 = np.full((most + 1, n), -1)
    grow(entry, np.ascontiguousarray(between), drop, bins, best, second, before, before2)
    end = ends.argmin(axis=1)
    total = best + ends[np.arange(n), end][None, :]
    lows = total.min(axis=0)
    paths = []
    for k in np.argsort(lows, kind="stable")[:MOST_NEW]:
        if lows[k] > -1000.0:
            break
        q = int(total[:, k].argmin())
        paths.append((int(end[k]), _walked_back(before, before2, bins, q, int(k))))
    return total.min(axis=1), paths


@compiled
def grow(entry, between, drop, bins, best, second, before, before2):  # type: ignore[no-untyped-def]
    """Fill the tables: the cheapest two loads of each size and last drop, coming from different drops."""
    n = entry.shape[0]
    for q in range(1, best.shape[0]):
        for k in range(n):
            rest = q - bins[k]
            if rest < 0:
                continue
            if rest == 0:
                best[q, k] = entry[k] + drop[k]
                continue
            low, low2, at, at2 = np.inf, np.inf, -1, -1
            for j in range(n):
                if j == k:
                    continue
                value = second[rest, j] if before[rest, j] == k else best[rest, j]
                value += between[j, k]
                if value < low:
                    low2, at2 = low, at
                    low, at = value, j
                elif value < low2:
                    low2, at2 = value, j
            best[q, k] = low + drop[k]
            second[q, k] = low2 + drop[k]
            before[q, k] = at
            before2[q, k] = at2


def _walked_back(before: Ints, before2: Ints, bins: Ints, q: int, k: int) -> list[int]:
    path = [k]
    banned = -1
    while True:
        previous = int(before[q, k]) if before[q, k] != banned or banned < 0 else int(before2[q, k])
        if previous < 0:
            return path[::-1]
        q -= int(bins[k])
        banned = k
        k = previous
        path.append(k)

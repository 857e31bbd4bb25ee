"""The problem as whole-number arrays, the only form the planner's loops see.

Every figure stands once, under its name: `arrays.part.loc[p]`, `arrays.run.wage[s]`, `arrays.yard.rate[y]`;
the loops (compiled or not) and the numpy code of the exact layer read the same fields.
"""

from dataclasses import dataclass
from types import SimpleNamespace
from typing import NamedTuple, cast

import numpy as np
from numpy.typing import NDArray

from routing.planner.compiled import IS_COMPILED
from routing.planner.plan import Postponed
from routing.planner.sketches import RunSketch

type Ints = NDArray[np.int64]
type Floats = NDArray[np.float64]


class Parts(NamedTuple):
    """What one stop unloads, of every part. Volumes and weights are times `units`."""

    order: Ints
    loc: Ints
    quantity: Ints
    ft3: Ints
    lb: Ints
    service: Ints  # seconds at the stop
    opens: Ints
    closes: Ints
    yards: Ints  # bit y = may come from yard y


class Runs(NamedTuple):
    """What one rig may do on one date, of every run. Volumes and weights are times `units`."""

    loaded_rate: Ints  # cost units per meter
    empty_rate: Ints
    fixed: Ints
    wage: Ints  # cost units per second
    start: Ints
    end: Ints
    longest: Ints
    home: Ints
    ft3: Ints
    lb: Ints
    bed_ft3: Ints
    bed_lb: Ints
    bands: Ints  # how many of the rows of `band_over` and `band_table` count
    pause: Ints  # seconds, 0 = none
    pause_from: Ints
    pause_to: Ints
    most_quantity: Ints  # wood units its driver's crew can handle that day, -1 = any
    driver: Ints
    driver_longest: Ints  # paid seconds its driver may be out that day in all runs
    kind: Ints  # equal for runs of rigs alike
    group: Ints  # row of `mates`, -1 when it shares neither truck nor driver with another run of its date


class Yards(NamedTuple):
    """What loading takes at every yard: seconds per load, seconds per cord."""

    loc: Ints
    fixed: Ints
    rate: Ints


class Woods(NamedTuple):
    """Volume and weight of a wood unit (times `units`); step: units that ride in a bed together, 0 = none
    may.
    """

    ft3: Ints
    lb: Ints
    step: Ints


class PlanArrays(NamedTuple):
    """Shapes
    P parts, O orders, S runs, Y yards, K woods, T road tables, L locations, B road bands, G groups of runs
    that share a truck or a driver, M runs of the largest; parts of one order are neighbors. Costs in cost
    units, wood in wood units, volumes and weights times `units` (wood units per cord).
    """

    part: Parts  # each P
    run: Runs  # each S
    yard: Yards  # each Y
    wood: Woods  # each K
    part_wood: Ints  # P x K
    order_first: Ints  # O + 1
    prize: Ints  # O, cost of leaving it out
    allowed: Ints  # P x S, 0 or 1
    hours: Ints  # Y x S x 2; closes at -1 when shut
    stock: Ints  # Y x K
    band_over: Ints  # S x B, pounds (times units) above which the band's table holds
    band_table: Ints  # S x B, rows of `meters` and `seconds`; the first one with nothing aboard
    meters: Ints  # T x L x L
    seconds: Ints  # T x L x L; NO_WAY where there is none
    near: Ints  # P x P, nearest first
    mates: Ints  # G x M, -1 after the last
    hitch: Ints  # S x S, seconds from being back in one run to leaving in the other, -1 = may overlap
    fill_yards: int  # yards one load may be filled at
    units: int
    is_tight: int  # 1 when some yard may be asked for more than it has


# a drive no run has time for, small enough that sums of many stay whole
NO_WAY = 10**8


def columns[T](kind: type[T], shape: int | tuple[int, ...], /, **given: object) -> T:
    """Columns of equal length under their names, zero where none is given.

    Compiled loops take them as one table whose rows lie together (ten times fewer arguments, and faster);
    plain Python reads separate arrays faster. Both are written `columns.name[row]`.
    """
    names: tuple[str, ...] = kind._fields  # type: ignore[attr-defined]
    if IS_COMPILED:
        table = np.zeros(shape, dtype=[(name, np.int64) for name in names]).view(np.recarray)
        for name, column in given.items():
            table[name] = column
        return cast("T", table)
    return kind(*(np.broadcast_to(np.asarray(given.get(name, 0), np.int64), shape).copy() for name in names))


def wood_asked_for(part_wood: Ints, part_yards: Ints, yards: int) -> Ints:
    """What each yard would give if it gave all it may, Y x K."""
    may = part_yards[None, :] >> np.arange(yards)[:, None] & 1
    wood: Ints = may @ part_wood
    return wood


def row_of[T](table: T, row: int | Ints) -> T:
    """One row of columns, its figures under the same names."""
    names: tuple[str, ...] = type(table)._fields if isinstance(table, tuple) else table.dtype.names  # type: ignore[attr-defined]
    return cast("T", SimpleNamespace(**{name: getattr(table, name)[row] for name in names}))


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """The arrays, what their numbers mean, and what was decided before they were made.

    bonus: what a pinned or begun order's prize was raised by.
    """

    arrays: PlanArrays
    part_ids: tuple[str, ...]
    order_ids: tuple[str, ...]
    run_ids: tuple[str, ...]
    yard_ids: tuple[str, ...]
    fixed_units: int
    left_units: int
    bonus: int
    fixed_sketch: tuple[RunSketch, ...]
    hopeless: tuple[Postponed, ...]

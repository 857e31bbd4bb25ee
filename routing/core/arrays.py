"""The problem as whole-number arrays, the only form the planner's loops see.

Fixed runs are taken out beforehand: their shifts, parts and wood are gone from the arrays, their cost is a
constant. Pins become narrower choices. Orders that no run could ever bring are left out, with the reason.
"""

from collections import Counter
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from routing.core.plan import Postponed, RunSketch, meter_units, second_units, timed_run
from routing.core.problem import COST_UNITS_PER_CENT, DayProblem, PlanPart, PlanRig, Shift, load_seconds
from routing.core.reasons import hopeless

type Ints = NDArray[np.int64]
PINNED_PRIZE = 10**9 * COST_UNITS_PER_CENT // 10**3


class PlanArrays(NamedTuple):
    """Shapes
    P parts, O orders, S shifts, Y yards, K woods, T road tables, L locations; parts of one order are
    neighbors. Costs in cost units, volumes and weights times `units` (wood units per cord).
    """

    part_order: Ints  # P
    part_loc: Ints  # P
    part_quantity: Ints  # P
    part_ft3: Ints  # P
    part_lb: Ints  # P
    part_service: Ints  # P, seconds
    part_open: Ints  # P
    part_close: Ints  # P
    part_wood: Ints  # P x K
    part_yards: Ints  # P, bit y = may come from yard y
    order_first: Ints  # O + 1
    prize: Ints  # O, cost of leaving it out
    allowed: Ints  # P x S, 0 or 1
    shift_loaded: Ints  # S, road table
    shift_empty: Ints  # S
    shift_loaded_rate: Ints  # S, units per meter
    shift_empty_rate: Ints  # S
    shift_fixed: Ints  # S
    shift_wage: Ints  # S, units per second
    shift_start: Ints  # S
    shift_end: Ints  # S
    shift_longest: Ints  # S
    shift_home: Ints  # S, location
    shift_ft3: Ints  # S
    shift_lb: Ints  # S
    yard_loc: Ints  # Y
    yard_open: Ints  # Y x S
    yard_close: Ints  # Y x S, -1 when shut
    yard_fixed: Ints  # Y
    yard_rate: Ints  # Y, seconds per cord
    stock: Ints  # Y x K
    meters: Ints  # T x L x L
    seconds: Ints  # T x L x L
    near: Ints  # P x P, nearest first
    units: int
    is_tight: int  # 1 when wood may run out


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """The arrays and what their numbers mean."""

    arrays: PlanArrays
    part_ids: tuple[str, ...]
    order_ids: tuple[str, ...]
    shift_ids: tuple[str, ...]
    yard_ids: tuple[str, ...]
    fixed_units: int
    left_units: int
    bonus: int
    fixed_sketch: tuple[RunSketch, ...]
    hopeless: tuple[Postponed, ...]


def lay_out(problem: DayProblem) -> Laid:
    """The problem as arrays."""
    frozen_shifts = {run.shift for run in problem.frozen}
    frozen_parts = {part for run in problem.frozen for load in run.loads for part in load.parts}
    fixed_sketch = tuple(
        (run.shift, tuple((load.yard, load.parts) for load in run.loads if load.parts))
        for run in problem.frozen
        if any(load.parts for load in run.loads)
    )
    fixed_units = sum(timed_run(problem, sketch).cost_units for sketch in fixed_sketch)
    shifts = [shift for shift in problem.shifts if shift.id not in frozen_shifts]
    stock = _stock_left(problem)
    never = {postponed.order: postponed for postponed in hopeless(problem, shifts, stock)}
    open_orders = [o for o in problem.orders if any(p.id not in frozen_parts for p in o.parts)]
    orders = [o for o in open_orders if o.id not in never]
    parts = [
        (number, part) for number, o in enumerate(orders) for part in o.parts if part.id not in frozen_parts
    ]
    rigs = {rig.id: rig for rig in problem.rigs}
    yards = problem.yards
    woods = [wood.id for wood in problem.woods]
    pins = {pin.part: pin for pin in problem.pins}
    units = problem.wood_units_per_cord
    part_wood = np.zeros((len(parts), len(woods)), np.int64)
    for row, (_, part) in enumerate(parts):
        for wood, quantity in part.lines:
            part_wood[row, woods.index(wood)] += quantity
    lb = np.array([wood.lb_per_cord for wood in problem.woods], np.int64)
    ft3 = np.array([wood.ft3_per_cord for wood in problem.woods], np.int64)
    part_ft3, part_lb = part_wood @ ft3, part_wood @ lb
    stock_rows = np.array([[stock[yard.id, wood] for wood in woods] for yard in yards], np.int64).reshape(
        len(yards), len(woods)
    )
    allowed = np.zeros((len(parts), len(shifts)), np.int64)
    part_yards = np.zeros(len(parts), np.int64)
    for row, (number, part) in enumerate(parts):
        order, pin = orders[number], pins.get(part.id)
        for column, shift in enumerate(shifts):
            rig = rigs[shift.rig]
            allowed[row, column] = (
                shift.date in order.dates
                and not (order.no_trailer and rig.has_trailer)
                and part_ft3[row] <= rig.cap_ft3 * units
                and part_lb[row] <= rig.cap_lb * units
                and (pin is None or pin.shift == shift.id)
            )
        for column, yard in enumerate(yards):
            if (part_wood[row] <= stock_rows[column]).all() and (pin is None or pin.yard in (None, yard.id)):
                part_yards[row] |= 1 << column
    names = [name for name, _ in problem.roads]
    size = problem.location_count
    meters = np.array([table.meters for _, table in problem.roads], np.int64).reshape(-1, size, size)
    seconds = np.array([table.seconds for _, table in problem.roads], np.int64).reshape(-1, size, size)
    locs = np.array([orders[number].loc for number, _ in parts], np.int64)
    first = np.zeros(len(orders) + 1, np.int64)
    for number, _ in parts:
        first[number + 1] += 1
    must = {number for number, part in parts if part.id in pins} | {
        number for number, o in enumerate(orders) if any(p.id in frozen_parts for p in o.parts)
    }
    hours = [[problem.hours_of(yard, shift.date) or (0, -1) for shift in shifts] for yard in yards]
    arrays = PlanArrays(
        part_order=np.array([number for number, _ in parts], np.int64),
        part_loc=locs,
        part_quantity=part_wood.sum(axis=1).astype(np.int64),
        part_ft3=part_ft3,
        part_lb=part_lb,
        part_service=np.array(
            [_unloading(problem, number, part, orders) for number, part in parts], np.int64
        ),
        part_open=np.array([orders[number].window_s[0] for number, _ in parts], np.int64),
        part_close=np.array([orders[number].window_s[1] for number, _ in parts], np.int64),
        part_wood=part_wood,
        part_yards=part_yards,
        order_first=np.cumsum(first),
        prize=np.array(
            [
                o.left_out_c * COST_UNITS_PER_CENT + (PINNED_PRIZE if number in must else 0)
                for number, o in enumerate(orders)
            ],
            np.int64,
        ),
        allowed=allowed,
        yard_loc=np.array([yard.loc for yard in yards], np.int64),
        yard_open=np.array([[pair[0] for pair in row] for row in hours], np.int64).reshape(len(yards), -1),
        yard_close=np.array([[pair[1] for pair in row] for row in hours], np.int64).reshape(len(yards), -1),
        yard_fixed=np.array([yard.load_fixed_s for yard in yards], np.int64),
        yard_rate=np.array([yard.load_s_per_cord for yard in yards], np.int64),
        stock=stock_rows,
        meters=meters,
        seconds=seconds,
        near=_nearest(seconds, locs),
        units=units,
        is_tight=int((part_wood.sum(axis=0) > stock_rows).any()),
        **_shift_columns(shifts, rigs, names, {yard.id: yard.loc for yard in yards}, units),
    )
    return Laid(
        arrays=arrays,
        part_ids=tuple(part.id for _, part in parts),
        order_ids=tuple(o.id for o in orders),
        shift_ids=tuple(shift.id for shift in shifts),
        yard_ids=tuple(yard.id for yard in yards),
        fixed_units=fixed_units,
        left_units=sum(o.left_out_c for o in open_orders if o.id in never) * COST_UNITS_PER_CENT,
        bonus=PINNED_PRIZE,
        fixed_sketch=fixed_sketch,
        hopeless=tuple(never[o.id] for o in open_orders if o.id in never),
    )


def _shift_columns(
    shifts: list[Shift], rigs: dict[str, PlanRig], names: list[str], home: dict[str, int], units: int
) -> dict[str, Ints]:
    rig_of = [rigs[shift.rig] for shift in shifts]
    columns = {
        "shift_loaded": [names.index(rig.loaded_roads) for rig in rig_of],
        "shift_empty": [names.index(rig.empty_roads) for rig in rig_of],
        "shift_loaded_rate": [meter_units(rig.loaded_c_km) for rig in rig_of],
        "shift_empty_rate": [meter_units(rig.empty_c_km) for rig in rig_of],
        "shift_fixed": [rig.fixed_c * COST_UNITS_PER_CENT for rig in rig_of],
        "shift_wage": [second_units(shift.wage_c_h) for shift in shifts],
        "shift_start": [shift.start_s for shift in shifts],
        "shift_end": [shift.end_s for shift in shifts],
        "shift_longest": [shift.max_s for shift in shifts],
        "shift_home": [home[rig.home] for rig in rig_of],
        "shift_ft3": [rig.cap_ft3 * units for rig in rig_of],
        "shift_lb": [rig.cap_lb * units for rig in rig_of],
    }
    return {name: np.array(values, np.int64) for name, values in columns.items()}


def _stock_left(problem: DayProblem) -> Counter[tuple[str, str]]:
    stock: Counter[tuple[str, str]] = Counter()
    for yard in problem.yards:
        for wood, units in yard.stock:
            stock[yard.id, wood] += units
    lines = {part.id: part.lines for order in problem.orders for part in order.parts}
    for run in problem.frozen:
        for load in run.loads:
            for part in load.parts:
                for wood, units in lines[part]:
                    stock[load.yard, wood] -= units
    return stock


def _unloading(problem: DayProblem, number: int, part: PlanPart, orders: list) -> int:  # type: ignore[type-arg]
    order = orders[number]
    return load_seconds(order.stop_s, order.unload_s_per_cord, part.quantity, problem.wood_units_per_cord)


def _nearest(seconds: Ints, locs: Ints) -> Ints:
    if not len(locs):
        return np.zeros((0, 0), np.int64)
    between = seconds[:, locs[:, None], locs[None, :]].min(axis=0)
    return np.argsort(between + between.T, axis=1, kind="stable").astype(np.int64)

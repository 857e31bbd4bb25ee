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


# columns of `part`
ORDER, LOC, QUANTITY, FT3, LB, SERVICE, OPENS, CLOSES, YARDS = range(9)
# columns of `shift`
ROAD_LOADED, ROAD_EMPTY, RATE_LOADED, RATE_EMPTY, FIXED, WAGE, START, END, LONGEST, HOME, BOX, PAYLOAD = (
    range(12)
)
# columns of `yard`
YARD_LOC, YARD_FIXED, YARD_RATE = range(3)
# last axis of `roads`
METERS, SECONDS = range(2)


class PlanArrays(NamedTuple):
    """Shapes
    P parts, O orders, S shifts, Y yards, K woods, T road tables, L locations; parts of one order are
    neighbors. Costs in cost units, volumes and weights times `units` (wood units per cord).
    """

    part: Ints  # P x 9; YARDS: bit y = may come from yard y
    part_wood: Ints  # P x K
    order_first: Ints  # O + 1
    prize: Ints  # O, cost of leaving it out
    allowed: Ints  # P x S, 0 or 1
    shift: Ints  # S x 12; rates per meter, wage per second
    yard: Ints  # Y x 3; rate in seconds per cord
    hours: Ints  # Y x S x 2; closes at -1 when shut
    stock: Ints  # Y x K
    roads: Ints  # T x L x L x 2
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
    columns = [
        [number for number, _ in parts],
        locs,
        part_wood.sum(axis=1),
        part_ft3,
        part_lb,
        [_unloading(problem, number, part, orders) for number, part in parts],
        [orders[number].window_s[0] for number, _ in parts],
        [orders[number].window_s[1] for number, _ in parts],
        part_yards,
    ]
    arrays = PlanArrays(
        part=np.ascontiguousarray(np.array(columns, np.int64).reshape(len(columns), -1).T),
        part_wood=part_wood,
        order_first=np.cumsum(first),
        prize=np.array(
            [
                o.left_out_c * COST_UNITS_PER_CENT + (PINNED_PRIZE if number in must else 0)
                for number, o in enumerate(orders)
            ],
            np.int64,
        ),
        allowed=allowed,
        shift=_shift_columns(shifts, rigs, names, {yard.id: yard.loc for yard in yards}, units),
        yard=np.array(
            [[yard.loc, yard.load_fixed_s, yard.load_s_per_cord] for yard in yards], np.int64
        ).reshape(-1, 3),
        hours=np.array(hours, np.int64).reshape(len(yards), len(shifts), 2),
        stock=stock_rows,
        roads=np.ascontiguousarray(np.stack([meters, seconds], axis=-1)),
        near=_nearest(seconds, locs),
        units=units,
        is_tight=int((part_wood.sum(axis=0) > stock_rows).any()),
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
) -> Ints:
    rows = [
        [
            names.index(rig.loaded_roads),
            names.index(rig.empty_roads),
            meter_units(rig.loaded_c_km),
            meter_units(rig.empty_c_km),
            rig.fixed_c * COST_UNITS_PER_CENT,
            second_units(shift.wage_c_h),
            shift.start_s,
            shift.end_s,
            shift.max_s,
            home[rig.home],
            rig.cap_ft3 * units,
            rig.cap_lb * units,
        ]
        for shift, rig in ((shift, rigs[shift.rig]) for shift in shifts)
    ]
    return np.array(rows, np.int64).reshape(-1, 12)


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

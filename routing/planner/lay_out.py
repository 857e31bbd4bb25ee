"""From a problem to arrays.

Fixed runs are taken out beforehand: their parts and wood are gone from the arrays, their cost is a constant.
Pins become narrower choices. Orders that no run could ever bring are left out, with the reason.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from routing.planner.arrays import (
    NO_WAY,
    Ints,
    Laid,
    Parts,
    PlanArrays,
    Runs,
    Woods,
    Yards,
    columns,
    wood_asked_for,
)
from routing.planner.bed import bed_division
from routing.planner.clock import timed
from routing.planner.fleet import PlanRun
from routing.planner.plan import RunPlan, meter_units, second_units
from routing.planner.problem import (
    COST_UNITS_PER_CENT,
    TWELFTHS,
    DayProblem,
    PlanOrder,
    PlanPart,
    load_seconds,
)
from routing.planner.reasons import hopeless
from routing.planner.sketches import fills_of

# a thousand times what any week is worth: a pinned order is left out by no plan that can bring it
PINNED_PRIZE = 10**6 * COST_UNITS_PER_CENT
ANY_SECONDS = 1 << 40  # where no limit is set on a driver's day, which may then be longer than 24 hours


def lay_out(problem: DayProblem) -> Laid:
    """The problem as arrays."""
    frozen_parts = {part for _, loads in problem.frozen for _, parts in loads for part in parts}
    fixed_sketch = tuple(
        (run, tuple(load for load in loads if load[1]))
        for run, loads in problem.frozen
        if any(parts for _, parts in loads)
    )
    fixed = timed(problem, fixed_sketch).runs
    frozen = {run for run, _ in problem.frozen}
    runs = [run for run in problem.runs if run.id not in frozen]
    stock = _stock_left(problem)
    never = {postponed.order: postponed for postponed in hopeless(problem, runs, stock)}
    waiting = [o for o in problem.orders if any(p.id not in frozen_parts for p in o.parts)]
    orders = [o for o in waiting if o.id not in never]
    parts = [(o, part) for o in orders for part in o.parts if part.id not in frozen_parts]
    layout = _Layout(problem, runs, orders, parts, stock, frozen_parts, fixed)
    return Laid(
        arrays=layout.arrays(),
        part_ids=tuple(part.id for _, part in parts),
        order_ids=tuple(o.id for o in orders),
        run_ids=tuple(run.id for run in runs),
        yard_ids=tuple(yard.id for yard in problem.yards),
        fixed_units=sum(run.cost_units for run in fixed),
        left_units=sum(o.left_out_c for o in waiting if o.id in never) * COST_UNITS_PER_CENT,
        bonus=PINNED_PRIZE,
        fixed_sketch=fixed_sketch,
        hopeless=tuple(never[o.id] for o in waiting if o.id in never),
    )


def _stock_left(problem: DayProblem) -> Counter[tuple[str, str]]:
    """What each yard still has once the fixed runs are filled."""
    stock: Counter[tuple[str, str]] = Counter()
    for yard in problem.yards:
        for wood, units in yard.stock:
            stock[yard.id, wood] += units
    lines = {part.id: part.lines for order in problem.orders for part in order.parts}
    for yard_id, filled in (fill for _, loads in problem.frozen for load in loads for fill in fills_of(load)):
        for wood, units in (line for part in filled for line in lines[part]):
            stock[yard_id, wood] -= units
    return stock


@dataclass(frozen=True, slots=True)
class _Layout:
    """What is left to decide: open runs, orders that can be brought, their parts."""

    problem: DayProblem
    runs: Sequence[PlanRun]
    orders: Sequence[PlanOrder]
    parts: Sequence[tuple[PlanOrder, PlanPart]]
    stock: Counter[tuple[str, str]]
    frozen_parts: set[str]
    fixed: Sequence[RunPlan]

    def arrays(self) -> PlanArrays:
        woods = self.problem.woods
        wood = columns(
            Woods,
            len(woods),
            ft3=[wood.ft3_per_cord for wood in woods],
            lb=[wood.lb_per_cord for wood in woods],
            step=[
                (wood.bed_step or max(1, self.problem.wood_units_per_cord // TWELFTHS)) * wood.rides_in_bed
                for wood in woods
            ],
        )
        part_wood = self._part_wood()
        stock = np.array(
            [[self.stock[yard.id, wood.id] for wood in woods] for yard in self.problem.yards], np.int64
        ).reshape(len(self.problem.yards), len(woods))
        run, over, table = self._runs()
        part = self._parts(part_wood, wood, stock)
        meters, seconds = self._roads()
        run, mates, hitch = self._sharing(run)
        return PlanArrays(
            part=part,
            run=run,
            yard=self._yards(),
            wood=wood,
            part_wood=part_wood,
            order_first=self._first_parts(),
            prize=self._prizes(),
            allowed=self._allowed(),
            hours=self._hours(),
            stock=stock,
            band_over=over,
            band_table=table,
            meters=meters,
            seconds=seconds,
            near=_nearest(seconds, part.loc),
            mates=mates,
            hitch=hitch,
            fill_yards=self.problem.fill_yards,
            units=self.problem.wood_units_per_cord,
            is_tight=int((wood_asked_for(part_wood, part.yards, len(stock)) > stock).any()),
        )

    def _part_wood(self) -> Ints:
        number = {wood.id: k for k, wood in enumerate(self.problem.woods)}
        part_wood = np.zeros((len(self.parts), len(number)), np.int64)
        for row, (_, part) in enumerate(self.parts):
            for wood, quantity in part.lines:
                part_wood[row, number[wood]] += quantity
        return part_wood

    def _parts(self, part_wood: Ints, wood: Woods, stock: Ints) -> Parts:
        number = {order.id: at for at, order in enumerate(self.orders)}
        units = self.problem.wood_units_per_cord
        return columns(
            Parts,
            len(self.parts),
            order=[number[order.id] for order, _ in self.parts],
            loc=[order.loc for order, _ in self.parts],
            quantity=part_wood.sum(axis=1),
            ft3=part_wood @ wood.ft3,
            lb=part_wood @ wood.lb,
            service=[
                load_seconds(order.stop_s, order.unload_s_per_cord, part.quantity, units)
                for order, part in self.parts
            ],
            opens=[order.window_s[0] for order, _ in self.parts],
            closes=[order.window_s[1] for order, _ in self.parts],
            yards=self._yards_of_parts(part_wood, stock),
        )

    def _yards_of_parts(self, part_wood: Ints, stock: Ints) -> Ints:
        """The yards that hold what a part wants and where its pin allows it, as bits."""
        pinned = {pin.part: pin.yard for pin in self.problem.pins}
        found = np.zeros(len(self.parts), np.int64)
        for row, (_, part) in enumerate(self.parts):
            for y, yard in enumerate(self.problem.yards):
                if (part_wood[row] <= stock[y]).all() and pinned.get(part.id) in (None, yard.id):
                    found[row] |= 1 << y
        return found

    def _first_parts(self) -> Ints:
        counts = Counter(order.id for order, _ in self.parts)
        return np.cumsum([0, *(counts[order.id] for order in self.orders)]).astype(np.int64)

    def _prizes(self) -> Ints:
        """What leaving an order out costs; begun and pinned ones are never to be left out."""
        pinned = {pin.part for pin in self.problem.pins}
        must = {
            order.id
            for order in self.orders
            if any(part.id in pinned or part.id in self.frozen_parts for part in order.parts)
        }
        return np.array(
            [
                order.left_out_c * COST_UNITS_PER_CENT + PINNED_PRIZE * (order.id in must)
                for order in self.orders
            ],
            np.int64,
        )

    def _allowed(self) -> Ints:
        """Which part may travel in which run, by date, trailer, size and pin."""
        problem = self.problem
        pinned = {pin.part: pin.run for pin in problem.pins}
        fits = {
            (rig.id, part.id): bed_division(problem, rig, _by_wood(part)) is not None
            for rig in problem.rigs
            for _, part in self.parts
        }
        has_trailer = {rig.id: rig.has_trailer for rig in problem.rigs}
        allowed = np.zeros((len(self.parts), len(self.runs)), np.int64)
        for row, (order, part) in enumerate(self.parts):
            for s, run in enumerate(self.runs):
                allowed[row, s] = (
                    run.date in order.dates
                    and not (order.no_trailer and has_trailer[run.rig])
                    and fits[run.rig, part.id]
                    and pinned.get(part.id) in (None, run.id)
                )
        return allowed

    def _hours(self) -> Ints:
        problem = self.problem
        hours = [[problem.hours_of(yard, run.date) or (0, -1) for run in self.runs] for yard in problem.yards]
        return np.array(hours, np.int64).reshape(len(problem.yards), len(self.runs), 2)

    def _yards(self) -> Yards:
        yards = self.problem.yards
        return columns(
            Yards,
            len(yards),
            loc=[yard.loc for yard in yards],
            fixed=[yard.load_fixed_s for yard in yards],
            rate=[yard.load_s_per_cord for yard in yards],
        )

    def _runs(self) -> tuple[Runs, Ints, Ints]:
        """The runs, and their road bands: over how many pounds, by which table."""
        by_id = {rig.id: rig for rig in self.problem.rigs}
        rigs = [by_id[run.rig] for run in self.runs]
        home = {yard.id: yard.loc for yard in self.problem.yards}
        units = self.problem.wood_units_per_cord
        tables = {name: number for number, (name, _) in enumerate(self.problem.roads)}
        bands = [tuple((band.over_lb, tables[band.table]) for band in rig.roads) for rig in rigs]
        most = max((len(some) for some in bands), default=1)
        over, table = np.zeros((2, len(rigs), most), np.int64)
        for s, some in enumerate(bands):
            for k, (over_lb, name) in enumerate(some):
                over[s, k], table[s, k] = over_lb * units, name
        kinds: dict[object, int] = {}
        drivers: dict[str, int] = {}
        alike = [
            kinds.setdefault((rig.home, some, rig.cap_ft3, rig.cap_lb, rig.bed_ft3, rig.bed_lb), len(kinds))
            for rig, some in zip(rigs, bands, strict=True)
        ]
        run = columns(
            Runs,
            len(rigs),
            loaded_rate=[meter_units(rig.loaded_c_km) for rig in rigs],
            empty_rate=[meter_units(rig.empty_c_km) for rig in rigs],
            fixed=[rig.fixed_c * COST_UNITS_PER_CENT for rig in rigs],
            wage=[second_units(run.wage_c_h) for run in self.runs],
            start=[self._free(run)[0] for run in self.runs],
            end=[self._free(run)[1] for run in self.runs],
            longest=[min(run.max_s, self._driver_left(run)) for run in self.runs],
            home=[home[rig.home] for rig in rigs],
            ft3=[rig.cap_ft3 * units for rig in rigs],
            lb=[rig.cap_lb * units for rig in rigs],
            bed_ft3=[rig.bed_ft3 * units for rig in rigs],
            bed_lb=[rig.bed_lb * units for rig in rigs],
            bands=[len(some) for some in bands],
            pause=[run.break_s for run in self.runs],
            pause_from=[run.break_window_s[0] for run in self.runs],
            pause_to=[run.break_window_s[1] for run in self.runs],
            most_quantity=[self._crew_left(run) for run in self.runs],
            driver=[drivers.setdefault(run.driver_key, len(drivers)) for run in self.runs],
            driver_longest=[self._driver_left(run) for run in self.runs],
            kind=alike,
            group=-1,
        )
        return run, over, table

    def _free(self, run: PlanRun) -> tuple[int, int]:
        """When a run may be out, its truck and driver being in fixed runs at times: the longest time left."""
        by_id = {other.id: other for other in self.problem.runs}
        start, end = run.start_s, run.end_s
        for other in self.fixed:
            after = self.problem.wait_between(by_id[other.id], run)
            before = self.problem.wait_between(run, by_id[other.id])
            if after is None or before is None:
                continue
            if other.leave_s - before - start > end - other.home_s - after:
                end = min(end, other.leave_s - before)
            else:
                start = max(start, other.home_s + after)
        return start, end

    def _fixed_beside(self, run: PlanRun) -> list[RunPlan]:
        """Fixed runs of the same driver on the same date."""
        day = {other.id: (other.date, other.driver_key) for other in self.problem.runs}
        return [other for other in self.fixed if day[other.id] == day[run.id]]

    def _crew_left(self, run: PlanRun) -> int:
        """Wood units the crew can still handle that day beside its fixed runs, -1 = any."""
        if run.most_quantity is None:
            return -1
        handled = sum(load.quantity for other in self._fixed_beside(run) for load in other.loads)
        return max(0, run.most_quantity - handled)

    def _driver_left(self, run: PlanRun) -> int:
        """Paid seconds the driver may still be out that day beside the fixed runs."""
        if run.driver_max_s is None:
            return ANY_SECONDS
        return max(0, run.driver_max_s - sum(other.paid_s for other in self._fixed_beside(run)))

    def _roads(self) -> tuple[Ints, Ints]:
        """Meters and seconds of every table; no way is a drive that never ends."""
        size = self.problem.location_count
        shape = (len(self.problem.roads), size, size)
        meters = np.array([table.meters for _, table in self.problem.roads], float).reshape(shape)
        seconds = np.array([table.seconds for _, table in self.problem.roads], float).reshape(shape)
        is_shut = np.isnan(meters) | np.isnan(seconds)
        return (
            np.where(is_shut, 0, meters).astype(np.int64),
            np.where(is_shut, NO_WAY, seconds).astype(np.int64),
        )

    def _sharing(self, run: Runs) -> tuple[Runs, Ints, Ints]:
        """Runs that share a truck or a driver on a date: groups of them, and the wait between two."""
        count = len(self.runs)
        hitch = np.full((count, count), -1, np.int64)
        for s, first in enumerate(self.runs):
            for t, second in enumerate(self.runs):
                wait = self.problem.wait_between(first, second)
                hitch[s, t] = -1 if wait is None else wait
        leader = np.arange(count)
        for s, t in np.argwhere(hitch >= 0).tolist():
            leader[leader == max(leader[s], leader[t])] = min(leader[s], leader[t])
        groups = [rows for k in range(count) if len(rows := np.flatnonzero(leader == k)) > 1]
        mates = np.full((len(groups), max(map(len, groups), default=1)), -1, np.int64)
        for number, rows in enumerate(groups):
            mates[number, : len(rows)] = rows
            run.group[rows] = number
        return run, mates, hitch


def _by_wood(part: PlanPart) -> Counter[str]:
    """Wood units of a part by wood."""
    quantity: Counter[str] = Counter()
    for wood, units in part.lines:
        quantity[wood] += units
    return quantity


def _nearest(seconds: Ints, locs: Ints) -> Ints:
    """For every part the parts by the drive there and back, nearest first."""
    if not len(locs):
        return np.zeros((0, 0), np.int64)
    between = seconds[:, locs[:, None], locs[None, :]].min(axis=0)
    return np.argsort(between + between.T, axis=1, kind="stable").astype(np.int64)

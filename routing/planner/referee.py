"""The referee: works a plan out afresh and names every rule it breaks.

It shares no code with the planner or with `clock`: it has a clock of its own in `referee_clock`, so that a
mistake made there is caught here. `verdict` names the rules, `fault_sentences` puts faults in words.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import floor
from typing import NamedTuple

from routing.planner.fleet import PlanRig, PlanRun
from routing.planner.plan import LoadPlan, Plan, RunPlan
from routing.planner.problem import DayProblem, PlanPart
from routing.planner.referee_clock import Clocked, ClockFault, Step, clocked
from routing.planner.verdict import Fault, Verdict


def check_plan(problem: DayProblem, plan: Plan) -> Verdict:
    """Check every rule and price the plan, from the bare sequences.

    Times stated in the plan are compared with the referee's own; a plan that states none (all zero) is
    judged by its sequences alone.
    """
    return Referee(problem).check(plan)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Returned:
    """A run that was clocked, and when it was back."""

    run: PlanRun
    rig: PlanRig
    at: int


class _Wait(NamedTuple):
    """A run that keeps another one waiting: for its truck or its driver, back when, free when."""

    kind: str
    run: str
    back_at: int
    free_at: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Driven:
    """A run by itself: its faults, its legs (none where one has no way), its road's cents."""

    faults: tuple[Fault, ...]
    steps: tuple[Step, ...] = ()
    road_c: Fraction = Fraction(0)


class Referee:
    """Judges plans of one problem. A run driven before is not driven again: only waits can change it."""

    def __init__(self, problem: DayProblem) -> None:
        self.problem = problem
        self.yards = {yard.id: yard for yard in problem.yards}
        self.rigs = {rig.id: rig for rig in problem.rigs}
        self.runs = {run.id: run for run in problem.runs}
        self.parts = {part.id: (order, part) for order in problem.orders for part in order.parts}
        self.woods = {wood.id: wood for wood in problem.woods}
        self.roads = dict(problem.roads)
        self.pounds = {part: self._pounds(row) for part, (_, row) in self.parts.items()}
        self.driven: dict[RunPlan, _Driven] = {}
        self.clocked: dict[tuple[RunPlan, int], Clocked | ClockFault] = {}  # by when it may leave
        self._begin()

    def _begin(self) -> None:
        self.faults: list[Fault] = []
        self.back: list[_Returned] = []
        self.paid: Counter[tuple[int, str]] = Counter()  # seconds by date and driver

    def check(self, plan: Plan) -> Verdict:
        """Check every rule and price the plan; see `check_plan`."""
        self._begin()
        for run_id, times in Counter(run.id for run in plan.runs).items():
            if times > 1:
                self._fault("plan", "run twice", run=run_id, found=times)
        brought = Counter(plan.parts)
        for part, times in brought.items():
            if times > 1:
                self._fault("plan", "part twice", part=part, found=times)
        road, driver, fixed = Fraction(0), Fraction(0), Fraction(0)
        for run in plan.runs:
            if run.parts:
                costs = self._run(run)
                road, driver, fixed = road + costs[0], driver + costs[1], fixed + costs[2]
        self._stock(plan)
        self._crews(plan)
        self._pins(plan)
        self._frozen(plan)
        left_out, penalty = self._orders(set(brought))
        return Verdict(
            ok=not self.faults,
            faults=tuple(self.faults),
            cost_c=_cents(road + driver + fixed + penalty),
            road_c=_cents(road),
            driver_c=_cents(driver),
            fixed_c=_cents(fixed),
            left_out_c=penalty,
            left_out=left_out,
        )

    def _fault(
        self,
        rule: str,
        kind: str = "",
        *,
        found: Fraction | int = 0,
        limit: Fraction | int = 0,
        load: int = 0,
        **about: str,
    ) -> None:
        self.faults.append(
            Fault(rule=rule, kind=kind, load=load, found=Fraction(found), limit=Fraction(limit), **about)
        )

    def _run(self, plan: RunPlan) -> tuple[Fraction, Fraction, Fraction]:
        nothing = (Fraction(0), Fraction(0), Fraction(0))
        run = self.runs.get(plan.id)
        if run is None:
            self._fault("plan", "unknown run", run=plan.id)
            return nothing
        rig = self.rigs[run.rig]
        driven = self.driven[plan] = self.driven.get(plan) or self._drive(run, rig, plan)
        self.faults += driven.faults
        if not driven.steps:
            return nothing
        steps = driven.steps
        key = plan, self._free_from(run, rig)
        found = self.clocked[key] = self.clocked.get(key) or clocked(steps, run, key[1])
        if isinstance(found, ClockFault):
            is_shared = found.rule == "clock" and not isinstance(clocked(steps, run, run.start_s), ClockFault)
            step = steps[found.step]
            if is_shared:
                last = max(self._waits(run, rig), key=lambda wait: wait.free_at)
                self._fault("shared", last.kind, run=run.id, other_run=last.run, limit=last.back_at)
            else:
                self._fault(
                    found.rule, step.kind, run=run.id, part=step.part, yard=step.yard, found=found.late_s
                )
            return nothing
        self.back.append(_Returned(run=run, rig=rig, at=found.home_s))
        paid = found.home_s - found.leave_s - found.unpaid_s
        if paid > run.max_s:
            self._fault("hours", run=run.id, found=paid, limit=run.max_s)
        crew = (run.date, run.driver or f"of {run.id}")
        self.paid[crew] += paid
        if run.driver_max_s is not None and self.paid[crew] > run.driver_max_s:
            self._fault("hours", "driver", run=run.id, found=self.paid[crew], limit=run.driver_max_s)
        stated = [plan.leave_s, *_begins(plan), plan.home_s]
        if any(stated) and stated != [found.leave_s, *found.begins]:
            self._fault("times", run=run.id)
        return driven.road_c, Fraction(run.wage_c_h * paid, 3600), Fraction(rig.fixed_c)

    def _drive(self, run: PlanRun, rig: PlanRig, plan: RunPlan) -> _Driven:
        before, self.faults = self.faults, []
        steps: tuple[Step, ...] = ()
        if self._names(plan):
            for number, load in enumerate(plan.loads, 1):
                self._load(run, rig, number, load)
            steps = tuple(self._steps(run, rig, plan))
        faults, self.faults = tuple(self.faults), before
        if any(step.seconds is None for step in steps):
            return _Driven(faults=faults)
        road = sum((Fraction(step.meters) * step.c_km / 1000 for step in steps), Fraction(0))
        return _Driven(faults=faults, steps=steps, road_c=road)

    def _names(self, plan: RunPlan) -> bool:
        fine = True
        for number, load in enumerate(plan.loads, 1):
            for fill in load.fills:
                if fill.yard not in self.yards:
                    self._fault("plan", "unknown yard", run=plan.id, load=number, yard=fill.yard)
                    fine = False
            for part in {*load.parts, *(part for fill in load.fills for part in fill.parts)}:
                if part not in self.parts:
                    self._fault("plan", "unknown part", run=plan.id, load=number, part=part)
                    fine = False
        return fine

    def _load(self, run: PlanRun, rig: PlanRig, number: int, load: LoadPlan) -> None:
        if not 1 <= len(load.fills) <= self.problem.fill_yards:
            self._fault(
                "fill",
                "too many",
                run=run.id,
                load=number,
                found=len(load.fills),
                limit=self.problem.fill_yards,
            )
        if len(set(load.yards)) < len(load.yards) or not all(fill.parts for fill in load.fills):
            self._fault("fill", "yards", run=run.id, load=number)
        if Counter(part for fill in load.fills for part in fill.parts) != Counter(load.parts):
            self._fault("fill", "parts", run=run.id, load=number)
        aboard: Counter[str] = Counter()
        for part_id in load.parts:
            order, part = self.parts[part_id]
            if run.date not in order.dates:
                self._fault("date", run=run.id, load=number, part=part_id, order=order.id)
            if order.no_trailer and rig.has_trailer:
                self._fault("trailer", run=run.id, load=number, part=part_id, order=order.id)
            for wood, quantity in part.lines:
                aboard[wood] += quantity
        self._capacity(run, rig, number, aboard)

    def _capacity(self, run: PlanRun, rig: PlanRig, number: int, aboard: Counter[str]) -> None:
        ft3 = sum((self._cords(q) * self.woods[w].ft3_per_cord for w, q in aboard.items()), Fraction(0))
        lb = sum((self._cords(q) * self.woods[w].lb_per_cord for w, q in aboard.items()), Fraction(0))
        over_ft3, over_lb = ft3 - rig.cap_ft3, lb - rig.cap_lb
        if over_ft3 <= 0 and over_lb <= 0:
            return
        if rig.bed_ft3 or rig.bed_lb:
            if not self._bed_takes(rig, aboard, over_ft3, over_lb):
                self._fault("capacity", "bed", run=run.id, load=number, found=max(over_ft3, over_lb))
            return
        if over_ft3 > 0:
            self._fault("capacity", "volume", run=run.id, load=number, found=ft3, limit=rig.cap_ft3)
        if over_lb > 0:
            self._fault("capacity", "weight", run=run.id, load=number, found=lb, limit=rig.cap_lb)

    def _bed_takes(self, rig: PlanRig, aboard: Counter[str], over_ft3: Fraction, over_lb: Fraction) -> bool:
        """Whether bed woods, in whole steps, bring the trailer down by so much and still fit the bed.

        Walks through all sums of the woods' steps; of two that bring down the same volume only the weights
        that can still matter are kept.
        """
        reached = {(Fraction(0), Fraction(0))}
        for wood_id, quantity in aboard.items():
            wood = self.woods[wood_id]
            if not wood.rides_in_bed or not quantity:
                continue
            step = wood.bed_step or Fraction(self.problem.wood_units_per_cord, 12)
            amounts = [step * n for n in range(floor(quantity / step) + 1)]
            reached = {
                (ft3 + self._cords(amount) * wood.ft3_per_cord, lb + self._cords(amount) * wood.lb_per_cord)
                for ft3, lb in reached
                for amount in amounts
            }
            reached = {(ft3, lb) for ft3, lb in reached if ft3 <= rig.bed_ft3 and lb <= rig.bed_lb}
        return any(ft3 >= over_ft3 and lb >= over_lb for ft3, lb in reached)

    def _steps(self, run: PlanRun, rig: PlanRig, plan: RunPlan) -> Iterator[Step]:
        """Every leg with what waits at its end; a leg without a way is a fault and has no seconds."""
        home = self.yards[rig.home].loc
        here, aboard = home, Fraction(0)

        def leg(there: int, *, is_loaded: bool) -> tuple[int, int | None, Fraction]:
            table = rig.roads[0].table
            for band in rig.roads[1:]:
                if aboard > band.over_lb:
                    table = band.table
            rate = rig.loaded_c_km if is_loaded else rig.empty_c_km
            meters, seconds = self.roads[table].meters[here][there], self.roads[table].seconds[here][there]
            return (0, None, rate) if meters is None or seconds is None else (meters, seconds, rate)

        for number, load in enumerate(plan.loads, 1):
            for visit, fill in enumerate(load.fills):
                yard = self.yards[fill.yard]
                quantity = sum(_quantity(self.parts[part][1]) for part in fill.parts)
                stay = yard.load_fixed_s + _whole_seconds(self._cords(yard.load_s_per_cord * quantity))
                opens, closes = self._open(fill.yard, run.date)
                meters, seconds, rate = leg(yard.loc, is_loaded=visit > 0)
                if seconds is None:
                    self._fault("road", "yard", run=run.id, load=number, yard=yard.id, found=aboard)
                kind = "yard" if closes >= 0 else "shut"
                yield Step(kind, seconds, meters, rate, opens, closes - stay, stay, yard=yard.id)
                here = yard.loc
                aboard += sum((self.pounds[part] for part in fill.parts), Fraction(0))
            aboard = sum((self.pounds[part] for part in load.parts), Fraction(0))
            for part_id in load.parts:
                order, part = self.parts[part_id]
                stay = order.stop_s + _whole_seconds(self._cords(order.unload_s_per_cord * _quantity(part)))
                meters, seconds, rate = leg(order.loc, is_loaded=True)
                if seconds is None:
                    self._fault("road", "drop", run=run.id, load=number, part=part_id, found=aboard)
                yield Step("drop", seconds, meters, rate, *order.window_s, stay, part=part_id)
                here = order.loc
                aboard -= self.pounds[part_id]
        meters, seconds, rate = leg(home, is_loaded=False)
        if seconds is None:
            self._fault("road", "home", run=run.id)
        yield Step("home", seconds, meters, rate, 0, run.end_s, 0)

    def _open(self, yard_id: str, on: int) -> tuple[int, int]:
        """When a yard is open on a date; never, as a window nothing fits, when it is shut."""
        yard = self.yards[yard_id]
        hours = yard.hours[on] if yard.hours else (yard.open_s, yard.close_s)
        if hours is None or any(shut.yard == yard_id and shut.date == on for shut in self.problem.shuts):
            return 0, -1
        return hours

    def _free_from(self, run: PlanRun, rig: PlanRig) -> int:
        return max([run.start_s, *(wait.free_at for wait in self._waits(run, rig))])

    def _waits(self, run: PlanRun, rig: PlanRig) -> Iterator[_Wait]:
        """The runs clocked before this one that have its truck or its driver."""
        for other in self.back:
            if other.run.date != run.date:
                continue
            same_rig = other.rig.id == rig.id
            if same_rig or (rig.truck != "" and rig.truck == other.rig.truck):
                hitch = [truck.hitch_s for truck in self.problem.trucks if truck.id == rig.truck]
                yield _Wait("truck", other.run.id, other.at, other.at + (0 if same_rig else sum(hitch)))
            elif run.driver != "" and run.driver == other.run.driver:
                yield _Wait("driver", other.run.id, other.at, other.at)

    def _stock(self, plan: Plan) -> None:
        taken: Counter[tuple[str, str]] = Counter()
        for run in plan.runs:
            for load in run.loads:
                for fill in load.fills:
                    for part in fill.parts:
                        for wood, quantity in self.parts[part][1].lines if part in self.parts else ():
                            taken[fill.yard, wood] += quantity
        for (yard_id, wood), quantity in sorted(taken.items()):
            if yard_id in self.yards:
                there = sum(units for name, units in self.yards[yard_id].stock if name == wood)
                if quantity > there:
                    self._fault("stock", yard=yard_id, wood=wood, found=quantity, limit=there)

    def _crews(self, plan: Plan) -> None:
        """Cords of a driver's runs on one date."""
        handled: Counter[tuple[int, str]] = Counter()
        limits: dict[tuple[int, str], list[int]] = defaultdict(list)
        last: dict[tuple[int, str], str] = {}
        for row in plan.runs:
            run = self.runs.get(row.id)
            if run is not None:
                crew = (run.date, run.driver or f"of {run.id}")
                handled[crew] += sum(_quantity(self.parts[p][1]) for p in row.parts if p in self.parts)
                limits[crew] += [] if run.most_quantity is None else [run.most_quantity]
                last[crew] = run.id
        for crew, quantity in handled.items():
            if limits[crew] and quantity > min(limits[crew]):
                self._fault("crew", run=last[crew], found=quantity, limit=min(limits[crew]))

    def _pins(self, plan: Plan) -> None:
        pins = {pin.part: pin for pin in self.problem.pins}
        for run in plan.runs:
            for load in run.loads:
                for fill in load.fills:
                    for pin in (pins[part] for part in fill.parts if part in pins):
                        if run.id != pin.run or pin.yard not in (None, fill.yard):
                            self._fault(
                                "pin", run=pin.run, other_run=run.id, part=pin.part, yard=pin.yard or ""
                            )

    def _frozen(self, plan: Plan) -> None:
        for run_id, loads in self.problem.frozen:
            wanted = [load for load in loads if load[1]]
            found = [load.sketch for run in plan.runs if run.id == run_id for load in run.loads]
            if wanted != found:
                self._fault("frozen", run=run_id)

    def _orders(self, brought: set[str]) -> tuple[tuple[str, ...], int]:
        left_out, penalty = [], 0
        for order in self.problem.orders:
            there = [part.id in brought for part in order.parts]
            if all(there):
                continue
            left_out.append(order.id)
            penalty += order.value_c + order.postpone_c
            if any(there):
                self._fault("split", order=order.id, found=sum(there), limit=len(there))
        return tuple(left_out), penalty

    def _cords(self, units: int | Fraction) -> Fraction:
        return Fraction(units) / self.problem.wood_units_per_cord

    def _pounds(self, part: PlanPart) -> Fraction:
        return sum((self._cords(q) * self.woods[wood].lb_per_cord for wood, q in part.lines), Fraction(0))


def _begins(plan: RunPlan) -> list[int]:
    begins: list[int] = []
    for load in plan.loads:
        begins += [fill.begin_s for fill in load.fills]
        begins += [stop.begin_s for stop in load.stops]
    return begins


def _quantity(part: PlanPart) -> int:
    return sum(quantity for _, quantity in part.lines)


def _whole_seconds(seconds: Fraction) -> int:
    return -(-seconds.numerator // seconds.denominator)


def _cents(amount: Fraction | int) -> int:
    return int((Fraction(amount) + Fraction(1, 2)) // 1)

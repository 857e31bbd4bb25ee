"""The referee: works a plan out afresh and says every rule it breaks.

It shares no code with the planner or with the clock in `plan`: it walks each run minute by minute on its own,
so a mistake made there is caught here. Rules are numbered as in the plan format: see `RULES`.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from routing.core.plan import LoadPlan, Plan, RunPlan
from routing.core.problem import DayProblem, PlanOrder, PlanPart, PlanRig, PlanYard, Shift

RULES = {
    "unknown": "everything the plan names is in the problem",
    "twice": "each part travels at most once, each shift is used at most once",
    "all or none": "all parts of an order or none",
    "date": "an order is brought on one of its dates",
    "trailer": "no trailer where none may come",
    "volume": "a load fits the box",
    "weight": "a load stays within the payload",
    "yard hours": "loading begins and ends while the yard is open",
    "window": "unloading begins inside the window",
    "shift": "not out before the start, home by the end",
    "longest": "no longer paid than the longest day",
    "stock": "no yard gives more than it has",
    "pin": "what is pinned stays where it was put",
    "frozen": "a fixed run stays as it is",
    "clock": "the times the plan states are the times it takes",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One broken rule: its key in RULES, where, and a sentence."""

    rule: str
    where: str
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What the referee found. cost_c is meaningful only when ok."""

    ok: bool
    faults: tuple[Fault, ...]
    cost_c: int
    road_c: int
    driver_c: int
    fixed_c: int
    left_out_c: int
    left_out: tuple[str, ...]

    @property
    def sentences(self) -> tuple[str, ...]:
        """All faults as sentences."""
        return tuple(fault.sentence for fault in self.faults)


def check_plan(problem: DayProblem, plan: Plan) -> Verdict:
    """Check every rule and price the plan, from the bare sequences.

    Times stated in the plan are compared with the referee's own; a plan that states none (all zero) is
    judged by its sequences alone.
    """
    return _Referee(problem).judge(plan)


class _Referee:
    def __init__(self, problem: DayProblem) -> None:
        self.problem = problem
        self.yards = {yard.id: yard for yard in problem.yards}
        self.rigs = {rig.id: rig for rig in problem.rigs}
        self.shifts = {shift.id: shift for shift in problem.shifts}
        self.parts = {part.id: (order, part) for order in problem.orders for part in order.parts}
        self.woods = {wood.id: wood for wood in problem.woods}
        self.roads = dict(problem.roads)
        self.faults: list[Fault] = []

    def judge(self, plan: Plan) -> Verdict:
        for shift, times in Counter(run.shift for run in plan.runs).items():
            if times > 1:
                self._fault("twice", shift, f"The shift {shift} is used {times} times")
        seen = Counter(plan.parts)
        for part, times in seen.items():
            if times > 1:
                self._fault("twice", part, f"The part {part} is brought {times} times")
        road, driver, fixed = Fraction(0), Fraction(0), Fraction(0)
        for run in plan.runs:
            if run.loads:
                costs = self._run(run)
                road, driver, fixed = road + costs[0], driver + costs[1], fixed + costs[2]
        self._stock(plan)
        self._pins(plan)
        self._frozen(plan)
        left_out, penalty = self._orders(set(seen))
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

    def _fault(self, rule: str, where: str, sentence: str) -> None:
        self.faults.append(Fault(rule=rule, where=where, sentence=sentence + "."))

    def _run(self, run: RunPlan) -> tuple[Fraction, Fraction, Fraction]:
        nothing = (Fraction(0), Fraction(0), Fraction(0))
        shift = self.shifts.get(run.shift)
        if shift is None:
            self._fault("unknown", run.shift, f"The shift {run.shift} is not in the problem")
            return nothing
        if not self._names(run):
            return nothing
        rig = self.rigs[shift.rig]
        for load in run.loads:
            self._load(shift, rig, load)
        walk = list(self._walk(shift, rig, run))
        road = sum((step.road_c for step in walk), Fraction(0))
        earliest = self._forward(shift, run, walk, shift.start_s)
        if earliest is None:
            return road, Fraction(0), Fraction(rig.fixed_c)
        out = self._latest_departure(shift, walk, earliest)
        begins = self._forward(shift, run, walk, out)
        assert begins is not None, "a later departure within its slack keeps every window"
        paid = begins[-1] - out
        if paid > shift.max_s:
            self._fault(
                "longest",
                run.shift,
                f"The run {run.shift} is paid {paid} s, at most {shift.max_s} s are allowed",
            )
        self._stated(run, walk, out, begins)
        return road, Fraction(shift.wage_c_h * paid, 3600), Fraction(rig.fixed_c)

    def _names(self, run: RunPlan) -> bool:
        fine = True
        for load in run.loads:
            if load.yard not in self.yards:
                self._fault("unknown", run.shift, f"The yard {load.yard} is not in the problem")
                fine = False
            for part in load.parts:
                if part not in self.parts:
                    self._fault("unknown", run.shift, f"The part {part} is not in the problem")
                    fine = False
        return fine

    def _load(self, shift: Shift, rig: PlanRig, load: LoadPlan) -> None:
        volume = weight = Fraction(0)
        for part_id in load.parts:
            order, part = self.parts[part_id]
            if shift.date not in order.dates:
                self._fault(
                    "date", part_id, f"{order.label} may not be brought on {self.problem.dates[shift.date]}"
                )
            if order.no_trailer and rig.has_trailer:
                self._fault("trailer", part_id, f"{order.label} cannot take a trailer, {rig.label} has one")
            for wood, quantity in part.lines:
                cords = Fraction(quantity, self.problem.wood_units_per_cord)
                volume += cords * self.woods[wood].ft3_per_cord
                weight += cords * self.woods[wood].lb_per_cord
        if volume > rig.cap_ft3:
            self._fault(
                "volume",
                shift.id,
                f"A load of {shift.id} is {float(volume):.1f} ft3, {rig.label} holds {rig.cap_ft3}",
            )
        if weight > rig.cap_lb:
            self._fault(
                "weight",
                shift.id,
                f"A load of {shift.id} weighs {float(weight):.0f} lb, {rig.label} may carry {rig.cap_lb}",
            )

    def _walk(self, shift: Shift, rig: PlanRig, run: RunPlan) -> Iterator["_Step"]:
        """Every leg with what waits at its end."""
        home = self.yards[rig.home].loc
        here = home
        for load in run.loads:
            yard = self.yards[load.yard]
            carried = [self.parts[part] for part in load.parts]
            yield self._yard_step(shift, rig, yard, here, sum(_quantity(part) for _, part in carried))
            here = yard.loc
            for order, part in carried:
                yield self._drop_step(rig, order, part, here)
                here = order.loc
        yield _Step(
            kind="home",
            what="home",
            seconds=self.roads[rig.empty_roads].seconds[here][home],
            road_c=self.roads[rig.empty_roads].meters[here][home] * rig.empty_c_km / 1000,
            first=0,
            last=shift.end_s,
            stay=0,
        )

    def _yard_step(self, shift: Shift, rig: PlanRig, yard: PlanYard, here: int, quantity: int) -> "_Step":
        hours = None
        shut_today = [s for s in self.problem.shuts if s.yard == yard.id and s.date == shift.date]
        if not shut_today:
            hours = yard.hours[shift.date] if yard.hours else (yard.open_s, yard.close_s)
        stay = yard.load_fixed_s + _whole_seconds(
            Fraction(yard.load_s_per_cord * quantity, self.problem.wood_units_per_cord)
        )
        return _Step(
            kind="yard hours",
            what=f"loading at {yard.label}",
            seconds=self.roads[rig.empty_roads].seconds[here][yard.loc],
            road_c=self.roads[rig.empty_roads].meters[here][yard.loc] * rig.empty_c_km / 1000,
            first=hours[0] if hours else 0,
            last=hours[1] - stay if hours else -1,
            stay=stay,
        )

    def _drop_step(self, rig: PlanRig, order: PlanOrder, part: PlanPart, here: int) -> "_Step":
        return _Step(
            kind="window",
            what=f"unloading at {order.label}",
            seconds=self.roads[rig.loaded_roads].seconds[here][order.loc],
            road_c=self.roads[rig.loaded_roads].meters[here][order.loc] * rig.loaded_c_km / 1000,
            first=order.window_s[0],
            last=order.window_s[1],
            stay=order.stop_s
            + _whole_seconds(
                Fraction(order.unload_s_per_cord * _quantity(part), self.problem.wood_units_per_cord)
            ),
        )

    def _forward(self, shift: Shift, run: RunPlan, walk: list["_Step"], departure: int) -> list[int] | None:
        """When each halt begins after leaving home at `departure`, or None and a fault."""
        begins, free = [], departure
        for step in walk:
            begin = free + step.seconds
            if begin < step.first:
                begin = step.first
            if begin > step.last:
                rule = "shift" if step.kind == "home" else step.kind
                self._fault(
                    rule, run.shift, f"In {shift.id}, {step.what} begins {begin - step.last} s too late"
                )
                return None
            begins.append(begin)
            free = begin + step.stay
        return begins

    def _latest_departure(self, shift: Shift, walk: list["_Step"], earliest: list[int]) -> int:
        """The latest departure that is home no later: the slack before any wait, squeezed by every window.

        Leaving d seconds later shifts halts until waiting swallows it; d may grow while the halt where it
        is swallowed still takes it, and while no halt before that passes its last moment.
        """
        room = None
        waited = 0
        free = shift.start_s
        slack_to_last = []
        for step, begin in zip(walk, earliest, strict=True):
            waited += max(0, begin - (free + step.seconds))
            slack_to_last.append(waited + step.last - begin)
            free = begin + step.stay
        # a delay of d reaches halt k as max(0, d - waiting before or at k)
        room = min([waited, *slack_to_last])
        return shift.start_s + room

    def _stated(self, run: RunPlan, walk: list["_Step"], out: int, begins: list[int]) -> None:
        stated = [run.leave_s]
        worked_out = [out]
        number = 0
        for load in run.loads:
            stated += [load.begin_s, *(stop.begin_s for stop in load.stops)]
            worked_out += begins[number : number + 1 + len(load.stops)]
            number += 1 + len(load.stops)
        stated.append(run.home_s)
        worked_out.append(begins[-1])
        if any(stated) and stated != worked_out:
            self._fault(
                "clock", run.shift, f"The run {run.shift} states times that do not follow from its road"
            )

    def _stock(self, plan: Plan) -> None:
        taken: Counter[tuple[str, str]] = Counter()
        for run in plan.runs:
            for load in run.loads:
                for part in load.parts:
                    for wood, quantity in self.parts[part][1].lines if part in self.parts else ():
                        taken[load.yard, wood] += quantity
        for (yard_id, wood), quantity in sorted(taken.items()):
            if yard_id in self.yards:
                there = sum(units for name, units in self.yards[yard_id].stock if name == wood)
                if quantity > there:
                    unit = self.problem.wood_units_per_cord
                    self._fault(
                        "stock",
                        yard_id,
                        f"{self.yards[yard_id].label} gives {Fraction(quantity, unit)} cord of "
                        f"{self.woods[wood].label} but holds {Fraction(there, unit)}",
                    )

    def _pins(self, plan: Plan) -> None:
        for pin in self.problem.pins:
            for run in plan.runs:
                for load in run.loads:
                    if pin.part in load.parts and (
                        run.shift != pin.shift or pin.yard not in (None, load.yard)
                    ):
                        there = pin.shift if pin.yard is None else f"{pin.shift} from {pin.yard}"
                        self._fault(
                            "pin",
                            pin.part,
                            f"{pin.part} is pinned to {there}, not {run.shift} from {load.yard}",
                        )

    def _frozen(self, plan: Plan) -> None:
        for frozen in self.problem.frozen:
            wanted = [(load.yard, load.parts) for load in frozen.loads if load.parts]
            found = [
                (load.yard, load.parts)
                for run in plan.runs
                if run.shift == frozen.shift
                for load in run.loads
            ]
            if wanted != found:
                self._fault("frozen", frozen.shift, f"The run {frozen.shift} is fixed and was changed")

    def _orders(self, brought: set[str]) -> tuple[tuple[str, ...], int]:
        left_out, penalty = [], 0
        for order in self.problem.orders:
            there = [part.id in brought for part in order.parts]
            if all(there):
                continue
            left_out.append(order.id)
            penalty += order.value_c + order.postpone_c
            if any(there):
                self._fault(
                    "all or none",
                    order.id,
                    f"Only {sum(there)} of {len(there)} parts of {order.label} are brought",
                )
        return tuple(left_out), penalty


@dataclass(frozen=True, slots=True, kw_only=True)
class _Step:
    kind: str
    what: str
    seconds: int
    road_c: Fraction
    first: int
    last: int
    stay: int


def _quantity(part: PlanPart) -> int:
    return sum(quantity for _, quantity in part.lines)


def _whole_seconds(seconds: Fraction) -> int:
    return -(-seconds.numerator // seconds.denominator)


def _cents(amount: Fraction | int) -> int:
    return int((Fraction(amount) + Fraction(1, 2)) // 1)

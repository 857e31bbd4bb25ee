"""Why an order is left out of a plan, as a code and a sentence."""

from collections.abc import Iterator, Mapping, Sequence

from inventory.core.gaps import Joined, joined
from inventory.core.local import to_the_cent
from inventory.core.sentences import Sentence
from routing.planner.bed import bed_division
from routing.planner.clock import Clock, NoSuchTime
from routing.planner.fault_sentences import out_with, plan_cords
from routing.planner.fleet import PlanRig, PlanRun
from routing.planner.plan import Plan, Postponed, RunPlan, half_up_cents
from routing.planner.problem import DayProblem, PlanOrder, PlanPart

type Stock = Mapping[tuple[str, str], int]


def hopeless(problem: DayProblem, runs: Sequence[PlanRun], stock: Stock) -> tuple[Postponed, ...]:
    """Orders that not even an empty run could bring, each with its reason."""
    alone = _Alone(problem, stock)
    frozen = {part for _, loads in problem.frozen for _, parts in loads for part in parts}
    found = []
    for order in problem.orders:
        for part in order.parts:
            why = None if part.id in frozen else alone.why_not(order, part, runs)
            if why is not None:
                found.append(Postponed(order=order.id, code=why[0], reason=why[1]))
                break
    return tuple(found)


def left_out_reasons(
    problem: DayProblem, plan: Plan, left_out: Sequence[str], known: Mapping[str, Postponed]
) -> tuple[Postponed, ...]:
    """Why each order is not in the plan; `known` are those whose reason is known already."""
    after = _stock_after(problem, plan)
    orders = {order.id: order for order in problem.orders}
    return tuple(
        known[order] if order in known else _left_out_reason(problem, plan, after, orders[order])
        for order in left_out
    )


def alone_cost_c(problem: DayProblem, order: PlanOrder) -> int | None:
    """Cents the order costs with runs of its own, at the cheapest; None when no empty run can bring it."""
    alone = _Alone(problem, _stock(problem))
    total = 0
    for part in order.parts:
        least = min((cost for run in problem.runs for cost in alone.costs(order, part, run)), default=None)
        if least is None:
            return None
        total += least
    return half_up_cents(total)


def _left_out_reason(problem: DayProblem, plan: Plan, stock: Stock, order: PlanOrder) -> Postponed:
    """Why an order that could be brought by itself is not in a plan that leaves this stock."""
    for part in order.parts:
        if not any(_holds(stock, yard.id, part) for yard in problem.yards):
            return Postponed(
                order=order.id,
                code="wood taken",
                reason=Sentence(
                    "The {wood} left in any one yard does not reach for {cords}; other orders take it.",
                    {"wood": _woods(problem, part), "cords": plan_cords(problem, part.quantity)},
                ),
            )
    alone = alone_cost_c(problem, order)
    if alone is not None and alone > order.left_out_c:
        return Postponed(
            order=order.id,
            code="not worth",
            reason=Sentence(
                "By itself it costs {cost} to bring and is worth {worth}; no planned run passes near enough.",
                {"cost": to_the_cent(alone / 100), "worth": to_the_cent(order.left_out_c / 100)},
            ),
        )
    holder = _out_with(problem, plan, order)
    if holder is not None:
        return Postponed(order=order.id, code="shared", reason=holder)
    return Postponed(
        order=order.id,
        code="runs full",
        reason=Sentence(
            "The runs on its days have no hours or room left for it at a cost below what it is worth."
        ),
    )


def _out_with(problem: DayProblem, plan: Plan, order: PlanOrder) -> Sentence | None:
    """Whose truck or driver is out where a run would bring the order but for that; else None."""
    alone = _Alone(problem, _stock(problem))
    for run in problem.runs:
        if not all(any(alone.costs(order, part, run)) for part in order.parts):
            continue
        planned = plan.run_of(run.id)
        if planned is not None and not alone.takes_too(order, run, planned):
            continue
        near = [
            other for other in plan.runs if problem.wait_between(alone.clock.runs[other.id], run) is not None
        ]
        if near:
            last = max(near, key=lambda other: other.home_s)
            rig, other_rig = alone.clock.rigs[run.rig], alone.clock.rigs[alone.clock.runs[last.id].rig]
            is_truck = rig.truck_key == other_rig.truck_key
            truck = next((truck.label for truck in problem.trucks if truck.id == rig.truck), rig.label)
            holder = truck if is_truck else run.driver_name or run.driver
            return out_with(holder, other_rig.label, last.home_s)
    return None


class _Alone:
    """One part brought alone in an empty run: at what cost, or why not."""

    def __init__(self, problem: DayProblem, stock: Stock) -> None:
        self.problem = problem
        self.stock = stock
        self.clock = Clock(problem)
        self.pins = {pin.part: pin for pin in problem.pins}

    def why_not(
        self, order: PlanOrder, part: PlanPart, runs: Sequence[PlanRun]
    ) -> tuple[str, Sentence] | None:
        """A code and a sentence when none of these runs can bring it, each being empty."""
        problem, wood = self.problem, _woods(self.problem, part)
        days = {"days": _days(problem, order)}
        holders = [yard for yard in problem.yards if _holds(self.stock, yard.id, part)]
        amount = {"cords": plan_cords(problem, part.quantity), "wood": wood}
        if not holders:
            return "no wood", Sentence("No yard has {cords} of {wood}.", amount)
        pin = self.pins.get(part.id)
        today = [run for run in runs if run.date in order.dates and (pin is None or pin.run == run.id)]
        if not today:
            return "no run", Sentence("No rig is out on {days}.", days)
        if all(problem.hours_of(yard, run.date) is None for run in today for yard in holders):
            shut = Sentence("Every yard with {wood} is closed on {days}.", {**days, "wood": wood})
            return "yard shut", shut
        may_come = [run for run in today if not (order.no_trailer and self._rig(run).has_trailer)]
        if not may_come:
            return "trailer", Sentence("No rig small enough is out: the place takes no trailer.")
        big_enough = [run for run in may_come if self._carries(run, part)]
        if not big_enough:
            return "too big", Sentence("No rig that may come carries {cords} of {wood} at once.", amount)
        if any(next(self.costs(order, part, run), None) is not None for run in big_enough):
            return None
        return self._why_no_time(order, part, big_enough)

    def costs(self, order: PlanOrder, part: PlanPart, run: PlanRun) -> Iterator[int]:
        """Cost units of bringing one part alone in a run, one for each yard that can."""
        rig = self._rig(run)
        if run.date not in order.dates or (order.no_trailer and rig.has_trailer):
            return
        pin = self.pins.get(part.id)
        if (pin is not None and pin.run != run.id) or not self._carries(run, part):
            return
        for yard in self._yards(part):
            try:
                alone = self.clock.run((run.id, ((yard, (part.id,)),)))
            except NoSuchTime:
                continue
            if alone.paid_s <= run.max_s:
                yield alone.cost_units

    def takes_too(self, order: PlanOrder, run: PlanRun, planned: RunPlan) -> bool:
        """Whether a planned run had the hours for an order's loads, first or last, were nobody else out."""
        loads = tuple((self._yards(part)[0], (part.id,)) for part in order.parts)
        for whole in ((*loads, *planned.sketch[1]), (*planned.sketch[1], *loads)):
            try:
                if self.clock.run((run.id, whole)).paid_s <= run.max_s:
                    return True
            except NoSuchTime:
                continue
        return False

    def _yards(self, part: PlanPart) -> list[str]:
        pin = self.pins.get(part.id)
        return [
            yard.id
            for yard in self.problem.yards
            if _holds(self.stock, yard.id, part) and (pin is None or pin.yard in (None, yard.id))
        ]

    def _rig(self, run: PlanRun) -> PlanRig:
        return self.clock.rigs[run.rig]

    def _carries(self, run: PlanRun, part: PlanPart) -> bool:
        is_small = run.most_quantity is None or part.quantity <= run.most_quantity
        return is_small and bed_division(self.problem, self._rig(run), dict(part.lines)) is not None

    def _why_no_time(self, order: PlanOrder, part: PlanPart, runs: Sequence[PlanRun]) -> tuple[str, Sentence]:
        if order.window_s[1] < order.window_s[0]:
            return "window", Sentence("Its window closes before it opens.")
        yards = self._yards(part)
        if not yards:
            return "pin", Sentence("The yard it is pinned to doesn’t have its wood.")
        failures = set()
        for run in runs:
            for yard in yards:
                try:
                    self.clock.run((run.id, ((yard, (part.id,)),)))
                    failures.add("home")  # in time, but paid for longer than allowed
                except NoSuchTime as failure:
                    failures.add(failure.kind)
        if "home" in failures:
            return "too far", Sentence("The drive there and back does not fit in the longest day.")
        if failures == {"road"}:
            return "no road", Sentence("No rig that carries it has a road there and back.")
        if "pause" in failures:
            return "pause", Sentence("The drive there and back leaves no place for the crew's break.")
        return "window", Sentence("Its window is too short after loading: no rig can be there in time.")


def _stock(problem: DayProblem) -> dict[tuple[str, str], int]:
    return {(yard.id, wood): units for yard in problem.yards for wood, units in yard.stock}


def _stock_after(problem: DayProblem, plan: Plan) -> Stock:
    stock = _stock(problem)
    lines = {part.id: part.lines for order in problem.orders for part in order.parts}
    for fill in (fill for run in plan.runs for load in run.loads for fill in load.fills):
        for wood, units in (line for part in fill.parts for line in lines[part]):
            stock[fill.yard, wood] = stock.get((fill.yard, wood), 0) - units
    return stock


def _holds(stock: Stock, yard: str, part: PlanPart) -> bool:
    return all(stock.get((yard, wood), 0) >= units for wood, units in part.lines)


def _woods(problem: DayProblem, part: PlanPart) -> Joined:
    return joined((Sentence(problem.wood(wood).label) for wood, _ in part.lines), "and")


def _days(problem: DayProblem, order: PlanOrder) -> Joined | Sentence:
    names = [problem.dates[on] for on in order.dates]
    return joined(names) if names else Sentence("any date it may be brought")

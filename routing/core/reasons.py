"""Why an order is left out of a plan, as a code and a sentence."""

from collections.abc import Mapping, Sequence
from fractions import Fraction

from routing.core.plan import Plan, Postponed, half_up_cents, meter_units, second_units
from routing.core.problem import (
    COST_UNITS_PER_CENT,
    DayProblem,
    PlanOrder,
    PlanPart,
    PlanRig,
    Shift,
    load_seconds,
)

type Stock = Mapping[tuple[str, str], int]


def hopeless(problem: DayProblem, shifts: Sequence[Shift], stock: Stock) -> tuple[Postponed, ...]:
    """Orders that not even an empty run could bring, each with its reason."""
    rigs = {rig.id: rig for rig in problem.rigs}
    frozen = {part for run in problem.frozen for load in run.loads for part in load.parts}
    found = []
    for order in problem.orders:
        for part in order.parts:
            if part.id in frozen:
                continue
            why = _hopeless(problem, order, part, shifts, rigs, stock)
            if why is not None:
                found.append(Postponed(order=order.id, code=why[0], reason=why[1]))
                break
    return tuple(found)


def left_out_reasons(
    problem: DayProblem, plan: Plan, left_out: Sequence[str], known: Mapping[str, Postponed]
) -> tuple[Postponed, ...]:
    """Why each order is not in the plan; `known` are those no run could bring."""
    stock = _stock_after(problem, plan)
    orders = {order.id: order for order in problem.orders}
    return tuple(
        known[order] if order in known else _left_out_reason(problem, stock, orders[order])
        for order in left_out
    )


def _stock_after(problem: DayProblem, plan: Plan) -> Stock:
    stock = {(yard.id, wood): units for yard in problem.yards for wood, units in yard.stock}
    lines = {part.id: part.lines for o in problem.orders for part in o.parts}
    for run in plan.runs:
        for load in run.loads:
            for part in load.parts:
                for wood, units in lines[part]:
                    stock[load.yard, wood] = stock.get((load.yard, wood), 0) - units
    return stock


def _left_out_reason(problem: DayProblem, stock: Stock, order: PlanOrder) -> Postponed:
    """Why an order that could be brought by itself is not in a plan that leaves this stock."""
    for part in order.parts:
        if not any(_holds(stock, yard.id, part) for yard in problem.yards):
            return Postponed(
                order=order.id,
                code="wood taken",
                reason=f"The {_woods(problem, part)} left in any one yard does not reach for "
                f"{_amount(problem, part)}; other orders take it.",
            )
    alone = alone_cost_c(problem, order)
    if alone is not None and alone > order.left_out_c:
        return Postponed(
            order=order.id,
            code="not worth",
            reason=f"By itself it costs ${alone / 100:.2f} to bring and is worth "
            f"${order.left_out_c / 100:.2f}; no planned run passes near enough.",
        )
    return Postponed(
        order=order.id,
        code="runs full",
        reason="The runs on its days have no hours or room left for it at a cost below what it is worth.",
    )


def alone_cost_c(problem: DayProblem, order: PlanOrder) -> int | None:
    """Cents the order costs with a run of its own, at the cheapest; None when no empty run can bring it."""
    rigs = {rig.id: rig for rig in problem.rigs}
    stock = {(yard.id, wood): units for yard in problem.yards for wood, units in yard.stock}
    total = 0
    for part in order.parts:
        costs = [
            cost
            for shift in problem.shifts
            for cost in _run_costs(problem, order, part, shift, rigs[shift.rig], stock)
        ]
        if not costs:
            return None
        total += min(costs)
    return half_up_cents(total)


def _hopeless(
    problem: DayProblem,
    order: PlanOrder,
    part: PlanPart,
    shifts: Sequence[Shift],
    rigs: Mapping[str, PlanRig],
    stock: Stock,
) -> tuple[str, str] | None:
    holders = [yard for yard in problem.yards if _holds(stock, yard.id, part)]
    if not holders:
        return "no wood", f"No yard holds {_amount(problem, part)} of {_woods(problem, part)}."
    pin = next((pin for pin in problem.pins if pin.part == part.id), None)
    today = [
        shift for shift in shifts if shift.date in order.dates and (pin is None or pin.shift == shift.id)
    ]
    if not today:
        return "no run", f"No rig is out on {_days(problem, order)}."
    open_days = {s.date for s in today for yard in holders if problem.hours_of(yard, s.date) is not None}
    if not open_days:
        return (
            "yard shut",
            f"Every yard that holds {_woods(problem, part)} is shut on {_days(problem, order)}.",
        )
    may_come = [s for s in today if not (order.no_trailer and rigs[s.rig].has_trailer)]
    if not may_come:
        return "trailer", "No rig small enough is out: the place takes no trailer."
    big_enough = [s for s in may_come if _fits(problem, part, rigs[s.rig])]
    if not big_enough:
        return (
            "too big",
            f"No rig that may come carries {_amount(problem, part)} of {_woods(problem, part)} at once.",
        )
    if any(_run_costs(problem, order, part, s, rigs[s.rig], stock) for s in big_enough):
        return None
    return _why_no_time(problem, order, part, big_enough, rigs, stock)


def _why_no_time(
    problem: DayProblem,
    order: PlanOrder,
    part: PlanPart,
    shifts: Sequence[Shift],
    rigs: Mapping[str, PlanRig],
    stock: Stock,
) -> tuple[str, str]:
    if order.window_s[1] < order.window_s[0]:
        return "window", "Its window closes before it opens."
    if pin_keeps_away(problem, part, stock):
        return "pin", "The yard it is pinned to does not hold its wood."
    roads = dict(problem.roads)
    for shift in shifts:
        rig = rigs[shift.rig]
        home = next(yard.loc for yard in problem.yards if yard.id == rig.home)
        for yard in problem.yards:
            hours = problem.hours_of(yard, shift.date)
            if hours is None or not _holds(stock, yard.id, part):
                continue
            service = load_seconds(
                yard.load_fixed_s, yard.load_s_per_cord, part.quantity, problem.wood_units_per_cord
            )
            begin = max(shift.start_s + roads[rig.empty_roads].seconds[home][yard.loc], hours[0])
            there = begin + service + roads[rig.loaded_roads].seconds[yard.loc][order.loc]
            if begin + service <= hours[1] and there <= order.window_s[1]:
                return "too far", "The drive there and back does not fit in the longest day."
    return "window", "Its window is too short after loading: no rig can be there in time."


def pin_keeps_away(problem: DayProblem, part: PlanPart, stock: Stock) -> bool:
    """Whether the part is pinned to a yard that lacks its wood."""
    return any(
        pin.part == part.id and pin.yard is not None and not _holds(stock, pin.yard, part)
        for pin in problem.pins
    )


def _run_costs(
    problem: DayProblem, order: PlanOrder, part: PlanPart, shift: Shift, rig: PlanRig, stock: Stock
) -> list[int]:
    """Cost units of bringing one part alone in a shift, one for each yard that can."""
    if (
        shift.date not in order.dates
        or (order.no_trailer and rig.has_trailer)
        or not _fits(problem, part, rig)
    ):
        return []
    pin = next((pin for pin in problem.pins if pin.part == part.id), None)
    roads = dict(problem.roads)
    loaded, empty = roads[rig.loaded_roads], roads[rig.empty_roads]
    home = next(yard.loc for yard in problem.yards if yard.id == rig.home)
    units = problem.wood_units_per_cord
    unload = load_seconds(order.stop_s, order.unload_s_per_cord, part.quantity, units)
    costs = []
    for yard in problem.yards:
        hours = problem.hours_of(yard, shift.date)
        if hours is None or not _holds(stock, yard.id, part):
            continue
        if pin is not None and (pin.shift != shift.id or pin.yard not in (None, yard.id)):
            continue
        service = load_seconds(yard.load_fixed_s, yard.load_s_per_cord, part.quantity, units)
        begin = max(shift.start_s + empty.seconds[home][yard.loc], hours[0])
        drop = max(begin + service + loaded.seconds[yard.loc][order.loc], order.window_s[0])
        back = drop + unload + empty.seconds[order.loc][home]
        if begin + service > hours[1] or drop > order.window_s[1] or back > shift.end_s:
            continue
        latest = min(drop - loaded.seconds[yard.loc][order.loc] - service, hours[1] - service)
        paid = back - (latest - empty.seconds[home][yard.loc])
        if paid > shift.max_s:
            continue
        road = loaded.meters[yard.loc][order.loc] * meter_units(rig.loaded_c_km) + (
            empty.meters[home][yard.loc] + empty.meters[order.loc][home]
        ) * meter_units(rig.empty_c_km)
        costs.append(road + paid * second_units(shift.wage_c_h) + rig.fixed_c * COST_UNITS_PER_CENT)
    return costs


def _holds(stock: Stock, yard: str, part: PlanPart) -> bool:
    return all(stock.get((yard, wood), 0) >= units for wood, units in part.lines)


def _fits(problem: DayProblem, part: PlanPart, rig: PlanRig) -> bool:
    woods = {wood.id: wood for wood in problem.woods}
    units = problem.wood_units_per_cord
    return (
        sum(quantity * woods[wood].ft3_per_cord for wood, quantity in part.lines) <= rig.cap_ft3 * units
        and sum(quantity * woods[wood].lb_per_cord for wood, quantity in part.lines) <= rig.cap_lb * units
    )


def _amount(problem: DayProblem, part: PlanPart) -> str:
    cords = Fraction(part.quantity, problem.wood_units_per_cord)
    whole, rest = divmod(cords.numerator, cords.denominator)
    if not rest:
        return f"{whole} cord{'' if whole == 1 else 's'}"
    return f"{f'{whole} ' if whole else ''}{rest}/{cords.denominator} cord"


def _woods(problem: DayProblem, part: PlanPart) -> str:
    return " and ".join(problem.wood(wood).label for wood, _ in part.lines)


def _days(problem: DayProblem, order: PlanOrder) -> str:
    names = [problem.dates[on] for on in order.dates]
    return ", ".join(names) if names else "any date it may be brought"

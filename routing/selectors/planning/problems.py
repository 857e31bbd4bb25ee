"""The books as a planning problem: yards, lots held, rigs out, orders to bring, roads for each weight.

Every order takes the wood held for it, so a yard's stock is what these orders hold there. Call this
outside transactions: roads may be asked of the engine.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from inventory.core.gaps import ShortDay
from inventory.core.sentences import Sentence
from inventory.fields import UNITS_PER_CORD
from inventory.models import Yard
from inventory.selectors.sale import plan_weights
from orders.models import Order
from routing.core import RoutingError
from routing.core.roads import Point
from routing.earned.costs import minutes_rule, rates_on
from routing.models import Driver, Rig, Shut
from routing.planner.fleet import Truck
from routing.planner.plan import Postponed
from routing.planner.problem import DayProblem, Pin, PlanOrder, YardShut
from routing.planner.sketches import RunSketch, fills_of
from routing.selectors.learned_paces import NO_PACES, PacesInUse, paces_in_use
from routing.selectors.planning.order_parts import imagined_order, orders_to_plan
from routing.selectors.planning.parcels import Newcomer, PartRow, wood_of
from routing.selectors.planning.part_sizes import heaviest_load
from routing.selectors.planning.problem_values import (
    MINUTE,
    VOLUME_STEPS,
    OpenRun,
    is_own_day,
    plan_order,
    plan_rig,
    plan_run,
    plan_wood,
    plan_yard,
)
from routing.selectors.rigs import rates_by_rig
from routing.selectors.roads.current import roads_now
from routing.selectors.roads.rig_roads import posted_limits, road_bands, roads_of

FILL_YARDS = 2  # so many yards may fill one load
READ_OF_ORDERS = (
    "number",
    "stacked",
    "small_rig_only",
    "total_dollars",
    "window_from",
    "window_to",
    "first_on",
    "last_on",
    "promised_on",
    "customer__name",
    "place__lat",
    "place__lon",
    "place__town__lat",
    "place__town__lon",
)
MAY_GO = (Order.State.CONFIRMED, Order.State.PLANNED)


class NoRigOut(RoutingError):
    """Nobody drives."""

    says = "No rig is out: choose one, or put a broken one back on the rigs page."


class NothingToBring(RoutingError):
    says = "No confirmed order may go on {on}: confirm one, or choose another day."
    in_words = {"on": ShortDay}


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """A problem, what its parts are in the books, and the orders that cannot even be tried."""

    problem: DayProblem
    parts: Mapping[str, PartRow]
    impossible: tuple[Postponed, ...]
    open_runs: tuple[OpenRun, ...]
    dates: tuple[date, ...]
    engine: str
    is_estimate: bool
    newcomer: PlanOrder | None = None
    tight_yards: frozenset[int] = frozenset()  # where no big trailer turns
    paces: PacesInUse = NO_PACES
    customers: Mapping[int, int] = field(default_factory=dict)  # by order id


def orders_for(on: date, *, last: date | None = None) -> list[Order]:
    """Orders that may be brought between two dates and are not promised for another day."""
    last = last or on
    rows = (
        Order.objects.filter(state__in=MAY_GO, how=Order.How.DELIVERED)
        .filter(first_on__lte=last, last_on__gte=on, is_pool=False)
        .select_related("place__town", "customer")
        .order_by("number")
    )
    return [row for row in rows if row.promised_on is None or on <= row.promised_on <= last]


def prepare(
    *,
    open_runs: Sequence[OpenRun],
    order_numbers: Iterable[int] | None = None,
    must_go: bool = False,
    own_days: bool = False,
    pins: Iterable[Pin] = (),
    frozen: Sequence[RunSketch] = (),
    fixed_numbers: Collection[int] = (),
    keep_parts: bool = False,
    lot_swaps: Mapping[tuple[int, int], int] | None = None,
    newcomer: Newcomer | None = None,
) -> Prepared:
    """Build the problem of one or more dates.

    Units
        order_numbers: None takes every order that may go. must_go: leaving one out is all but forbidden.
        own_days: an order chosen for several days comes only on the days it asked for or was promised.
        fixed_numbers: orders on `frozen` runs: they come on these days whatever they asked for.
        keep_parts: orders already on these days keep the parts they were split in.
        lot_swaps: (order number, lot id) to the lot id to load instead.
        newcomer: an order that is not in the books yet; it has a place on the roads and its wood in
        stock, and stands beside the problem's orders, not among them.

    Errors
        NoRigOut, NothingToBring
        NoRates: a rig's running cost is not known. EngineDown: the road engine does not answer.
        BadProblem: rows that contradict each other.
    """
    if not open_runs:
        raise NoRigOut
    dates = tuple(sorted({open_run.on for open_run in open_runs}))
    rig_rows = Rig.objects.filter(pk__in=[open_run.rig_id for open_run in open_runs]).select_related("pickup")
    rigs = {rig.pk: rig for rig in rig_rows}
    crew_ids = {
        person for open_run in open_runs for person in (open_run.driver_id, open_run.helper_id) if person
    }
    crew = Driver.objects.in_bulk(crew_ids) if crew_ids else {}
    chosen = _chosen(dates, order_numbers)
    if not chosen and newcomer is None:
        raise NothingToBring(on=dates[0])
    impossible: list[Postponed] = []
    if own_days:
        chosen = _of_these_days(chosen, dates, fixed_numbers, impossible)
    wood = wood_of(chosen, dates, keep_parts=keep_parts, lot_swaps=lot_swaps or {})
    its_lots = {lot.pk for lot, _ in newcomer.picks} if newcomer is not None else set()
    weights = plan_weights(dates[0], wood.lots.keys() | its_lots)
    rigs_out = [rigs[open_run.rig_id] for open_run in open_runs]
    to_plan = orders_to_plan(chosen, wood, impossible, rigs=rigs_out, weights=weights)
    if newcomer is not None:
        to_plan.append(imagined_order(newcomer, rigs_out, weights))
    lots = {
        line.lot.code: line.lot for planned in to_plan for lines in planned.lines.values() for line in lines
    }
    yards = list(Yard.objects.order_by("pk"))
    shuts = list(Shut.objects.filter(from_on__lte=dates[-1], to_on__gte=dates[0]))
    points = [Point(lat=yard.lat, lon=yard.lon) for yard in yards] + [planned.point for planned in to_plan]
    rates = rates_by_rig(rigs)
    posted_lb = posted_limits()
    paces = paces_in_use()
    roads = {
        pk: roads_of(rig, rates_on(rates[pk], dates[0]), posted_lb, paces=paces.of_rig(pk))
        for pk, rig in rigs.items()
    }
    most_lb = {pk: heaviest_load(rig, to_plan, weights) for pk, rig in rigs.items()}
    bands, tables = road_bands(points, roads, most_lb=most_lb)
    rule = minutes_rule()
    orders = tuple(
        plan_order(
            planned,
            len(yards) + row,
            dates,
            shuts,
            rule,
            must_go=must_go,
            any_day=(must_go and not own_days) or planned.order.number in fixed_numbers,
            percent=paces.of_customer(planned.order.customer_id),
        )
        for row, planned in enumerate(to_plan)
    )
    now = roads_now()
    problem = DayProblem(
        name=f"{dates[0]}",
        dates=tuple(ShortDay(on) for on in dates),
        woods=tuple(plan_wood(lot, weights) for lot in sorted(lots.values(), key=lambda lot: lot.code)),
        yards=tuple(
            plan_yard(yard, row, dates, shuts, to_plan, percent=paces.of_yard(yard.pk))
            for row, yard in enumerate(yards)
        ),
        rigs=tuple(
            plan_rig(rig, rates[rig.pk], dates[0], bands[rig.pk], most_lb=most_lb[rig.pk])
            for rig in sorted(rigs.values(), key=lambda rig: rig.pk)
        ),
        runs=tuple(plan_run(open_run, rates[open_run.rig_id], dates, crew) for open_run in open_runs),
        orders=orders if newcomer is None else orders[:-1],
        roads=tuple(tables.items()),
        trucks=tuple(
            Truck(id=str(pickup.pk), hitch_s=pickup.hitch_minutes * MINUTE, name=pickup.name)
            for pickup in {rig.pickup for rig in rigs.values() if rig.pickup}
        ),
        wood_units_per_cord=UNITS_PER_CORD,
        volume_units_per_ft3=VOLUME_STEPS,
        fill_yards=max([FILL_YARDS, *(len(fills_of(load)) for _, loads in frozen for load in loads)]),
        pins=tuple(pins),
        shuts=tuple(
            YardShut(yard=str(shut.yard_id), date=number, reason=shut.reason)
            for shut in shuts
            for number, on in enumerate(dates)
            if shut.kind == Shut.Kind.YARD and shut.from_time is None and shut.from_on <= on <= shut.to_on
        ),
        frozen=tuple(frozen),
    )
    return Prepared(
        problem=problem,
        parts={part.id: part for planned in to_plan for part in planned.parts},
        impossible=tuple(impossible),
        open_runs=tuple(open_runs),
        dates=dates,
        engine=now.name or ("straight lines" if now.is_estimate else "roads"),
        is_estimate=now.is_estimate,
        newcomer=orders[-1] if newcomer is not None else None,
        tight_yards=frozenset(yard.pk for yard in yards if not yard.takes_big_trailer),
        paces=paces,
        customers={planned.order.pk: planned.order.customer_id for planned in to_plan if planned.order.pk},
    )


def _chosen(dates: Sequence[date], numbers: Iterable[int] | None) -> list[Order]:
    if numbers is None:
        rows = orders_for(dates[0], last=dates[-1])
        return [row for row in rows if row.promised_on is None or row.promised_on in dates]
    named = Order.objects.filter(number__in=list(numbers)).select_related("place__town", "customer")
    return list(named.only(*READ_OF_ORDERS).order_by("number"))


def _of_these_days(
    orders: list[Order], dates: Sequence[date], fixed: Collection[int], impossible: list[Postponed]
) -> list[Order]:
    """Those with a day among these; the others are told why they stay."""
    kept = []
    for order in orders:
        if order.number in fixed or any(is_own_day(order, on, dates) for on in dates):
            kept.append(order)
            continue
        days = {"first": ShortDay(order.first_on), "last": ShortDay(order.last_on)}
        why = Sentence("It may come {first} to {last}, and none of those days is planned here.", days)
        impossible.append(Postponed(order=str(order.number), code="other days", reason=why))
    return kept

"""The books as a planning problem: yards, lots held, rigs out, orders to bring, roads for each weight.

Every order takes the wood held for it, so a yard's stock is what these orders hold there. Call this
outside transactions: roads may be asked of the engine.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from math import floor

from inventory.fields import UNITS_PER_CORD, to_units
from inventory.models import Lot, Yard
from inventory.selectors.sale import plan_weights
from orders.models import Order
from routing.core import RoutingError
from routing.core.costs import METERS_PER_MILE, MinutesRule, RunningRates, minutes_rule, rates_on
from routing.core.plan import Postponed
from routing.core.problem import (
    DayProblem,
    FrozenLoad,
    FrozenRun,
    Pin,
    PlanOrder,
    PlanPart,
    PlanRig,
    PlanYard,
    Shift,
    Wood,
    YardShut,
)
from routing.core.roads import Point
from routing.models import Rig, Shut
from routing.selectors.parcels import (
    Newcomer,
    PartRow,
    Want,
    imagined_want,
    loose_ft3,
    pounds,
    room_of,
    wants_of,
    wood_of,
)
from routing.selectors.rig_roads import road_tables
from routing.selectors.rigs import rates_by_rig
from routing.selectors.roads import roads_now

VOLUME_STEPS = 10  # the planner counts tenths of a loose cubic foot
MINUTE = 60
MUST_GO_CENTS, LAST_DAY_CENTS, CAN_WAIT_CENTS = 200_000, 10_000, 1_500
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

    def __init__(self) -> None:
        super().__init__("No rig is out: choose one, or put a broken one back on the rigs page.")


class NothingToBring(RoutingError):
    def __init__(self, *, on: date) -> None:
        self.on = on
        super().__init__(f"No confirmed order may go on {on:%a %d %b}: confirm one, or choose another day.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Outing:
    """A rig that may go out on a date. Units: not before, home by, longest paid day in minutes."""

    rig_id: int
    on: date
    starts_at: time = time(7)
    ends_at: time = time(18)
    longest_minutes: int = 600
    driver_name: str = ""

    @property
    def shift(self) -> str:
        return f"{self.on.isoformat()}/{self.rig_id}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """A problem, what its parts are in the books, and the orders that cannot even be tried."""

    problem: DayProblem
    parts: Mapping[str, PartRow]
    impossible: tuple[Postponed, ...]
    outings: tuple[Outing, ...]
    dates: tuple[date, ...]
    engine: str
    is_estimate: bool
    newcomer: PlanOrder | None = None
    tight_yards: frozenset[int] = frozenset()  # where no big trailer turns


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
    outings: Sequence[Outing],
    order_numbers: Iterable[int] | None = None,
    must_go: bool = False,
    own_days: bool = False,
    pins: Iterable[Pin] = (),
    frozen: Sequence[FrozenRun] = (),
    keep_parts: bool = False,
    lot_swaps: Mapping[tuple[int, int], int] | None = None,
    newcomer: Newcomer | None = None,
) -> Prepared:
    """Build the problem of one or more dates.

    Units
        order_numbers: None takes every order that may go. must_go: leaving one out is all but forbidden.
        own_days: an order chosen for several days comes only on the days it asked for or was promised.
        keep_parts: orders already on these days keep the parts they were split in.
        lot_swaps: (order number, lot id) to the lot id to load instead.
        newcomer: an order that is not in the books yet; it has a place on the roads and its wood in
        stock, and stands beside the problem's orders, not among them.

    Errors
        NoRigOut, NothingToBring
        NoRates: a rig's running cost is not known. EngineDown: the road engine does not answer.
        BadProblem: rows that contradict each other.
    """
    if not outings:
        raise NoRigOut
    dates = tuple(sorted({outing.on for outing in outings}))
    rigs = {rig.pk: rig for rig in Rig.objects.filter(pk__in=[outing.rig_id for outing in outings])}
    chosen = _chosen(dates, order_numbers)
    if not chosen and newcomer is None:
        raise NothingToBring(on=dates[0])
    impossible: list[Postponed] = []
    fixed = {int(part.split(".")[0]) for run in frozen for load in run.loads for part in load.parts}
    if own_days:
        chosen = _of_these_days(chosen, dates, fixed, impossible)
    wood = wood_of(chosen, dates, keep_parts=keep_parts, lot_swaps=lot_swaps or {})
    its_lots = {lot.pk for lot, _ in newcomer.picks} if newcomer is not None else set()
    weights = plan_weights(dates[0], wood.lots.keys() | its_lots)
    rigs_out = [rigs[outing.rig_id] for outing in outings]
    wants = wants_of(chosen, wood, impossible, rigs=rigs_out, weights=weights)
    if newcomer is not None:
        wants.append(imagined_want(newcomer, rigs_out, weights))
    lots = {line.lot.code: line.lot for want in wants for lines in want.lines.values() for line in lines}
    yards = list(Yard.objects.order_by("pk"))
    shuts = list(Shut.objects.filter(from_on__lte=dates[-1], to_on__gte=dates[0]))
    points = [Point(lat=yard.lat, lon=yard.lon) for yard in yards] + [want.point for want in wants]
    tables = road_tables(points, rigs.values(), wants, weights)
    rule = minutes_rule()
    orders = tuple(
        _order(
            want,
            len(yards) + row,
            dates,
            shuts,
            rule,
            must_go=must_go,
            any_day=(must_go and not own_days) or want.order.number in fixed,
        )
        for row, want in enumerate(wants)
    )
    now = roads_now()
    rates = rates_by_rig(rigs)
    problem = DayProblem(
        name=f"{dates[0]}",
        dates=tuple(f"{on:%a %d %b}" for on in dates),
        woods=tuple(_wood(lot, weights) for lot in sorted(lots.values(), key=lambda lot: lot.code)),
        yards=tuple(_yard(yard, row, dates, shuts, wants) for row, yard in enumerate(yards)),
        rigs=tuple(
            _rig(rig, rates[rig.pk], dates[0]) for rig in sorted(rigs.values(), key=lambda rig: rig.pk)
        ),
        shifts=tuple(_shift(outing, rates[outing.rig_id], dates) for outing in outings),
        orders=orders if newcomer is None else orders[:-1],
        roads=tuple(tables.items()),
        wood_units_per_cord=UNITS_PER_CORD,
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
        parts={part.id: part for want in wants for part in want.parts},
        impossible=tuple(impossible),
        outings=tuple(outings),
        dates=dates,
        engine=now.name or ("straight lines" if now.is_estimate else "roads"),
        is_estimate=now.is_estimate,
        newcomer=orders[-1] if newcomer is not None else None,
        tight_yards=frozenset(yard.pk for yard in yards if not yard.takes_big_trailer),
    )


def frozen_run(shift: str, loads: Iterable[tuple[int, Sequence[str]]]) -> FrozenRun:
    """A run as it stands, for the planner to leave alone."""
    return FrozenRun(
        shift=shift, loads=tuple(FrozenLoad(yard=str(yard), parts=tuple(parts)) for yard, parts in loads)
    )


def _chosen(dates: Sequence[date], numbers: Iterable[int] | None) -> list[Order]:
    if numbers is None:
        rows = orders_for(dates[0], last=dates[-1])
        return [row for row in rows if row.promised_on is None or row.promised_on in dates]
    named = Order.objects.filter(number__in=list(numbers)).select_related("place__town", "customer")
    return list(named.only(*READ_OF_ORDERS).order_by("number"))


def _of_these_days(
    orders: list[Order], dates: Sequence[date], fixed: set[int], impossible: list[Postponed]
) -> list[Order]:
    """Those with a day among these; the others are told why they stay."""
    kept = []
    for order in orders:
        if order.number in fixed or any(_is_own_day(order, on, dates) for on in dates):
            kept.append(order)
            continue
        days = f"{order.first_on:%a %d %b} to {order.last_on:%a %d %b}"
        why = f"It may come {days}, and none of those days is planned here."
        impossible.append(Postponed(order=str(order.number), code="other days", reason=why))
    return kept


def _wood(lot: Lot, weights: Mapping[int, float]) -> Wood:
    return Wood(
        id=lot.code,
        lb_per_cord=pounds(lot, weights),
        ft3_per_cord=int(loose_ft3(lot) * VOLUME_STEPS),
        name=f"{lot.name} ({lot.code})",
    )


def _yard(
    yard: Yard, row: int, dates: Sequence[date], shuts: Sequence[Shut], wants: Sequence[Want]
) -> PlanYard:
    stock: dict[str, int] = defaultdict(int)
    for want in wants:
        for lines in want.lines.values():
            for line in lines:
                if line.lot.yard_id == yard.pk:
                    stock[line.lot.code] += to_units(line.cords)
    open_s, close_s = _seconds(yard.opens_at), _seconds(yard.closes_at)
    return PlanYard(
        id=str(yard.pk),
        loc=row,
        open_s=open_s,
        close_s=close_s,
        load_fixed_s=int(yard.load_fixed_minutes * MINUTE),
        load_s_per_cord=int(yard.load_minutes_per_cord * MINUTE),
        stock=tuple(sorted(stock.items())),
        hours=tuple(_hours(yard, on, shuts, open_s, close_s) for on in dates),
        name=yard.name,
    )


def _hours(yard: Yard, on: date, shuts: Sequence[Shut], open_s: int, close_s: int) -> tuple[int, int] | None:
    """The longer stretch left open by closures of some hours."""
    for shut in shuts:
        is_here = shut.kind == Shut.Kind.YARD and shut.yard_id == yard.pk and shut.from_on <= on <= shut.to_on
        if not is_here or shut.from_time is None:
            continue
        starts = _seconds(shut.from_time)
        ends = _seconds(shut.to_time) if shut.to_time else close_s
        before, after = (open_s, min(close_s, starts)), (max(open_s, ends), close_s)
        open_s, close_s = max(before, after, key=lambda stretch: stretch[1] - stretch[0])
    return (open_s, close_s) if close_s > open_s else None


def _rig(rig: Rig, known: Sequence[RunningRates], on: date) -> PlanRig:
    rates = rates_on(known, on)
    ft3, pounds = room_of(rig)
    return PlanRig(
        id=str(rig.pk),
        home=str(rig.home_yard_id),
        loaded_roads=f"loaded {rig.pk}",
        empty_roads=f"empty {rig.pk}",
        has_trailer=not rig.is_small,
        cap_ft3=floor(ft3 * VOLUME_STEPS),
        cap_lb=int(pounds),
        loaded_c_km=_cents_a_km(rates.loaded_mile),
        empty_c_km=_cents_a_km(rates.empty_mile),
        fixed_c=int(rates.fixed_run * 100),
        name=rig.name,
    )


def _cents_a_km(dollars_a_mile: Decimal) -> Fraction:
    return Fraction(dollars_a_mile) * 100 * 1000 / METERS_PER_MILE


def _shift(outing: Outing, known: Sequence[RunningRates], dates: Sequence[date]) -> Shift:
    rates = rates_on(known, outing.on)
    return Shift(
        id=outing.shift,
        rig=str(outing.rig_id),
        date=dates.index(outing.on),
        start_s=_seconds(outing.starts_at),
        end_s=_seconds(outing.ends_at),
        max_s=outing.longest_minutes * MINUTE,
        wage_c_h=int(rates.wage_hour * 100),
    )


def _order(
    want: Want,
    row: int,
    dates: Sequence[date],
    shuts: Sequence[Shut],
    rule: MinutesRule,
    *,
    must_go: bool,
    any_day: bool,
) -> PlanOrder:
    order = want.order
    per_cord = rule.throw_off_per_cord + (rule.stack_per_cord if order.stacked else 0)
    if must_go:
        postpone = MUST_GO_CENTS
    else:
        postpone = LAST_DAY_CENTS if order.last_on <= dates[-1] else CAN_WAIT_CENTS
    town_id = order.place.town_id if order.place else None
    return PlanOrder(
        id=str(order.number),
        loc=row,
        window_s=(_seconds(order.window_from), _seconds(order.window_to)),
        dates=tuple(
            number
            for number, on in enumerate(dates)
            if (any_day or _is_own_day(order, on, dates)) and not _road_is_shut(town_id, on, shuts)
        ),
        parts=tuple(
            PlanPart(
                id=part.id,
                lines=tuple((line.lot.code, to_units(line.cords)) for line in want.lines[part.id]),
            )
            for part in want.parts
        ),
        no_trailer=order.small_rig_only or want.from_tight_yard,
        stop_s=int(rule.drop * MINUTE),
        unload_s_per_cord=int(per_cord * MINUTE),
        price_c=int(order.total_dollars * 100),
        value_c=int(order.total_dollars * 100),
        postpone_c=postpone,
        name=f"of {order.customer.name} (order {order.number})",
    )


def _is_own_day(order: Order, on: date, dates: Sequence[date]) -> bool:
    """The day promised, or any it asked for."""
    if order.promised_on in dates:
        return on == order.promised_on
    return order.first_on <= on <= order.last_on


def _road_is_shut(town_id: int | None, on: date, shuts: Sequence[Shut]) -> bool:
    return any(
        shut.kind == Shut.Kind.ROAD
        and shut.town_id == town_id
        and shut.from_time is None
        and shut.from_on <= on <= shut.to_on
        for shut in shuts
        if town_id is not None
    )


def _seconds(at: time) -> int:
    return at.hour * 3600 + at.minute * 60 + at.second

"""The books as a planning problem: yards, lots held, rigs out, orders to bring, roads for each weight.

Every order takes the wood held for it, so a yard's stock is what these orders hold there. Call this
outside transactions: roads may be asked of the engine.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from math import floor

from inventory.fields import UNITS_PER_CORD, to_units
from inventory.models import Hold, Lot, Yard
from inventory.selectors.sale import plan_weights
from orders.models import Order, OrderHold
from routing.core import RoutingError
from routing.core.costs import METERS_PER_MILE, MinutesRule, minutes_rule, rates_on
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
    Roads,
    Shift,
    Wood,
    YardShut,
)
from routing.core.roads import Matrix, Point, RigProfile, rig_profile
from routing.models import Rig, Shut, Stop
from routing.selectors.rigs import rates_of, rig_value
from routing.selectors.roads import matrix_between, roads_now

USUAL_LOOSE_FT3 = 180  # of a cord; a rig's own heap number is counted in its box instead
STACKED_FT3 = 128
VOLUME_STEPS = 10  # the planner counts tenths of a loose cubic foot
NICE_PARTS = 12  # a big order is split at twelfths of a cord
MINUTE = 60
NO_ROAD_METERS, NO_ROAD_SECONDS = 10_000_000, 200_000  # farther than any day: nothing is planned over it
MUST_GO_CENTS, LAST_DAY_CENTS, CAN_WAIT_CENTS = 200_000, 10_000, 1_500
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
class PartRow:
    """What a planned part is in the books. lot_id None: it is drawn from several lots of the yard."""

    id: str
    order_id: int
    number: int
    part: int
    cords: Fraction
    bundles: int
    lot_id: int | None
    yard_id: int


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Newcomer:
    """An order somebody thinks of: an unsaved row, where it goes, and the lots it would take."""

    order: Order
    point: Point
    picks: tuple[tuple[Lot, Fraction], ...]


@dataclass(slots=True, kw_only=True)
class _Line:
    lot: Lot
    cords: Fraction


@dataclass(slots=True, kw_only=True)
class _Want:
    """An order on its way into the problem."""

    order: Order
    point: Point
    parts: list[PartRow] = field(default_factory=list)
    lines: dict[str, list[_Line]] = field(default_factory=dict)


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
    pins: Iterable[Pin] = (),
    frozen: Iterable[FrozenRun] = (),
    keep_parts: bool = False,
    lot_swaps: Mapping[tuple[int, int], int] | None = None,
    newcomer: Newcomer | None = None,
) -> Prepared:
    """Build the problem of one or more dates.

    Units
        order_numbers: None takes every order that may go. must_go: leaving one out is all but forbidden.
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
    weights = plan_weights(dates[0])
    impossible: list[Postponed] = []
    wants = _wants(
        chosen,
        dates,
        impossible,
        rigs=[rigs[outing.rig_id] for outing in outings],
        weights=weights,
        keep_parts=keep_parts,
        lot_swaps=lot_swaps or {},
    )
    if newcomer is not None:
        wants.append(_newcomer(newcomer, [rigs[outing.rig_id] for outing in outings], weights))
    lots = {line.lot.code: line.lot for want in wants for lines in want.lines.values() for line in lines}
    yards = list(Yard.objects.order_by("pk"))
    shuts = list(Shut.objects.filter(from_on__lte=dates[-1], to_on__gte=dates[0]))
    points = [Point(lat=yard.lat, lon=yard.lon) for yard in yards] + [want.point for want in wants]
    tables = _road_tables(points, rigs.values(), wants, weights)
    rule = minutes_rule()
    orders = tuple(
        _order(want, len(yards) + row, dates, shuts, rule, must_go=must_go) for row, want in enumerate(wants)
    )
    now = roads_now()
    problem = DayProblem(
        name=f"{dates[0]}",
        dates=tuple(f"{on:%a %d %b}" for on in dates),
        woods=tuple(_wood(lot, weights) for lot in sorted(lots.values(), key=lambda lot: lot.code)),
        yards=tuple(_yard(yard, row, dates, shuts, wants) for row, yard in enumerate(yards)),
        rigs=tuple(_rig(rig, dates[0]) for rig in sorted(rigs.values(), key=lambda rig: rig.pk)),
        shifts=tuple(_shift(outing, dates) for outing in outings),
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
    )


def frozen_run(shift: str, loads: Iterable[tuple[int, Sequence[str]]]) -> FrozenRun:
    """A run as it stands, for the planner to leave alone."""
    return FrozenRun(
        shift=shift, loads=tuple(FrozenLoad(yard=str(yard), parts=tuple(parts)) for yard, parts in loads)
    )


def part_id(number: int, part: int) -> str:
    """How a part of an order is named in plans."""
    return f"{number}.{part}"


def _chosen(dates: Sequence[date], numbers: Iterable[int] | None) -> list[Order]:
    if numbers is None:
        return orders_for(dates[0], last=dates[-1])
    rows = Order.objects.filter(number__in=list(numbers)).select_related("place__town", "customer")
    return list(rows.order_by("number"))


def _wants(
    orders: Sequence[Order],
    dates: Sequence[date],
    impossible: list[Postponed],
    *,
    rigs: Sequence[Rig],
    weights: Mapping[int, float],
    keep_parts: bool,
    lot_swaps: Mapping[tuple[int, int], int],
) -> list[_Want]:
    held: dict[int, list[Hold]] = defaultdict(list)
    links = OrderHold.objects.filter(order__in=[order.pk for order in orders]).order_by("pk")
    for link in links.select_related("hold__lot__yard"):
        if link.hold.state == Hold.State.STANDING:
            held[link.order_id].append(link.hold)
    kept: dict[int, list[Stop]] = defaultdict(list)
    if keep_parts:
        rows = Stop.objects.filter(load__run__day__on__in=dates, order__in=[order.pk for order in orders])
        for stop in rows.select_related("lot__yard", "load__yard").order_by("part"):
            kept[stop.order_id].append(stop)
    swapped = {lot.pk: lot for lot in Lot.objects.filter(pk__in=set(lot_swaps.values()))}
    wants = []
    for order in orders:
        point = _point(order)
        if point is None:
            impossible.append(_not(order, "no spot", "Its place has no spot on the map and no town."))
            continue
        want = _Want(order=order, point=point)
        lines = [
            _Line(lot=swapped.get(lot_swaps.get((order.number, hold.lot_id), 0), hold.lot), cords=hold.cords)
            for hold in held[order.pk]
        ]
        if kept[order.pk]:
            _keep(want, kept[order.pk], lines, lot_swaps, swapped)
        elif lines:
            may_come = [rig for rig in rigs if rig.is_small or not order.small_rig_only] or list(rigs)
            _split(want, lines, may_come, weights)
        else:
            impossible.append(
                _not(order, "no wood held", "No wood is held for it: pick a lot on its page first.")
            )
            continue
        wants.append(want)
    return wants


def _newcomer(newcomer: Newcomer, rigs: Sequence[Rig], weights: Mapping[int, float]) -> _Want:
    want = _Want(order=newcomer.order, point=newcomer.point)
    may_come = [rig for rig in rigs if rig.is_small or not newcomer.order.small_rig_only] or list(rigs)
    _split(want, [_Line(lot=lot, cords=cords) for lot, cords in newcomer.picks], may_come, weights)
    return want


def _point(order: Order) -> Point | None:
    place = order.place
    if place is None:
        return None
    if place.lat is not None and place.lon is not None:
        return Point(lat=place.lat, lon=place.lon)
    if place.town is not None:
        return Point(lat=place.town.lat, lon=place.town.lon)
    return None


def _keep(
    want: _Want,
    stops: Sequence[Stop],
    lines: Sequence[_Line],
    lot_swaps: Mapping[tuple[int, int], int],
    swapped: Mapping[int, Lot],
) -> None:
    """Parts as the day has them; a part of several lots is drawn from what is held."""
    for stop in stops:
        lot = stop.lot
        if lot is not None:
            lot = swapped.get(lot_swaps.get((want.order.number, lot.pk), 0), lot)
            amount = stop.cords + _bundle_cords(lot, stop.bundles)
            drawn = [_Line(lot=lot, cords=amount)]
        else:
            drawn = [line for line in lines if line.lot.yard_id == stop.load.yard_id] or list(lines)
        if not drawn:
            continue
        row = PartRow(
            id=part_id(want.order.number, stop.part),
            order_id=want.order.pk,
            number=want.order.number,
            part=stop.part,
            cords=stop.cords,
            bundles=stop.bundles,
            lot_id=lot.pk if lot else None,
            yard_id=drawn[0].lot.yard_id,
        )
        want.parts.append(row)
        want.lines[row.id] = drawn


def _split(want: _Want, lines: Sequence[_Line], rigs: Sequence[Rig], weights: Mapping[int, float]) -> None:
    """One part a yard where it fits the largest rig that may come; more where it does not."""
    by_yard: dict[int, list[_Line]] = defaultdict(list)
    for line in lines:
        by_yard[line.lot.yard_id].append(line)
    for yard_id in sorted(by_yard):
        left = [_Line(lot=line.lot, cords=line.cords) for line in by_yard[yard_id]]
        while left:
            taken = _one_part(left, rigs, weights)
            left = [line for line in left if line.cords > 0]
            _add_part(want, yard_id, taken)


def _one_part(left: list[_Line], rigs: Sequence[Rig], weights: Mapping[int, float]) -> list[_Line]:
    room = max(rigs, key=lambda rig: _room(rig)[0])
    ft3, pounds = _room(room)
    taken = []
    for line in left:
        each_ft3, each_lb = _loose_ft3(line.lot), Fraction(_pounds(line.lot, weights))
        most = min(ft3 / each_ft3, pounds / each_lb if each_lb else Fraction(10**6))
        amount = line.cords if most >= line.cords else Fraction(floor(most * NICE_PARTS), NICE_PARTS)
        if amount <= 0 and not taken:
            amount = line.cords  # no rig carries even a twelfth: the planner says why
        if amount <= 0:
            continue
        taken.append(_Line(lot=line.lot, cords=amount))
        ft3, pounds = ft3 - amount * each_ft3, pounds - amount * each_lb
        line.cords -= amount
    return taken


def _add_part(want: _Want, yard_id: int, taken: list[_Line]) -> None:
    number = len(want.parts) + 1
    bundles = sum(_bundles(line) for line in taken)
    wood = sum((line.cords for line in taken if not line.lot.bundle_ft3), Fraction(0))
    row = PartRow(
        id=part_id(want.order.number, number),
        order_id=want.order.pk,
        number=want.order.number,
        part=number,
        cords=wood,
        bundles=bundles,
        lot_id=taken[0].lot.pk if len(taken) == 1 else None,
        yard_id=yard_id,
    )
    want.parts.append(row)
    want.lines[row.id] = taken


def _bundles(line: _Line) -> int:
    return round(line.cords * STACKED_FT3 / Fraction(line.lot.bundle_ft3)) if line.lot.bundle_ft3 else 0


def _bundle_cords(lot: Lot, bundles: int) -> Fraction:
    return Fraction(lot.bundle_ft3 or 0) * bundles / STACKED_FT3


def _room(rig: Rig) -> tuple[Fraction, Fraction]:
    """Box and payload: loose ft3 at the usual number to a cord, and pounds."""
    box = rig_value(rig).box_ft3 * USUAL_LOOSE_FT3 / Fraction(rig.heap_number)
    return box, Fraction(rig.payload_lb)


def _loose_ft3(lot: Lot) -> Fraction:
    """Room a cord takes in the box; bundles lie as close as they were tied."""
    return Fraction(STACKED_FT3 if lot.bundle_ft3 else USUAL_LOOSE_FT3)


def _pounds(lot: Lot, weights: Mapping[int, float]) -> int:
    return floor(weights.get(lot.pk, 0.0) + 1)


def _wood(lot: Lot, weights: Mapping[int, float]) -> Wood:
    return Wood(
        id=lot.code,
        lb_per_cord=_pounds(lot, weights),
        ft3_per_cord=int(_loose_ft3(lot) * VOLUME_STEPS),
        name=f"{lot.name} ({lot.code})",
    )


def _yard(
    yard: Yard, row: int, dates: Sequence[date], shuts: Sequence[Shut], wants: Sequence[_Want]
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


def _rig(rig: Rig, on: date) -> PlanRig:
    rates = rates_on(rates_of(rig.pk), on)
    ft3, pounds = _room(rig)
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


def _shift(outing: Outing, dates: Sequence[date]) -> Shift:
    rates = rates_on(rates_of(outing.rig_id), outing.on)
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
    want: _Want,
    row: int,
    dates: Sequence[date],
    shuts: Sequence[Shut],
    rule: MinutesRule,
    *,
    must_go: bool,
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
            if (must_go or order.first_on <= on <= order.last_on) and not _road_is_shut(town_id, on, shuts)
        ),
        parts=tuple(
            PlanPart(
                id=part.id,
                lines=tuple((line.lot.code, to_units(line.cords)) for line in want.lines[part.id]),
            )
            for part in want.parts
        ),
        no_trailer=order.small_rig_only,
        stop_s=int(rule.drop * MINUTE),
        unload_s_per_cord=int(per_cord * MINUTE),
        price_c=int(order.total_dollars * 100),
        value_c=int(order.total_dollars * 100),
        postpone_c=postpone,
        name=f"of {order.customer.name} (order {order.number})",
    )


def _road_is_shut(town_id: int | None, on: date, shuts: Sequence[Shut]) -> bool:
    return any(
        shut.kind == Shut.Kind.ROAD
        and shut.town_id == town_id
        and shut.from_time is None
        and shut.from_on <= on <= shut.to_on
        for shut in shuts
        if town_id is not None
    )


def _road_tables(
    points: Sequence[Point], rigs: Iterable[Rig], wants: Sequence[_Want], weights: Mapping[int, float]
) -> dict[str, Roads]:
    lots = {line.lot.pk: line.lot for want in wants for lines in want.lines.values() for line in lines}
    heaviest = max((_pounds(lot, weights) for lot in lots.values()), default=0)
    in_all = sum(
        (
            line.cords * _pounds(line.lot, weights)
            for want in wants
            for lines in want.lines.values()
            for line in lines
        ),
        Fraction(0),
    )
    tables = {}
    for rig in rigs:
        value = rig_value(rig)
        wood_lb = min(Fraction(rig.payload_lb), value.box_cords * heaviest, in_all)
        tables[f"empty {rig.pk}"] = _roads(points, profile_of(rig, wood_lb=0))
        tables[f"loaded {rig.pk}"] = _roads(points, profile_of(rig, wood_lb=floor(wood_lb) + 1))
    return tables


def profile_of(rig: Rig, *, wood_lb: int) -> RigProfile:
    """The rig as the road sees it with so much wood on."""
    return rig_profile(
        weight_lb=rig_value(rig).empty_lb + wood_lb,
        length_ft=float(rig.length_ft),
        height_ft=float(rig.height_ft),
        has_trailer=rig.has_trailer,
        is_loaded=wood_lb > 0,
        top_speed_mph=rig.top_speed_mph,
    )


def _roads(points: Sequence[Point], profile: RigProfile) -> Roads:
    unique = tuple(dict.fromkeys(points))
    matrix: Matrix = matrix_between(unique, profile)
    at = [unique.index(point) for point in points]
    return Roads(
        meters=tuple(
            tuple(leg.meters if (leg := matrix.leg(a, b)) else NO_ROAD_METERS for b in at) for a in at
        ),
        seconds=tuple(
            tuple(leg.seconds if (leg := matrix.leg(a, b)) else NO_ROAD_SECONDS for b in at) for a in at
        ),
    )


def _not(order: Order, code: str, reason: str) -> Postponed:
    return Postponed(order=str(order.number), code=code, reason=reason)


def _seconds(at: time) -> int:
    return at.hour * 3600 + at.minute * 60 + at.second

"""What quotes need from the wood and from the road, as values the sale understands."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from firewood_site.day_roads import day_roads, open_dates
from firewood_site.planned_days import planned_days
from inventory.core.money import dollars as to_the_cent
from inventory.models import Yard
from inventory.selectors.business import business
from inventory.selectors.sale import SaleLot, lots_for_picking
from orders.core.drives import Drive, NoDrive, estimated_drive, nearest_drive
from orders.core.floors import DayRoad, SellerCost
from orders.core.picking import OpenLot, Pick
from orders.core.wants import Want
from routing.core import RoutingError
from routing.core.costs import NoRates, RunningRates, minutes_rule, rates_on
from routing.core.roads import CAR, EngineDown, Leg, OffTheMap, Point
from routing.models import Rig
from routing.selectors.drives import nearest_pick_up
from routing.selectors.rigs import rates_of
from routing.selectors.roads import drives_between, nearest_address, roads_now, search_streets
from routing.selectors.wood_costs import usual_wood_cost

METERS_PER_MILE = Decimal("1609.344")  # international mile, exact (NIST SP 811, appendix B)
MILLION = Decimal(1_000_000)
ALONE_WITHOUT_RATES = Decimal(3)  # dearer than any fee, so that nothing is given away unknown


@dataclass(frozen=True, slots=True, kw_only=True)
class StreetSpot:
    """Where a typed address lies."""

    lat: float
    lon: float
    label: str
    is_exact: bool


def open_lots(on: date) -> tuple[OpenLot, ...]:
    """Lots for sale as the picking sees them."""
    return as_open_lots(lots_for_picking(on))


def as_open_lots(rows: Iterable[SaleLot]) -> tuple[OpenLot, ...]:
    """Wood's rows as the sale's values; log length and kindling have no drying to wait for."""
    return tuple(
        OpenLot(
            lot=row.code,
            wood=row.wood,
            yard=row.yard,
            open_cords=row.open_cords,
            since=row.since,
            dry_on=row.dry_on if row.wood != "kindling" else row.since,
            call="seasoned" if row.wood == "kindling" else "green" if row.wood == "logs" else row.call,
            mix=row.mix,
        )
        for row in rows
    )


def road_to(*, lat: float, lon: float, yards: Iterable[str]) -> tuple[Drive, int | None]:
    """The drive from the nearest of the yards that hold the wood, and that yard's id.

    Where the road engine does not answer the drive is a straight-line estimate, and says so.

    Errors
        NoDrive: no yard holds the wood, or no road leads there.
    """
    holding = frozenset(yards)
    rows = list(Yard.objects.filter(name__in=holding).order_by("name"))
    legs: list[Leg | None] = []
    try:
        matrix = drives_between(
            [Point(lat=yard.lat, lon=yard.lon) for yard in rows], [Point(lat=lat, lon=lon)], CAR
        )
        legs = [matrix.leg(row, 0) for row in range(len(rows))]
        estimated = _is_estimate()
        drives = [
            Drive(miles=_miles(leg), minutes=leg.minutes, from_yard=yard.name, estimated=estimated)
            for yard, leg in zip(rows, legs, strict=True)
            if leg is not None
        ]
    except (EngineDown, OffTheMap):
        drives = [
            estimated_drive(from_lat=yard.lat, from_lon=yard.lon, to_lat=lat, to_lon=lon, from_yard=yard.name)
            for yard in rows
        ]
    best = nearest_drive(drives, holding=holding)
    return best, next((yard.pk for yard in rows if yard.name == best.from_yard), None)


def road_days(
    *,
    want: Want,
    lat: float,
    lon: float,
    town_id: int | None,
    drive: Drive,
    cost: SellerCost | None,
    first_on: date,
    count: int,
    picks: Iterable[Pick] = (),
) -> tuple[DayRoad, ...]:
    """What coming on each of the next days would add to what is already set: exact on planned days.

    Shapes
        picks: the lots it would take; with none the planner is not asked.
    """
    seller = business()
    to = Point(lat=lat, lon=lon)
    alone = max(cost.road_dollars if cost else Decimal(drive.miles) * ALONE_WITHOUT_RATES, Decimal(0))
    dates = open_dates((first_on + timedelta(days=ahead) for ahead in range(count)), town_id=town_id)
    exact = planned_days(
        dates,
        want=want,
        to=to,
        picks=picks,
        alone_dollars=alone,
        handling_dollars=cost.handling_dollars if cost else Decimal(0),
    )
    quick = day_roads(
        dates=tuple(on for on in dates if on not in exact.dates),
        to=to,
        cords=want.cords,
        alone_dollars=alone,
        rates=_rates(first_on),
        wage=seller.target_wage,
        planned=exact.orders,
    )
    return tuple(sorted((*quick, *exact.roads), key=lambda road: road.on))


def street_spot(text: str, *, near: tuple[float, float] | None) -> StreetSpot | None:
    """A typed address on the loaded map; None when nothing fits or no map is loaded."""
    try:
        point = Point(lat=near[0], lon=near[1]) if near else None
        hits = search_streets(text, near=point, limit=1)
    except EngineDown:
        return None
    if not hits or hits[0].kind == "place":
        return None
    hit = hits[0]
    return StreetSpot(lat=hit.lat, lon=hit.lon, label=hit.label, is_exact=hit.exact)


def street_near(lat: float, lon: float) -> str:
    """The address next to a pin, in words; empty when the map has none."""
    try:
        hit = nearest_address(lat, lon)
    except EngineDown:
        return ""
    if hit is None:
        return ""
    return hit.label if not hit.city or hit.city in hit.label else f"{hit.label}, {hit.city}"


def pick_up_yards() -> tuple[str, ...]:
    """Yards where customers may fetch wood."""
    return tuple(Yard.objects.filter(pick_up_here=True).order_by("name").values_list("name", flat=True))


def nearest_pick_up_yard(lat: float, lon: float) -> str:
    """The yard nearest to a spot where customers may fetch wood; the first by name where no road leads."""
    try:
        row = nearest_pick_up(lat=lat, lon=lon)
    except RoutingError:
        row = None
    return row.yard if row else next(iter(pick_up_yards()), "")


def seller_cost(*, cords: Fraction, is_stacked: bool, drive: Drive, on: date) -> SellerCost | None:
    """What an order costs the seller at their usual figures, driven alone: for the warning only they see.

    None while no rig and its running costs are written down.
    """
    seller = business()
    rates = _rates(on)
    if rates is None:
        return None
    usual, rule = usual_wood_cost(seller).cost, minutes_rule()
    wage = Fraction(seller.target_wage)
    wood = (Fraction(usual.cash) + usual.hours * wage) * cords
    miles = Fraction(drive.miles)
    road = miles * (Fraction(rates.loaded_mile) + Fraction(rates.empty_mile))
    road += Fraction(2 * drive.minutes, 60) * wage
    minutes = rule.drop + cords * (rule.throw_off_per_cord + (rule.stack_per_cord if is_stacked else 0))
    return SellerCost(
        wood_dollars=to_the_cent(wood),
        road_dollars=to_the_cent(road),
        handling_dollars=to_the_cent(minutes / 60 * wage),
    )


def dollars_per_million_btu(rows: Iterable[SaleLot], *, cord_dollars: Decimal) -> Decimal | None:
    """What a million Btu of useful heat costs in this wood; the mean of its open lots by amount."""
    open_rows = [row for row in rows if row.open_cords > 0 and row.btu_per_cord > 0]
    cords = sum((row.open_cords for row in open_rows), Fraction(0))
    if not cords:
        return None
    heat = sum(Decimal(str(row.btu_per_cord)) * _decimal(row.open_cords / cords) for row in open_rows)
    return to_the_cent(cord_dollars / (Decimal(heat) / MILLION))


def _is_estimate() -> bool:
    return roads_now().is_estimate


def _miles(leg: Leg) -> Decimal:
    return (Decimal(leg.meters) / METERS_PER_MILE).quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)


def _rates(on: date) -> RunningRates | None:
    """What a mile costs with the first rig that works."""
    first = Rig.objects.filter(works=True).order_by("name").values_list("pk", flat=True).first()
    try:
        return rates_on(rates_of(first), on) if first else None
    except NoRates:
        return None


def _decimal(share: Fraction) -> Decimal:
    return Decimal(share.numerator) / Decimal(share.denominator)


__all__ = [
    "NoDrive",
    "StreetSpot",
    "as_open_lots",
    "dollars_per_million_btu",
    "nearest_pick_up_yard",
    "open_lots",
    "pick_up_yards",
    "road_days",
    "road_to",
    "seller_cost",
    "street_near",
    "street_spot",
]

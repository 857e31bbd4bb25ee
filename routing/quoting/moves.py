"""What a move between yards takes by road: trips of the rig, miles, minutes, dollars; never forced."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from math import ceil

from inventory.core.money import dollars
from inventory.core.stock import Haul
from inventory.selectors.stock import LotRow
from inventory.selectors.yards import YardRow, yards
from routing.core import RoutingError
from routing.core.road_engine import CAR
from routing.core.roads import Leg, Point
from routing.earned.costs import NoRates, minutes_rule, rates_on
from routing.selectors.rigs import RigRow, rigs
from routing.selectors.roads.current import roads_now
from routing.selectors.roads.legs import drives_between
from routing.selectors.roads.rig_roads import roads_by_rig


@dataclass(frozen=True, slots=True, kw_only=True)
class HaulOffer(Haul):
    """The drive to a yard that wood may be moved to; its figures are None without a road."""

    yard: str
    trips: int = 1
    rig: str = ""
    is_estimate: bool = False


def haul_to(row: LotRow, *, to_yard_id: int, cords: Fraction | None, on: date) -> HaulOffer | None:
    """The drive for so much of a lot, or all of it, to a yard, trip by trip; None where it lies there.

    The rig goes out loaded and comes home empty, so a posted bridge may send it two ways.
    """
    by_id = {yard.yard_id: yard for yard in yards()}
    here, there = by_id[row.yard_id], by_id.get(to_yard_id)
    if there is None or there == here:
        return None
    cords = cords or row.on_hand
    rig = _carrier(row, (here, there), rigs(only_working=True))
    try:
        out, home = _round_trip(row, here, there, rig, cords=cords, on=on)
        is_estimate = roads_now().is_estimate
    except RoutingError:
        return HaulOffer(yard=there.name)
    if out is None or home is None:
        return HaulOffer(yard=there.name)
    room = carries(rig, row) if rig else None
    trips = max(ceil(cords / room), 1) if room else 1
    rule = minutes_rule()
    driving = Fraction(trips * (out.seconds + home.seconds), 60)
    handling = trips * 2 * rule.yard_stop + cords * (rule.load_per_cord + rule.throw_off_per_cord)
    miles = Decimal(str(trips * (out.miles + home.miles))).quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)
    return HaulOffer(
        yard=there.name,
        miles=miles,
        minutes=ceil(driving + handling),
        cost_dollars=_cost(miles, rig, on=on),
        trips=trips,
        rig=rig.name if rig else "",
        is_estimate=is_estimate,
    )


def _carrier(row: LotRow, ends: tuple[YardRow, YardRow], rigs: Sequence[RigRow]) -> RigRow | None:
    """The rig that carries most of this wood among those that can turn in both yards; any when none can."""
    tight = not all(yard.takes_big_trailer for yard in ends)
    fitting = [rig for rig in rigs if rig.is_small or not tight] or list(rigs)
    return max(fitting, key=lambda rig: carries(rig, row), default=None)


def _round_trip(
    row: LotRow, here: YardRow, there: YardRow, rig: RigRow | None, *, cords: Fraction, on: date
) -> tuple[Leg | None, Leg | None]:
    """The drive there as loaded as one trip gets, and the drive home empty."""
    loaded = empty = CAR
    if rig is not None:
        roads = roads_by_rig((rig,), on)[rig.id]
        wood_lb = ceil(min(cords, carries(rig, row)) * Fraction(row.plan_lb_per_cord))
        loaded, empty = roads.aboard(wood_lb), roads.empty
    ((out,),) = drives_between([_spot(here)], [_spot(there)], loaded).legs
    ((home,),) = drives_between([_spot(there)], [_spot(here)], empty).legs
    return out, home


def carries(rig: RigRow, row: LotRow) -> Fraction:
    """Cords of a lot's wood one load of the rig holds: its box or its payload, whichever is full first."""
    by_weight = Fraction(rig.payload_lb) / Fraction(row.plan_lb_per_cord)
    return min(rig.box_cords, by_weight)


def _cost(miles: Decimal, rig: RigRow | None, *, on: date) -> Decimal | None:
    """Half the miles loaded and half empty, at the rig's rates of the day; None where it has none."""
    try:
        rates = rates_on(rig.costs if rig else (), on)
    except NoRates:
        return None
    return dollars(miles / 2 * (rates.loaded_mile + rates.empty_mile))


def _spot(yard: YardRow) -> Point:
    return Point(lat=yard.lat, lon=yard.lon)

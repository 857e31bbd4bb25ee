"""What a move between yards takes by road: trips of the rig, miles, minutes. Offered, never forced."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from math import ceil

from inventory.selectors.stock import LotRow
from inventory.selectors.yards import YardRow
from routing.core import RoutingError
from routing.core.road_engine import CAR, RigRoads
from routing.core.roads import Leg, Point
from routing.earned.costs import minutes_rule
from routing.selectors.rigs import RigRow
from routing.selectors.roads.current import roads_now
from routing.selectors.roads.legs import drives_between
from routing.selectors.roads.rig_roads import roads_by_rig


@dataclass(frozen=True, slots=True, kw_only=True)
class HaulOffer:
    """One yard wood may be moved to, and what the road there takes.

    Units
        miles, minutes: all trips, there and back, minutes with loading and throwing off; None without a road.
    """

    yard_id: int
    yard: str
    miles: Decimal | None = None
    minutes: int | None = None
    trips: int = 1
    rig: str = ""
    is_estimate: bool = False


def haul_offers(
    row: LotRow, *, cords: Fraction, yards: Sequence[YardRow], rigs: Sequence[RigRow], on: date
) -> tuple[HaulOffer, ...]:
    """Every other yard with the drive to it, trip by trip; the drive is left out where no road is known.

    The rig goes out loaded and comes home empty, so a posted bridge may send it two ways.
    """
    here = next(yard for yard in yards if yard.yard_id == row.yard_id)
    others = [yard for yard in yards if yard.yard_id != row.yard_id]
    carriers = {yard.yard_id: _carrier(row, (here, yard), rigs) for yard in others}
    legs: dict[int, tuple[Leg | None, Leg | None]] = {}
    roads = roads_by_rig(rigs, on)
    try:
        for rig in dict.fromkeys(carriers.values()):
            goals = [yard for yard in others if carriers[yard.yard_id] == rig]
            legs |= _round_trips(row, here, goals, rig, roads, cords=cords)
        is_estimate = roads_now().is_estimate
    except RoutingError:
        return tuple(HaulOffer(yard_id=yard.yard_id, yard=yard.name) for yard in others)
    return tuple(
        _offer(row, cords, yard, legs[yard.yard_id], carriers[yard.yard_id], is_estimate=is_estimate)
        for yard in others
    )


def _carrier(row: LotRow, ends: tuple[YardRow, YardRow], rigs: Sequence[RigRow]) -> RigRow | None:
    """The rig that carries most of this wood among those that can turn in both yards; any when none can."""
    tight = not all(yard.takes_big_trailer for yard in ends)
    fitting = [rig for rig in rigs if rig.is_small or not tight] or list(rigs)
    return max(fitting, key=lambda rig: carries(rig, row), default=None)


def _round_trips(
    row: LotRow,
    here: YardRow,
    goals: Sequence[YardRow],
    rig: RigRow | None,
    roads: Mapping[int, RigRoads],
    *,
    cords: Fraction,
) -> dict[int, tuple[Leg | None, Leg | None]]:
    """By yard: the drive there as loaded as one trip gets, and the drive home empty."""
    loaded = empty = CAR
    if rig is not None:
        wood_lb = ceil(min(cords, carries(rig, row)) * Fraction(row.plan_lb_per_cord))
        loaded, empty = roads[rig.id].aboard(wood_lb), roads[rig.id].empty
    spots = [_spot(yard) for yard in goals]
    there = drives_between([_spot(here)], spots, loaded).legs[0]
    back = [home for (home,) in drives_between(spots, [_spot(here)], empty).legs]
    return {yard.yard_id: trip for yard, trip in zip(goals, zip(there, back, strict=True), strict=True)}


def carries(rig: RigRow, row: LotRow) -> Fraction:
    """Cords of a lot's wood one load of the rig holds: its box or its payload, whichever is full first."""
    by_weight = Fraction(rig.payload_lb) / Fraction(row.plan_lb_per_cord)
    return min(rig.box_cords, by_weight)


def _offer(
    row: LotRow,
    cords: Fraction,
    yard: YardRow,
    legs: tuple[Leg | None, Leg | None],
    rig: RigRow | None,
    *,
    is_estimate: bool,
) -> HaulOffer:
    out, home = legs
    if out is None or home is None:
        return HaulOffer(yard_id=yard.yard_id, yard=yard.name)
    room = carries(rig, row) if rig else None
    trips = max(ceil(cords / room), 1) if room else 1
    rule = minutes_rule()
    driving = Fraction(trips * (out.seconds + home.seconds), 60)
    handling = trips * 2 * rule.yard_stop + cords * (rule.load_per_cord + rule.throw_off_per_cord)
    miles = Decimal(str(trips * (out.miles + home.miles)))
    return HaulOffer(
        yard_id=yard.yard_id,
        yard=yard.name,
        miles=miles.quantize(Decimal("0.1"), rounding=ROUND_HALF_UP),
        minutes=ceil(driving + handling),
        trips=trips,
        rig=rig.name if rig else "",
        is_estimate=is_estimate,
    )


def _spot(yard: YardRow) -> Point:
    return Point(lat=yard.lat, lon=yard.lon)

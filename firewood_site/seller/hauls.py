"""What a move between yards takes by road: trips of the rig, miles, minutes. Offered, never forced.

Wood from `inventory`, drives and rigs from `routing`: a page may ask both, so the two meet here.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from math import ceil

from inventory.selectors.stock import LotRow
from inventory.selectors.yards import YardRow
from routing.core import RoutingError
from routing.core.costs import minutes_rule
from routing.core.roads import Leg, Point
from routing.selectors.rigs import RigRow
from routing.selectors.roads import drives_between, roads_now


@dataclass(frozen=True, slots=True, kw_only=True)
class HaulOffer:
    """One yard wood may be moved to, and what the road there takes.

    Units
        miles, minutes: all trips, there and back, minutes with loading and throwing off; None without a road.
        rig_cords: what the rig carries of this wood; None when there is no rig.
    """

    yard_id: int
    yard: str
    miles: Decimal | None = None
    minutes: int | None = None
    trips: int = 1
    rig: str = ""
    rig_cords: Fraction | None = None
    is_estimate: bool = False


def haul_offers(
    row: LotRow, *, cords: Fraction, yards: Sequence[YardRow], rigs: Sequence[RigRow]
) -> tuple[HaulOffer, ...]:
    """Every other yard with the drive to it, trip by trip; the drive is left out where no road is known."""
    here = next(yard for yard in yards if yard.yard_id == row.yard_id)
    others = [yard for yard in yards if yard.yard_id != row.yard_id]
    try:
        there = drives_between([_spot(here)], [_spot(yard) for yard in others]).legs[0] if others else ()
        back = [row[0] for row in drives_between([_spot(y) for y in others], [_spot(here)]).legs]
        is_estimate = roads_now().is_estimate
    except RoutingError:
        return tuple(HaulOffer(yard_id=yard.yard_id, yard=yard.name) for yard in others)
    return tuple(
        _offer(row, cords, (here, yard), (out, home), rigs, is_estimate=is_estimate)
        for yard, out, home in zip(others, there, back, strict=True)
    )


def carries(rig: RigRow, row: LotRow) -> Fraction:
    """Cords of a lot's wood one load of the rig holds: its box or its payload, whichever is full first."""
    by_weight = Fraction(rig.payload_lb) / Fraction(row.plan_lb_per_cord)
    return min(rig.box_cords, by_weight)


def _offer(
    row: LotRow,
    cords: Fraction,
    ends: tuple[YardRow, YardRow],
    legs: tuple[Leg | None, Leg | None],
    rigs: Sequence[RigRow],
    *,
    is_estimate: bool,
) -> HaulOffer:
    here, yard = ends
    out, home = legs
    if out is None or home is None:
        return HaulOffer(yard_id=yard.yard_id, yard=yard.name)
    tight = not (here.takes_big_trailer and yard.takes_big_trailer)
    fitting = [rig for rig in rigs if rig.is_small or not tight] or list(rigs)
    rig = max(fitting, key=lambda rig: carries(rig, row), default=None)
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
        rig_cords=room,
        is_estimate=is_estimate,
    )


def _spot(yard: YardRow) -> Point:
    return Point(lat=yard.lat, lon=yard.lon)

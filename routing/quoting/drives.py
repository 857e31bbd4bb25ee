"""The drive a price is charged on, from the yard that holds the wood, and what it costs the seller.

The rig that would bring it drives: out loaded, by the road its weight allows, and back empty. A plan asks the
same tables, so that the drive of the same drop is the same in both.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cached_property

from inventory.core.money import dollars
from inventory.core.units import miles_of
from inventory.models import Yard
from inventory.selectors.business import business
from orders.core.drives import Drive, NoDrive
from orders.core.floors import SellerCost
from routing.core import RoutingError
from routing.core.road_engine import CAR, RigProfile
from routing.core.roads import EngineDown, Leg, Matrix, OffTheMap, Point
from routing.earned.costs import Stretch, drive_dollars, minutes_rule
from routing.engines.straight_line import StraightLineEngine
from routing.selectors.earned.market_choices import RigChoice, rigs_with_rates
from routing.selectors.earned.wood_costs import usual_wood_cost
from routing.selectors.roads.current import roads_now
from routing.selectors.roads.legs import drives_between, paced_matrix


@dataclass(frozen=True, slots=True, kw_only=True)
class Cargo:
    """What is to be brought, as the road sees it."""

    cords: Fraction
    wood_lb: int
    small_rig_only: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundTrip:
    """A drive to a place and back: from the nearest yard that holds the wood, with the rig that costs least.

    rig: None while none works and has its running costs written down.
    """

    drive: Drive
    yard_id: int
    rig: RigChoice | None
    out: Leg
    back: Leg

    @property
    def road_dollars(self) -> Decimal | None:
        """Miles and driver, out loaded and back empty."""
        if self.rig is None:
            return None
        return dollars(drive_dollars(_stretch(self.out), _stretch(self.back), self.rig.rates))


class Roads:
    """What one page asks of the road: yards, rigs and drives, each read once however many prices it shows."""

    def __init__(self, on: date) -> None:
        self._on = on
        self._drives: dict[object, tuple[Matrix, Matrix, bool]] = {}

    @cached_property
    def rigs(self) -> tuple[RigChoice, ...]:
        return rigs_with_rates(self._on)

    @cached_property
    def yards(self) -> tuple[Yard, ...]:
        return tuple(Yard.objects.order_by("name"))

    def there_and_home(
        self, rows: Sequence[Yard], to: Point, loaded: RigProfile, empty: RigProfile
    ) -> tuple[Matrix, Matrix, bool]:
        key = (tuple(row.pk for row in rows), to, loaded, empty)
        if key not in self._drives:
            self._drives[key] = _there_and_home(rows, to, loaded, empty)
        return self._drives[key]


def drive_to(
    *, lat: float, lon: float, yards: Iterable[str], cargo: Cargo, on: date, roads: Roads | None = None
) -> RoundTrip:
    """The drive to a place and back, from the nearest of the yards that hold the wood.

    Where the road engine does not answer the drive is a straight-line estimate, and says so.

    Shapes
        roads: shared by the prices of one page.

    Errors
        NoDrive: no yard holds the wood, or no road leads there.
    """
    roads = roads or Roads(on)
    named = frozenset(yards)
    rows = [yard for yard in roads.yards if yard.name in named]
    to = Point(lat=lat, lon=lon)
    trips = []
    for rig in _carriers(roads.rigs, cargo) or (None,):
        trip = _nearest(rows, to, rig, cargo, roads)
        if trip is not None:
            trips.append(trip)
    if not trips:
        raise NoDrive(yards=tuple(yard.name for yard in rows))
    return min(trips, key=lambda trip: trip.road_dollars or 0)


def nearest_pick_up(lat: float, lon: float) -> str:
    """The yard nearest to a spot where customers may fetch wood; the first by name where no road leads."""
    rows = list(Yard.objects.filter(pick_up_here=True).order_by("name"))
    try:
        legs = drives_between(_spots(rows), [Point(lat=lat, lon=lon)], CAR).legs
    except RoutingError:
        legs = ()
    reached = [(leg.meters, yard.name) for yard, (leg,) in zip(rows, legs, strict=False) if leg]
    return min(reached)[1] if reached else next((yard.name for yard in rows), "")


def seller_cost(*, cords: Fraction, is_stacked: bool, trip: RoundTrip) -> SellerCost | None:
    """What an order costs the seller at their usual figures, driven alone: for the warning only they see.

    The wood is what its hours cost at the target wage; the road and the hands are the driver's, as in a plan.
    None while no rig and its running costs are written down.
    """
    if trip.rig is None or trip.road_dollars is None:
        return None
    seller = business()
    usual, rule = usual_wood_cost(seller).cost, minutes_rule()
    wood = (Fraction(usual.cash) + usual.hours * Fraction(seller.target_wage)) * cords
    minutes = rule.drop + cords * (rule.throw_off_per_cord + (rule.stack_per_cord if is_stacked else 0))
    return SellerCost(
        wood_dollars=dollars(wood),
        road_dollars=trip.road_dollars,
        handling_dollars=dollars(minutes / 60 * Fraction(trip.rig.rates.wage_hour)),
    )


def _carriers(rigs: Sequence[RigChoice], cargo: Cargo) -> Sequence[RigChoice]:
    """The rigs that may go there and bring it all at once; the one that carries most where none can."""
    may_go = [rig for rig in rigs if rig.is_small or not cargo.small_rig_only] or list(rigs)
    at_once = [rig for rig in may_go if rig.box_cords >= cargo.cords and rig.payload_lb >= cargo.wood_lb]
    return at_once or may_go[:1]


def _nearest(
    rows: Sequence[Yard], to: Point, rig: RigChoice | None, cargo: Cargo, roads: Roads
) -> RoundTrip | None:
    loaded = rig.roads.aboard(min(cargo.wood_lb, rig.payload_lb)) if rig else CAR
    empty = rig.roads.empty if rig else CAR
    there, home, is_estimate = roads.there_and_home(rows, to, loaded, empty)
    found = []
    for yard, (out,), back in zip(rows, there.legs, home.legs[0] if rows else (), strict=True):
        if out is None or back is None:
            continue
        miles = miles_of(out.meters).quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)
        drive = Drive(miles=miles, minutes=out.minutes, from_yard=yard.name, estimated=is_estimate)
        found.append(RoundTrip(drive=drive, yard_id=yard.pk, rig=rig, out=out, back=back))
    return min(
        found, key=lambda trip: (trip.out.meters, trip.out.seconds, trip.drive.from_yard), default=None
    )


def _there_and_home(
    rows: Sequence[Yard], to: Point, loaded: RigProfile, empty: RigProfile
) -> tuple[Matrix, Matrix, bool]:
    spots = _spots(rows)
    try:
        there, home = drives_between(spots, [to], loaded), drives_between([to], spots, empty)
        return there, home, roads_now().is_estimate
    except (EngineDown, OffTheMap):
        guess = StraightLineEngine()
        there = paced_matrix(guess.matrix(spots, [to], loaded), loaded)
        return there, paced_matrix(guess.matrix([to], spots, empty), empty), True


def _spots(rows: Sequence[Yard]) -> list[Point]:
    return [Point(lat=yard.lat, lon=yard.lon) for yard in rows]


def _stretch(leg: Leg) -> Stretch:
    return Stretch.measured(meters=leg.meters, seconds=leg.seconds)

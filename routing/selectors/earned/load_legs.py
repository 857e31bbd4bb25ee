"""The road of a planned load, and of every part of it, as the split of its cost asks for them.

Where the plan kept a drive it is taken as planned; all others are asked as the rig drives with the whole
load on.
The way to the first yard belongs to the run's first load; every load carries its own way back, to the next
load's yard or home, because it is the far drop that makes the way back long.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory.models import Yard
from routing.core import RoutingError
from routing.core.road_engine import RigProfile, RigRoads, RoadEngine
from routing.core.roads import Leg, Matrix, Point
from routing.earned.costs import NOWHERE, Stretch
from routing.earned.shares import LoadLegs
from routing.models import Fill, Load, Run, Stop
from routing.selectors.roads.legs import matrix_between


class NoSpot(RoutingError):
    """A drop without a spot on the map."""

    says = "Order {order} has no spot on the map and no town: give its place one and look again."


class NoWay(RoutingError):
    """The rig has no road between two halts of the load."""

    says = (
        "No road was found for this rig from {start} to {end}: look for a posted limit, or plan the day "
        "again."
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Halt:
    """A named spot."""

    name: str
    point: Point


def legs_of_load(
    run: Run,
    load: Load,
    *,
    following: Load | None,
    fixed: Decimal,
    roads: RigRoads,
    engine: RoadEngine | None = None,
) -> tuple[LoadLegs, bool]:
    """Every stretch a load or a part of it may use, and whether the drives are only estimates.

    Units
        following: the run's next load, None for the last; fixed: dollars of the run's fixed cost it carries.

    Errors
        NoSpot: a drop is nowhere. NoWay: a stretch cannot be driven.
        EngineDown: the road engine does not answer.
    """
    stops = merged_stops(load)
    fills = sorted(load.more_fills.all(), key=lambda fill: fill.sequence)
    yard, home = _yard_halt(load.yard), _yard_halt(run.rig.home_yard)
    end = _yard_halt(following.yard) if following else home
    last_yard = _yard_halt(fills[-1].yard) if fills else yard
    drops = tuple(_Halt(name=f"order {stop.order.number}", point=_spot(stop)) for stop in stops)
    loaded = _drives((last_yard, *drops), roads.aboard(max(1, load.weight_lb)), engine)
    empty = _drives((*drops, end, home, yard), roads.empty, engine)
    count = len(drops)
    is_first = load.sequence == min(other.sequence for other in run.loads.all())
    is_plain = count == len(load.stops.all())  # parts of an order put together have no drive of their own
    planned = tuple(_as_planned(stop.leg_meters, stop.leg_seconds) if is_plain else None for stop in stops)
    to_yard = _as_planned(load.leg_meters, load.leg_seconds)
    onward = _as_planned(following.leg_meters, following.leg_seconds) if following else None
    last = count - 1
    legs = LoadLegs(
        orders=tuple(str(stop.order.number) for stop in stops),
        approach=(to_yard or empty.stretch(count + 1, count + 2)) if is_first else NOWHERE,
        out=tuple((drop == 0 and planned[0]) or loaded.stretch(0, drop + 1) for drop in range(count)),
        between=tuple(
            tuple(
                NOWHERE
                if start == other
                else (other == start + 1 and planned[other]) or loaded.stretch(start + 1, other + 1)
                for other in range(count)
            )
            for start in range(count)
        ),
        back=tuple((drop == last and onward) or empty.stretch(drop, count) for drop in range(count)),
        fixed=fixed,
        filling=_filling(fills),
    )
    return legs, loaded.matrix.estimated or empty.matrix.estimated


def _yard_halt(yard: Yard) -> _Halt:
    return _Halt(name=yard.name, point=Point(lat=yard.lat, lon=yard.lon))


def _filling(fills: Iterable[Fill]) -> Stretch:
    """The way from yard to yard, as planned, and the fixed time at each further one."""
    legs = [Stretch.measured(meters=fill.leg_meters, seconds=fill.leg_seconds) for fill in fills]
    return Stretch(
        miles=sum((leg.miles for leg in legs), Fraction(0)),
        minutes=sum((leg.minutes for leg in legs), Fraction(0))
        + sum((Fraction(fill.yard.load_fixed_minutes) for fill in fills), Fraction(0)),
    )


def merged_stops(load: Load) -> tuple[Stop, ...]:
    """The load's stops in their order, an order's further parts left out: its first stands for them."""
    seen: dict[int, Stop] = {}
    for stop in sorted(load.stops.all(), key=lambda row: row.sequence):
        seen.setdefault(stop.order_id, stop)
    return tuple(seen.values())


def _as_planned(meters: int, seconds: int) -> Stretch | None:
    """The plan's own drive, where the plan kept one."""
    return Stretch.measured(meters=meters, seconds=seconds) if meters else None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drives:
    halts: tuple[_Halt, ...]
    matrix: Matrix

    def stretch(self, start: int, end: int) -> Stretch:
        if self.halts[start].point == self.halts[end].point:
            return NOWHERE
        leg: Leg | None = self.matrix.leg(start, end)
        if leg is None:
            raise NoWay(start=self.halts[start].name, end=self.halts[end].name)
        return Stretch.measured(meters=leg.meters, seconds=leg.seconds)


def _drives(halts: Sequence[_Halt], profile: RigProfile, engine: RoadEngine | None) -> _Drives:
    points = tuple(halt.point for halt in halts)
    return _Drives(halts=tuple(halts), matrix=matrix_between(points, profile, engine=engine))


def _spot(stop: Stop) -> Point:
    place = stop.order.place
    if place is not None and place.lat is not None and place.lon is not None:
        return Point(lat=place.lat, lon=place.lon)
    if place is not None and place.town is not None:
        return Point(lat=place.town.lat, lon=place.town.lon)
    raise NoSpot(order=stop.order.number)

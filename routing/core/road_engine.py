"""What a road engine is asked: for which rig, along which marked roads, and the engine itself.

Units: meters and whole seconds; pounds, feet, miles per hour.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Protocol

from inventory.core.units import METERS_PER_MILE
from routing.core import RoutingError
from routing.core.roads import Leg, Matrix, Point, Route, Turn, figure


class BadRigProfile(RoutingError):
    """A rig that could not stand on a road."""

    says = "A rig cannot have {what} {value:g}: mend its figures on the rig page."


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadPaces:
    """How long a rig's drives take beside the engine's own time, by how fast the road is driven on average.

    Units
        percent of the engine's seconds.
    """

    slow: int = 100
    country: int = 100
    fast: int = 100

    def percent(self, meters: int, seconds: int) -> int:
        """Of a drive as the engine answers it."""
        return int(getattr(self, road_class(meters, seconds)))

    def paced(self, leg: Leg) -> Leg:
        percent = self.percent(leg.meters, leg.seconds)
        return leg if percent == 100 else Leg(meters=leg.meters, seconds=round(leg.seconds * percent / 100))

    def percent_in(self, meters: int, paced_seconds: int) -> int:
        """The percent that is in a drive's seconds already; 100 where that cannot be told."""
        fitting = (
            percent
            for percent in (self.country, self.slow, self.fast)
            if self.percent(meters, round(paced_seconds * 100 / percent)) == percent
        )
        return next(fitting, 100)


NO_PACES = RoadPaces()


def road_class(meters: int, seconds: int) -> str:
    """slow (forest roads, gravel, town), country or fast, by the average over the whole drive.

    >>> road_class(16_093, 3600), road_class(16_093, 1000), road_class(16_093, 700)
    ('slow', 'country', 'fast')
    """
    below = meters * 3600 / float(METERS_PER_MILE)
    if below < seconds * figure("slow_road_mph"):
        return "slow"
    return "country" if below < seconds * figure("fast_road_mph") else "fast"


@dataclass(frozen=True, slots=True, kw_only=True)
class RigProfile:
    """A rig as the road sees it: what posted limits bind, and what decides between two ways.

    Units
        weight_lb: the whole rig with its load, 0 = not known; length_ft, width_ft, height_ft: the whole rig.
        top_speed_mph: what the driver keeps to.
        mile_seconds: seconds at the wheel that cost the seller as much as a mile; 0 = the quickest way.
        paces: what its drives were learned to take; the engine's way stays the same, so no part of `key`.
    """

    weight_lb: int = 0
    length_ft: float = 0.0
    width_ft: float = 0.0
    height_ft: float = 0.0
    top_speed_mph: float = 55
    mile_seconds: int = 0
    paces: RoadPaces = NO_PACES

    def __post_init__(self) -> None:
        sizes = (
            ("a weight of", self.weight_lb),
            ("a length of", self.length_ft),
            ("a width of", self.width_ft),
            ("a height of", self.height_ft),
            ("a cost of the mile of", self.mile_seconds),
        )
        for what, value in sizes:
            if value < 0:
                raise BadRigProfile(what=what, value=value)
        if not 10 <= self.top_speed_mph <= 85:
            raise BadRigProfile(what="a top speed of", value=self.top_speed_mph)

    @property
    def key(self) -> str:
        """Names everything that may change a drive; part of the key under which drives are kept."""
        return (
            f"{self.weight_lb}-{self.length_ft:g}x{self.width_ft:g}x{self.height_ft:g}"
            f"-{self.top_speed_mph:g}-{self.mile_seconds}"
        )

    def cheaper(self, one: Leg | None, other: Leg | None) -> Leg | None:
        """The way that costs the seller less in miles and minutes; the first where they cost the same."""
        if one is None or other is None:
            return one or other
        return other if self._cost(other) < self._cost(one) else one

    def _cost(self, leg: Leg) -> int:
        """Seconds' worth of the leg, in whole parts of one: kept from fractions, for it is asked often."""
        miles = leg.meters * self.mile_seconds * METERS_PER_MILE.denominator
        return leg.seconds * METERS_PER_MILE.numerator + miles


CAR = RigProfile()  # an empty pickup of no known size and cost, where there is no rig yet


@dataclass(frozen=True, slots=True, kw_only=True)
class RigRoads:
    """One rig's profiles, empty and by the wood aboard.

    Shapes and units
        loaded: (over_lb, profile), rising, the first over 0 lb; the last whose over_lb is less than the lb of
        wood aboard holds. A profile weighs as much as the rig may there, so that its roads are legal for all
        its loads.
    """

    empty: RigProfile
    loaded: tuple[tuple[int, RigProfile], ...]

    def aboard(self, wood_lb: int) -> RigProfile:
        """The profile with so much wood aboard."""
        if wood_lb <= 0:
            return self.empty
        return [profile for over_lb, profile in self.loaded if over_lb < wood_lb][-1]


def rig_profile(
    *,
    weight_lb: int,
    length_ft: float = 0.0,
    height_ft: float = 0.0,
    has_trailer: bool = True,
    is_loaded: bool = False,
    top_speed_mph: float = 55,
    mile_seconds: int = 0,
    paces: RoadPaces = NO_PACES,
) -> RigProfile:
    """The profile of a rig that weighs so much now; a loaded trailer keeps below `loaded_top_speed`."""
    is_slowed = is_loaded and has_trailer
    return RigProfile(
        weight_lb=weight_lb,
        length_ft=length_ft,
        height_ft=height_ft,
        top_speed_mph=min(top_speed_mph, int(figure("loaded_top_speed"))) if is_slowed else top_speed_mph,
        mile_seconds=mile_seconds,
        paces=paces,
    )


def rig_roads(
    *,
    empty_lb: int,
    payload_lb: int,
    posted_lb: Iterable[int],
    length_ft: float,
    height_ft: float,
    has_trailer: bool,
    top_speed_mph: float,
    mile_seconds: tuple[int, int],
    paces: RoadPaces = NO_PACES,
) -> RigRoads:
    """A rig's profiles, loaded ones apart only where a posted limit lies between the empty and the full rig.

    Units
        posted_lb: limits for the whole rig. mile_seconds: loaded, empty.
    """
    full_lb = empty_lb + payload_lb
    tops = sorted({limit for limit in posted_lb if empty_lb < limit < full_lb})
    over = (0, *(top - empty_lb for top in tops))

    def profile(weight_lb: int, *, is_loaded: bool) -> RigProfile:
        return rig_profile(
            weight_lb=weight_lb,
            length_ft=length_ft,
            height_ft=height_ft,
            has_trailer=has_trailer,
            is_loaded=is_loaded,
            top_speed_mph=top_speed_mph,
            mile_seconds=mile_seconds[0 if is_loaded else 1],
            paces=paces,
        )

    return RigRoads(
        empty=profile(empty_lb, is_loaded=False),
        loaded=tuple(
            (over_lb, profile(top, is_loaded=True))
            for over_lb, top in zip(over, (*tops, full_lb), strict=True)
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadMarks:
    """What the seller says of roads, each by a spot on it.

    taken: tried on every drive, and driven where that is cheapest. avoided: driven only where no other leads.
    """

    taken: tuple[Point, ...] = ()
    avoided: tuple[Point, ...] = ()

    @property
    def key(self) -> str:
        """Empty without marks; part of the key under which drives are kept."""
        if not self.taken and not self.avoided:
            return ""
        return f"-{sha256(repr(self).encode()).hexdigest()[:8]}"


NO_MARKS = RoadMarks()


class RoadEngine(Protocol):
    """Answers how far and how long. `key` names the engine and its map: kept drives hang on it."""

    @property
    def key(self) -> str: ...

    @property
    def is_estimate(self) -> bool: ...

    def matrix(self, sources: Sequence[Point], targets: Sequence[Point], profile: RigProfile) -> Matrix:
        """Every drive from a source to a target; None where there is no road.

        Errors
            EngineDown: no answer.
        """
        ...

    def route(self, points: Sequence[Point], profile: RigProfile) -> Route:
        """The way through the points in their order.

        Errors
            NoRoad, OffTheMap: a leg cannot be driven. EngineDown: no answer.
        """
        ...

    def turns(self, line: str, language: str) -> tuple[Turn, ...]:
        """What to do along a way drawn before (an encoded polyline), in one of the two languages.

        Errors
            NoRoad: no road lies under it. EngineDown: no answer.
        """
        ...

    def snap(self, point: Point) -> int | None:
        """Meters to the nearest road for a car; None when there is none near.

        Errors
            EngineDown: no answer.
        """
        ...

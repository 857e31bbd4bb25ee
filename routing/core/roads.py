"""What a road is to the planner: points, legs, matrices, routes, and the engine that answers.

The engines themselves live in `routing.engines`; asking each drive only once is `routing.selectors.roads`.
Units: meters and whole seconds; degrees of latitude and longitude (WGS 84); pounds, feet, miles per hour.
"""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import asin, ceil, cos, radians, sin, sqrt
from typing import Literal, Protocol

from routing.core import RoutingError

METERS_PER_MILE = 1609.344  # international mile, exact (NIST SP 811, appendix B)
E6 = 1_000_000
RigKind = Literal["auto", "truck"]


class BadPoint(RoutingError):
    """A latitude or longitude off the globe."""

    def __init__(self, *, lat: float, lon: float) -> None:
        self.lat = lat
        self.lon = lon
        super().__init__(
            f"{lat}, {lon} is no place on earth: latitude goes from -90 to 90 and longitude from -180 to 180."
        )


class BadRigProfile(RoutingError):
    """A rig that could not stand on a road."""

    def __init__(self, *, what: str, value: float) -> None:
        self.what = what
        self.value = value
        super().__init__(f"A rig cannot have {what} {value:g}: mend its figures on the rig page.")


class NoRoad(RoutingError):
    """The engine found no road between two places for this rig."""

    def __init__(self, *, start: "Point", end: "Point", why: str = "") -> None:
        self.start = start
        self.end = end
        self.why = why
        reason = f" ({why})" if why else ""
        super().__init__(
            f"No road was found from {start} to {end} for this rig{reason}: "
            "look for a posted limit or a gap in the map, or move the pin to the road."
        )


class OffTheMap(RoutingError):
    """A place too far from any road of the loaded extract."""

    def __init__(self, *, point: "Point") -> None:
        self.point = point
        super().__init__(
            f"{point} is off the map: no road of the loaded map is near. Move the pin, or load a larger map."
        )


class EngineDown(RoutingError):
    """The road engine does not answer, or answers with nonsense."""

    def __init__(self, *, engine: str, why: str) -> None:
        self.engine = engine
        self.why = why
        super().__init__(
            f"The road engine {engine} does not answer ({why}): try again, or set another engine."
        )


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Point:
    """A spot on the map, kept to the millionth of a degree (about four inches)."""

    lat: float
    lon: float

    def __post_init__(self) -> None:
        if not (-90 <= self.lat <= 90 and -180 <= self.lon <= 180):
            raise BadPoint(lat=self.lat, lon=self.lon)
        object.__setattr__(self, "lat", round(self.lat, 6))
        object.__setattr__(self, "lon", round(self.lon, 6))

    @property
    def lat_e6(self) -> int:
        return round(self.lat * E6)

    @property
    def lon_e6(self) -> int:
        return round(self.lon * E6)

    @classmethod
    def from_e6(cls, lat_e6: int, lon_e6: int) -> "Point":
        return cls(lat=lat_e6 / E6, lon=lon_e6 / E6)

    def __str__(self) -> str:
        return f"{self.lat:.5f}, {self.lon:.5f}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One drive from a place to another: meters and whole seconds."""

    meters: int
    seconds: int

    @property
    def miles(self) -> float:
        return self.meters / METERS_PER_MILE

    @property
    def minutes(self) -> int:
        """Whole minutes, rounded up: nobody arrives early by rounding."""
        return ceil(self.seconds / 60)


STANDING_STILL = Leg(meters=0, seconds=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Matrix:
    """Drives from every source to every target.

    Shapes and units
        legs: one row a source, one column a target; None = no road for this rig.
        estimated: True = straight lines times a detour factor, to be labeled wherever shown.
    """

    legs: tuple[tuple[Leg | None, ...], ...]
    estimated: bool = False

    def leg(self, start: int, end: int) -> Leg | None:
        return self.legs[start][end]

    @property
    def meters(self) -> tuple[tuple[int | None, ...], ...]:
        return tuple(tuple(leg.meters if leg else None for leg in row) for row in self.legs)

    @property
    def seconds(self) -> tuple[tuple[int | None, ...], ...]:
        return tuple(tuple(leg.seconds if leg else None for leg in row) for row in self.legs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """A way through two or more places: its line on the map and its legs, one fewer than the places."""

    line: tuple[Point, ...]
    legs: tuple[Leg, ...]
    estimated: bool = False

    @property
    def meters(self) -> int:
        return sum(leg.meters for leg in self.legs)

    @property
    def seconds(self) -> int:
        return sum(leg.seconds for leg in self.legs)


@dataclass(frozen=True, slots=True, kw_only=True)
class RigProfile:
    """A rig as the road sees it: what a posted bridge, a low roof and a speed limit ask.

    Units
        weight_lb: the whole rig with its load; axle_load_lb: the heaviest axle, 0 = not known.
        length_ft, width_ft, height_ft: the whole rig; top_speed_mph: what the driver keeps to.
    """

    kind: RigKind = "truck"
    weight_lb: int = 0
    length_ft: float = 0.0
    width_ft: float = 0.0
    height_ft: float = 0.0
    axle_load_lb: int = 0
    top_speed_mph: int = 55

    def __post_init__(self) -> None:
        sizes = (
            ("a weight of", self.weight_lb),
            ("a length of", self.length_ft),
            ("a width of", self.width_ft),
            ("a height of", self.height_ft),
            ("an axle load of", self.axle_load_lb),
        )
        for what, value in sizes:
            if value < 0:
                raise BadRigProfile(what=what, value=value)
        if not 10 <= self.top_speed_mph <= 85:
            raise BadRigProfile(what="a top speed of", value=self.top_speed_mph)

    @property
    def key(self) -> str:
        """Names everything that may change a drive; part of the key under which drives are kept."""
        if self == RigProfile(kind="auto", top_speed_mph=self.top_speed_mph):
            return f"auto-{self.top_speed_mph}"
        return (
            f"{self.kind}-{self.weight_lb}-{self.axle_load_lb}"
            f"-{self.length_ft:g}x{self.width_ft:g}x{self.height_ft:g}-{self.top_speed_mph}"
        )


CAR = RigProfile(kind="auto")  # an empty pickup of no known size, for quotes before a rig is chosen


def rig_profile(
    *,
    weight_lb: int,
    length_ft: float = 0.0,
    height_ft: float = 0.0,
    width_ft: float = 0.0,
    has_trailer: bool = True,
    is_loaded: bool = False,
    top_speed_mph: int = 55,
    weight_step_lb: int = 250,
) -> RigProfile:
    """The profile of a rig that weighs so much now.

    A trailer drives as a truck, a pickup alone as a car; posted bridges and low roofs bind both. A loaded
    trailer keeps below `loaded_top_speed`.
    Weights are rounded up to the next step, so that loads of nearly one weight share their kept drives
    and none is sent over a bridge that would not bear it. Pass `weight_step_lb=1` for the weight itself.
    """
    is_slowed = is_loaded and has_trailer
    top = min(top_speed_mph, int(figure("loaded_top_speed"))) if is_slowed else top_speed_mph
    return RigProfile(
        kind="truck" if has_trailer else "auto",
        weight_lb=ceil(weight_lb / weight_step_lb) * weight_step_lb,
        length_ft=length_ft,
        height_ft=height_ft,
        width_ft=width_ft,
        top_speed_mph=top,
    )


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

    def snap(self, point: Point) -> int | None:
        """Meters to the nearest road for a car; None when there is none near.

        Errors
            EngineDown: no answer.
        """
        ...


def great_circle_meters(start: Point, end: Point) -> float:
    """Meters over the globe between two points.

    Source
        haversine formula (R. W. Sinnott, Virtues of the Haversine, Sky and Telescope 68, 1984, from memory).
    """
    lat_start, lat_end = radians(start.lat), radians(end.lat)
    half_chord = (
        sin((lat_end - lat_start) / 2) ** 2
        + cos(lat_start) * cos(lat_end) * sin(radians(end.lon - start.lon) / 2) ** 2
    )
    return 2 * figure("earth_radius") * asin(min(1.0, sqrt(half_chord)))


def figure(name: str) -> float:
    """A figure of roads.toml, in the unit given there."""
    return _figures()[name]


@cache
def _figures() -> dict[str, float]:
    table = tomllib.loads(files("routing.core").joinpath("roads.toml").read_text("utf-8"))
    return {name: float(entry["value"]) for name, entry in table.items()}

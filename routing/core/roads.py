"""What a road is to the planner: points, legs, matrices, routes, and the engine that answers.

The engines themselves live in `routing.engines`; `routing.engines.road_times` asks each drive only once.
Units: meters and whole seconds; degrees of latitude and longitude (WGS 84); pounds, feet, miles per hour.
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import ceil

from inventory.core.globe import great_circle_meters
from inventory.core.sentences import Sentence, as_sentence
from inventory.core.units import METERS_PER_MILE
from routing.core import RoutingError

E6 = 1_000_000


class BadPoint(RoutingError):
    """A latitude or longitude off the globe."""

    says = "{lat}, {lon} is no place on earth: latitude goes from -90 to 90 and longitude from -180 to 180."


class NoRoad(RoutingError):
    """The engine found no road between two places for this rig."""

    def __init__(self, *, start: "Point", end: "Point", why: str | Sentence = "") -> None:
        self.start = start
        self.end = end
        self.why = why
        reason = Sentence(" ({why})", {"why": as_sentence(why)}) if why else ""
        super().__init__(
            "No road was found from {start} to {end} for this rig{reason}: look for a posted "
            "limit or a gap in the map, or move the pin to the road.",
            start=start,
            end=end,
            reason=reason,
        )


class OffTheMap(RoutingError):
    """A place too far from any road of the loaded extract."""

    says = "{point} is off the map: no road of the loaded map is near. Move the pin, or load a larger map."


class EngineDown(RoutingError):
    """The road engine does not answer, or answers with nonsense."""

    says = "The road engine {engine} does not answer ({why}): try again, or set another engine."


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
        return self.meters / float(METERS_PER_MILE)

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
class Turn:
    """One thing to do on a way: the engine's sentence, and how far it is to the next one."""

    text: str
    meters: int


def meters_between(start: Point, end: Point) -> float:
    """Meters over the globe between two points."""
    return great_circle_meters(start.lat, start.lon, end.lat, end.lon)


def figure(name: str) -> float:
    """A figure of roads.toml, in the unit given there."""
    return _figures()[name]


@cache
def _figures() -> dict[str, float]:
    table = tomllib.loads(files("routing.core").joinpath("roads.toml").read_text("utf-8"))
    return {name: float(entry["value"]) for name, entry in table.items()}

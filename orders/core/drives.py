"""How far a place is from a yard: what the price is charged on.

The road engine lives downstream; a page measures the drive there and hands the number in here.
"""

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from importlib.resources import files
from math import asin, cos, radians, sin, sqrt

from orders.core import OrdersError


class BadDrive(OrdersError):
    """Miles, minutes or a spot on the map that cannot be."""

    def __init__(self, *, what: str, value: object) -> None:
        self.what = what
        self.value = value
        super().__init__(
            f"A drive cannot have {what} {value}: measure it again or choose the spot on the map."
        )


class NoDrive(OrdersError):
    """No yard that holds the wood has a known drive to the place."""

    def __init__(self, *, yards: tuple[str, ...]) -> None:
        self.yards = yards
        held = ", ".join(yards) if yards else "no yard"
        super().__init__(
            f"No drive is known from where the wood lies ({held}): set the place on the map, "
            "or fetch the wood yourself."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive:
    """One way from a yard to a place.

    Units
        miles: road miles, one way, to any decimal; minutes: whole minutes, one way.
        estimated: True when it is a straight line times a detour factor, and must be shown as such.
    """

    miles: Decimal
    minutes: int
    from_yard: str
    estimated: bool = False

    def __post_init__(self) -> None:
        if not self.miles.is_finite() or self.miles < 0:
            raise BadDrive(what="miles of", value=self.miles)
        if self.minutes < 0:
            raise BadDrive(what="minutes of", value=self.minutes)


def estimated_drive(
    *, from_lat: float, from_lon: float, to_lat: float, to_lon: float, from_yard: str
) -> Drive:
    """A drive guessed from the great circle, for when no roads are loaded.

    Units
        degrees in; miles to one decimal, whole minutes rounded half up.

    Errors
        BadDrive: a latitude or longitude off the globe.

    Source
        haversine formula (R. W. Sinnott, Virtues of the Haversine, Sky and Telescope 68, 1984, from
        memory); factors in drives.toml.
    """
    for what, value, most in (
        ("a latitude of", from_lat, 90),
        ("a longitude of", from_lon, 180),
        ("a latitude of", to_lat, 90),
        ("a longitude of", to_lon, 180),
    ):
        if not -most <= value <= most:
            raise BadDrive(what=what, value=value)
    figures = _figures()
    lat_from, lat_to = radians(from_lat), radians(to_lat)
    half_chord = (
        sin((lat_to - lat_from) / 2) ** 2
        + cos(lat_from) * cos(lat_to) * sin(radians(to_lon - from_lon) / 2) ** 2
    )
    straight = 2 * figures["earth_radius"] * asin(min(1.0, sqrt(half_chord)))
    miles = straight * figures["detour"]
    return Drive(
        miles=Decimal(str(miles)).quantize(Decimal("0.1"), rounding=ROUND_HALF_UP),
        minutes=int(miles / figures["speed"] * 60 + 0.5),
        from_yard=from_yard,
        estimated=True,
    )


def nearest_drive(drives: Iterable[Drive], *, holding: Iterable[str]) -> Drive:
    """The shortest drive among yards that hold the wood on the day; ties go to fewer minutes, then by name.

    Errors
        NoDrive: none of the holding yards has a drive.
    """
    yards = frozenset(holding)
    known = [drive for drive in drives if drive.from_yard in yards]
    if not known:
        raise NoDrive(yards=tuple(sorted(yards)))
    return min(known, key=lambda drive: (drive.miles, drive.minutes, drive.from_yard))


@cache
def _figures() -> dict[str, float]:
    table = tomllib.loads(files("orders.core").joinpath("drives.toml").read_text("utf-8"))
    return {name: float(entry["value"]) for name, entry in table.items()}

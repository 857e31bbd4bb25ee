"""From degrees to map squares and back: web Mercator, 256 units a tile."""

from math import asinh, atan, cos, floor, log2, pi, radians, sinh, tan

from inventory.core.units import METERS_PER_MILE

TILE = 256
MAX_LAT = 85.0511  # where the square map ends
EQUATOR_METERS = 40_075_016.686  # circumference the web Mercator uses (radius 6,378,137 m)


def world(lat: float, lon: float, z: float) -> tuple[float, float]:
    """Units east and south of the map's north-west corner at a zoom."""
    size = TILE * 2.0**z
    lat = max(-MAX_LAT, min(MAX_LAT, lat))
    return (lon + 180) / 360 * size, (1 - asinh(tan(radians(lat))) / pi) / 2 * size


def degrees(x: float, y: float, z: float) -> tuple[float, float]:
    """Latitude and longitude of a spot of the map."""
    size = TILE * 2.0**z
    return atan(sinh(pi * (1 - 2 * y / size))) * 180 / pi, x / size * 360 - 180


def tile_of(lat: float, lon: float, z: int) -> tuple[int, int]:
    """The tile a spot lies on."""
    x, y = world(lat, lon, z)
    last = 2**z - 1
    return min(last, max(0, floor(x / TILE))), min(last, max(0, floor(y / TILE)))


def tile_edges(z: int, x: int, y: int) -> tuple[float, float, float, float]:
    """West, south, east and north of a tile."""
    north, west = degrees(x * TILE, y * TILE, z)
    south, east = degrees((x + 1) * TILE, (y + 1) * TILE, z)
    return west, south, east, north


def units_per_mile(lat: float, z: float) -> float:
    """Map units of one mile on the ground at a latitude."""
    return float(METERS_PER_MILE) / (EQUATOR_METERS * cos(radians(lat))) * TILE * 2.0**z


def zoom_that_fits(spots: tuple[tuple[float, float], ...], width: float, height: float) -> float:
    """The largest zoom, at most 16, at which all spots lie inside width x height units."""
    flat = [world(lat, lon, 0) for lat, lon in spots]
    wide = max(x for x, _ in flat) - min(x for x, _ in flat)
    high = max(y for _, y in flat) - min(y for _, y in flat)
    return min(16.0, log2(width / max(wide, 1e-9)), log2(height / max(high, 1e-9)))

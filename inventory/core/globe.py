"""Distances over the globe between two spots; roads are longer, and `routing` knows them."""

from math import asin, cos, radians, sin, sqrt

EARTH_RADIUS_M = 6_371_009  # mean radius of the GRS 80 ellipsoid (IUGG), rounded to a meter


def great_circle_meters(lat: float, lon: float, other_lat: float, other_lon: float) -> float:
    """Meters along the great circle between two spots given in degrees.

    Source
        haversine formula (R. W. Sinnott, Virtues of the Haversine, Sky and Telescope 68, 1984).

    >>> round(great_circle_meters(44, -150, 45, -150))
    111195
    """
    half_chord = (
        sin(radians(other_lat - lat) / 2) ** 2
        + cos(radians(lat)) * cos(radians(other_lat)) * sin(radians(other_lon - lon) / 2) ** 2
    )
    return 2 * EARTH_RADIUS_M * asin(min(1.0, sqrt(half_chord)))

"""Where the invented places lie: miles east and north of Siding, in the open ocean."""

from math import cos, radians

SIDING_LAT = 44.0
SIDING_LON = -150.0
MILES_PER_DEGREE = 69.093  # of latitude on a sphere of 6,371,009 m mean radius (IUGG), in miles


def spot(east: float, north: float) -> tuple[float, float]:
    """Latitude and longitude of a place so many miles east and north of Siding."""
    lat = SIDING_LAT + north / MILES_PER_DEGREE
    lon = SIDING_LON + east / (MILES_PER_DEGREE * cos(radians(SIDING_LAT)))
    return round(lat, 6), round(lon, 6)


UPPER = spot(-5.0, 8.0)
CREEK = spot(-3.0, 3.2)
SIDING = spot(0.0, 0.0)
MARROW = spot(-3.0, 0.6)
LARCH = spot(-8.0, -14.0)
FENNICK = spot(9.0, 8.0)
SANDHOOK = spot(-58.0, -22.0)

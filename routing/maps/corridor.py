"""Which map tiles lie along a way: what a phone keeps for places without signal."""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import ceil, floor, hypot

from routing.maps.mercator import TILE, world

type Spot = tuple[float, float]
type Tile = tuple[int, int, int]

ZOOMS = (10, 12, 14)  # overview, valley, road; what lies between is drawn larger or smaller
ASIDE = 0.4  # of a tile to each side of the way
STEP = 0.5  # of a tile along it


def corridor_tiles(lines: Iterable[Sequence[Spot]], *, most: int) -> tuple[Tile, ...]:
    """Tiles under the lines and beside them, the coarse ones first; at most so many, whole zooms only.

    The coarsest zoom is kept whatever it counts.

    Shapes
        lines: latitude and longitude pairs. Tiles: zoom, column, row.
    """
    kept = [tuple(line) for line in lines]
    found: list[Tile] = []
    for zoom in ZOOMS:
        tiles = sorted({(zoom, *tile) for line in kept for tile in _under(line, zoom)})
        if found and len(found) + len(tiles) > most:
            break
        found += tiles
    return tuple(found)


def _under(line: Sequence[Spot], zoom: int) -> Iterable[tuple[int, int]]:
    last = 2**zoom - 1
    spots = [tuple(part / TILE for part in world(lat, lon, zoom)) for lat, lon in line]
    for x, y in _along(spots):
        for column in range(floor(x - ASIDE), floor(x + ASIDE) + 1):
            for row in range(floor(y - ASIDE), floor(y + ASIDE) + 1):
                if 0 <= column <= last and 0 <= row <= last:
                    yield column, row


def _along(spots: Sequence[tuple[float, ...]]) -> Iterable[tuple[float, float]]:
    """The spots, and further ones between those that lie far apart."""
    for start, end in pairwise(spots):
        steps = max(1, ceil(hypot(end[0] - start[0], end[1] - start[1]) / STEP))
        for step in range(steps):
            share = step / steps
            yield start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share
    if spots:
        yield spots[-1][0], spots[-1][1]

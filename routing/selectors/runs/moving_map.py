"""What a phone needs to show where it is on its run without signal: the way, and the tiles beside it."""

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256

from routing.core.roads import Route
from routing.engines import current_extract, tile_engine
from routing.maps.corridor import corridor_tiles
from routing.maps.polyline import encode_polyline
from routing.selectors.roads.current import roads_now
from routing.selectors.roads.road_maps import names_around
from routing.selectors.runs.run_maps import ways_to_halts
from routing.selectors.runs.runs import RunView

MOST_TILES = 500  # about 3 MB on the phone


@dataclass(frozen=True, slots=True, kw_only=True)
class MovingMap:
    """legs: of each drive its mark, encoded line, and whether it is over; halts: mark, latitude, longitude.

    names: of towns and hamlets, latitude, longitude, rank; the phone writes them beside its pins.
    kept: the name under which a phone keeps the tiles: another map has another one. tiles: "z/x/y".
    """

    legs: tuple[tuple[str, str, bool], ...]
    halts: tuple[tuple[str, float, float], ...]
    names: tuple[tuple[str, float, float, float], ...]
    kept: str
    tiles: tuple[str, ...]
    credit: str


def moving_map(view: RunView, ways: Sequence[Route]) -> MovingMap | None:
    """ways: of the run's drives. None where the roads are not known, or are an estimate."""
    engine, extract = tile_engine(), current_extract()
    if engine is None or not ways or any(way.estimated for way in ways):
        return None
    lines = {way: tuple((spot.lat, spot.lon) for spot in way.line) for way in ways}
    tiles = corridor_tiles(lines.values(), most=MOST_TILES)
    name = sha256(f"{engine.key}|{extract.pk if extract else 0}".encode()).hexdigest()[:8]
    return MovingMap(
        legs=tuple(
            (halt.mark, encode_polyline(lines[way]), halt.is_done)
            for halt, way in ways_to_halts(view, ways)
            if way is not None
        ),
        halts=tuple((halt.mark, halt.lat, halt.lon) for halt in view.halts),
        names=tuple(
            (name.name, name.lat, name.lon, name.rank)
            for name in names_around([(halt.lat, halt.lon) for halt in view.halts])
        ),
        kept=f"tiles-{view.on.isoformat()}-{name}",
        tiles=tuple(f"{z}/{x}/{y}" for z, x, y in tiles),
        credit=roads_now().credit,
    )

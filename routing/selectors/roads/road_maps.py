"""Pictures of the loaded roads: map tiles, and a whole route as one drawing. Kept in the cache "tiles"."""

from collections.abc import Iterable, Sequence
from hashlib import sha256
from math import floor
from typing import Any

from django.core.cache import caches

from inventory.core.local import local
from routing.engines import KEY_LETTERS, DrawsTiles, current_extract, tile_engine
from routing.engines.street_index import StreetIndex
from routing.maps.geojson import runs_geojson
from routing.maps.mercator import degrees, tile_edges, tile_of, world, zoom_that_fits
from routing.maps.run_drawing import ENGLISH_WORDS, MapStop, MapWords, RunLine, draw_runs
from routing.maps.svgmap import STREETS_FROM, MapName, RoadLine, draw_tile, tile_lines
from routing.maps.vector_tiles import TileLayer, read_tile
from routing.models import RoadExtract
from routing.selectors.roads.current import places_on_map, roads_now, street_index

DRAWING = 5  # raise when tiles are drawn otherwise, so that kept ones are drawn anew
DEEPEST_DATA, DEEPEST_SHOWN, SHALLOWEST = 14, 18, 6
TILES_A_MAP = 24
NAMES_A_MAP, LEAST_SIGHT = 60, 0.2  # names a moving map writes itself, and degrees around that are in sight
HALF_A_NAME = 0.4  # of a tile: how far a name may reach over its edge


def tile_svg(z: int, x: int, y: int, *, named: bool = True) -> str | None:
    """One map tile as SVG; None off the map or when no roads are loaded.

    named: with the names of towns; a map that writes them itself, round its pins, goes without.

    Errors
        EngineDown, BadTile: the tile could not be had.
    """
    engine = tile_engine()
    if engine is None or not SHALLOWEST <= z <= DEEPEST_SHOWN or not (0 <= x < 2**z and 0 <= y < 2**z):
        return None
    extract = current_extract()
    named = named or z >= STREETS_FROM
    key = f"tile-{DRAWING}{'' if named else 'n'}-{engine.key}-{_map_key(extract)}-{z}-{x}-{y}"
    kept = caches["tiles"].get(key)
    if kept is not None:
        return str(kept)
    parent = min(z, DEEPEST_DATA)
    up = z - parent
    layers = _layers(engine, parent, x >> up, y >> up)
    names = _tile_names(extract, z, x, y) if named else ()
    drawn = draw_tile(layers, z=z, x=x, y=y, parent_zoom=parent if up else 0, names=names)
    caches["tiles"].set(key, drawn)
    return drawn


def runs_map(
    *,
    stops: Sequence[MapStop],
    lines: Sequence[RunLine] = (),
    says: str = "",
    words: MapWords = ENGLISH_WORDS,
    width: int = 720,
    height: int = 540,
) -> str:
    """A drawing of runs for paper, mail and pages without JavaScript; safe to put into a page.

    Errors
        EngineDown, BadTile: the roads could not be had.
    """
    extract = current_extract()
    told = repr((DRAWING, local().is_metric, _map_key(extract), stops, lines, says, words, width, height))
    key = f"map-{sha256(told.encode()).hexdigest()}"
    kept = caches["tiles"].get(key)
    if kept is not None:
        return str(kept)
    ways = (spot for line in lines for leg in line.legs for spot in leg)
    framed = (*ways, *((stop.lat, stop.lon) for stop in stops))
    drawn = draw_runs(
        roads=_roads_around(framed, width, height) if framed else (),
        lines=lines,
        stops=stops,
        names=_places(street_index(extract)) if extract else (),
        says=says,
        words=words,
        credit=roads_now().credit,
        width=width,
        height=height,
    )
    caches["tiles"].set(key, drawn, 7 * 86400)
    return drawn


def map_payload(*, stops: Sequence[MapStop], lines: Sequence[RunLine] = ()) -> dict[str, Any]:
    """What the map script needs, for `json_script`: the way, the stops, the names around, edges, credit."""
    spots = [(stop.lat, stop.lon) for stop in stops]
    return {
        "features": runs_geojson(lines=lines, stops=stops),
        "names": [[name.name, name.lat, name.lon, name.rank] for name in names_around(spots)],
        **map_opening(),
    }


def names_around(spots: Sequence[tuple[float, float]]) -> tuple[MapName, ...]:
    """Towns and hamlets within sight of the spots, the largest first."""
    if not spots:
        return ()
    south, north = min(lat for lat, _ in spots), max(lat for lat, _ in spots)
    west, east = min(lon for _, lon in spots), max(lon for _, lon in spots)
    high, wide = max(north - south, LEAST_SIGHT), max(east - west, LEAST_SIGHT)
    return tuple(
        name
        for name in _places(street_index())
        if south - high <= name.lat <= north + high and west - wide <= name.lon <= east + wide
    )[:NAMES_A_MAP]


def map_opening() -> dict[str, Any]:
    """Edges, middle, credit and caution of a map that shows no route yet; the middle is the largest place."""
    now = roads_now()
    largest = places_on_map()[:1] if now.bounds else ()
    return {
        "bounds": [[now.bounds[0], now.bounds[1]], [now.bounds[2], now.bounds[3]]] if now.bounds else None,
        "center": [largest[0][1], largest[0][2]] if largest else None,
        "credit": now.credit,
        "metric": local().is_metric,
        "note": now.note,
    }


def _map_key(extract: RoadExtract | None) -> str:
    return extract.sha256[:KEY_LETTERS] if extract else "none"


def _layers(engine: DrawsTiles, z: int, x: int, y: int) -> tuple[TileLayer, ...]:
    return read_tile(engine.tile(z, x, y))


def _places(index: StreetIndex | None) -> tuple[MapName, ...]:
    if index is None:
        return ()
    return tuple(
        MapName(name=name, lat=lat, lon=lon, rank=rank) for name, lat, lon, rank in index.place_names()
    )


def _tile_names(extract: RoadExtract | None, z: int, x: int, y: int) -> tuple[MapName, ...]:
    index = street_index(extract) if extract else None
    if index is None:
        return ()
    names = _places(index)
    if z >= STREETS_FROM:
        west, south, east, north = tile_edges(z, x, y)
        wide, high = (east - west) * HALF_A_NAME, (north - south) * HALF_A_NAME
        names += tuple(
            MapName(name=name, lat=lat, lon=lon, rank=0)
            for name, lat, lon in index.street_names(
                south=south - high, west=west - wide, north=north + high, east=east + wide
            )
        )
    return names


def _roads_around(spots: Sequence[tuple[float, float]], width: int, height: int) -> tuple[RoadLine, ...]:
    engine = tile_engine()
    if engine is None:
        return ()
    fits = zoom_that_fits(tuple(spots), width * 0.87, height * 0.87)
    z = max(SHALLOWEST + 1, min(DEEPEST_DATA, floor(fits) + 1))
    while z > SHALLOWEST + 1 and len(_tiles_around(spots, z, fits, width, height)) > TILES_A_MAP:
        z -= 1
    lines: list[RoadLine] = []
    for x, y in _tiles_around(spots, z, fits, width, height):
        lines.extend(tile_lines(_layers(engine, z, x, y), z=z, x=x, y=y))
    return tuple(dict.fromkeys(lines))


def _tiles_around(
    spots: Iterable[tuple[float, float]], z: int, fits: float, width: int, height: int
) -> list[tuple[int, int]]:
    """The tiles of zoom z under a picture of width x height units drawn at zoom `fits` around the spots."""
    flat = [world(lat, lon, fits) for lat, lon in spots]
    middle_x = (min(x for x, _ in flat) + max(x for x, _ in flat)) / 2
    middle_y = (min(y for _, y in flat) + max(y for _, y in flat)) / 2
    first = tile_of(*degrees(middle_x - width / 2, middle_y - height / 2, fits), z)
    last = tile_of(*degrees(middle_x + width / 2, middle_y + height / 2, fits), z)
    return [(x, y) for x in range(first[0], last[0] + 1) for y in range(first[1], last[1] + 1)]

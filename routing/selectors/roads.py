"""How far and how long, asked once and kept; where an address is; which roads are loaded.

Drives are kept per engine, map and rig (`CachedLeg`); an estimate is never kept. Call these outside long
transactions: the engine may be asked. Pictures of the roads are `routing.selectors.road_maps`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from django.conf import settings
from django.core.cache import cache

from routing.core.roads import (
    CAR,
    STANDING_STILL,
    EngineDown,
    Leg,
    Matrix,
    NoRoad,
    Point,
    RigProfile,
    RoadEngine,
    Route,
    figure,
)
from routing.core.streets import StreetHit
from routing.core.svgmap import INVENTED_CREDIT, OSM_CREDIT
from routing.engines import current_engine, current_extract
from routing.engines.street_index import StreetIndex
from routing.models import CachedLeg, RoadExtract

KEY_LENGTH = 120
ROWS_AT_ONCE = 500
WAY_SECONDS = 30 * 86_400

type _Pair = tuple[Point, Point]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadsNow:
    """Which roads are loaded and how drives are measured; `note` is to be shown beside every estimate."""

    name: str
    is_estimate: bool
    is_invented: bool
    addresses: int
    credit: str
    note: str
    bounds: tuple[float, float, float, float] | None  # south, west, north, east


def roads_now() -> RoadsNow:
    extract = current_extract()
    is_estimate = settings.ROAD_ENGINE == "estimate" or (
        settings.ROAD_ENGINE == "valhalla" and extract is None
    )
    note = ""
    if is_estimate:
        why = "no roads are loaded" if extract is None else "the settings ask for estimates"
        note = f"Miles and minutes are estimates from straight lines, since {why}."
    return RoadsNow(
        name=extract.name if extract else "",
        is_estimate=is_estimate,
        is_invented=bool(extract and extract.is_invented),
        addresses=extract.addresses if extract else 0,
        credit=_credit(extract),
        note=note,
        bounds=(extract.south, extract.west, extract.north, extract.east) if extract else None,
    )


def _credit(extract: RoadExtract | None) -> str:
    """The licence of the data asks for it wherever its roads are shown."""
    if extract is not None and extract.is_invented:
        return INVENTED_CREDIT
    return OSM_CREDIT if extract is not None or settings.ROAD_ENGINE == "valhalla_http" else ""


def matrix_between(
    points: Sequence[Point], profile: RigProfile = CAR, *, engine: RoadEngine | None = None
) -> Matrix:
    """Every drive between the points, square, in their order; asked of the engine only where not yet known.

    Errors
        EngineDown: the engine does not answer and not all is known.
    """
    return drives_between(points, points, profile, engine=engine)


def drives_between(
    sources: Sequence[Point],
    targets: Sequence[Point],
    profile: RigProfile = CAR,
    *,
    engine: RoadEngine | None = None,
) -> Matrix:
    """Every drive from a source to a target; None where this rig finds no road.

    Errors
        EngineDown: the engine does not answer and not all is known.
    """
    engine = engine or current_engine()
    if engine.is_estimate:
        return engine.matrix(sources, targets, profile)
    key = profile_key(engine, profile)
    known = _kept_legs(key, sources, targets)
    missing = {(start, end) for start in sources for end in targets if start != end} - known.keys()
    fresh: dict[_Pair, Leg | None] = {}
    for some_sources, some_targets in _blocks(missing):
        answer = engine.matrix(some_sources, some_targets, profile)
        for start, row in zip(some_sources, answer.legs, strict=True):
            for end, leg in zip(some_targets, row, strict=True):
                if (start, end) in missing:
                    fresh[start, end] = leg
    _keep(key, fresh)
    known.update(fresh)
    return Matrix(
        legs=tuple(
            tuple(STANDING_STILL if start == end else known[start, end] for end in targets)
            for start in sources
        )
    )


def drive_between(start: Point, end: Point, profile: RigProfile = CAR) -> Leg:
    """One drive.

    Errors
        NoRoad: this rig finds none. EngineDown: the engine does not answer.
    """
    leg = drives_between((start,), (end,), profile).leg(0, 0)
    if leg is None:
        raise NoRoad(start=start, end=end)
    return leg


def ways_between(hops: Sequence[tuple[Point, Point, RigProfile]]) -> tuple[Route, ...]:
    """The way of each hop for the map, kept like drives are: the engine is asked once for each.

    Errors
        NoRoad, OffTheMap, EngineDown.
    """
    engine = current_engine()
    if engine.is_estimate:
        return tuple(engine.route((start, end), profile) for start, end, profile in hops)
    keys = [_way_key(engine, *hop) for hop in hops]
    kept = cache.get_many(set(keys))
    ways = []
    for key, (start, end, profile) in zip(keys, hops, strict=True):
        if key not in kept:
            kept[key] = engine.route((start, end), profile)
            cache.set(key, kept[key], WAY_SECONDS)
        ways.append(kept[key])
    return tuple(ways)


def _way_key(engine: RoadEngine, start: Point, end: Point, profile: RigProfile) -> str:
    said = f"{profile_key(engine, profile)}|{start.lat_e6},{start.lon_e6}|{end.lat_e6},{end.lon_e6}"
    return f"way-{sha256(said.encode()).hexdigest()[:40]}"


def route_along(points: Sequence[Point], profile: RigProfile = CAR) -> Route:
    """The way through the points for the map.

    Errors
        NoRoad, OffTheMap, EngineDown.
    """
    return current_engine().route(points, profile)


def search_streets(text: str, near: Point | None = None, limit: int = 8) -> tuple[StreetHit, ...]:
    """Houses, streets and places for typed words, best first; nothing when no roads are loaded."""
    index = street_index()
    return index.search(text, near=near, limit=limit) if index else ()


def nearest_address(lat: float, lon: float) -> StreetHit | None:
    """The house next to a spot, or its street, when the map has one within a mile or so.

    Errors
        BadPoint: no place on earth.
    """
    point = Point(lat=lat, lon=lon)
    index = street_index()
    return index.nearest(point) if index else None


def is_on_map(lat: float, lon: float) -> bool:
    """Whether a road is near enough to drive to the spot; always so while drives are estimates.

    Errors
        BadPoint: no place on earth. EngineDown: the engine does not answer.
    """
    away = current_engine().snap(Point(lat=lat, lon=lon))
    return away is not None and away <= figure("snap_distance")


def street_index(extract: RoadExtract | None = None) -> StreetIndex | None:
    extract = extract or current_extract()
    if extract is None:
        return None
    path = Path(settings.ROADS_DIR) / extract.streets_db
    if not path.exists():
        raise EngineDown(engine="street index", why="its file is gone; run load_roads again")
    return StreetIndex(path)


def profile_key(engine: RoadEngine, profile: RigProfile) -> str:
    key = f"{engine.key}|{profile.key}"
    return key if len(key) <= KEY_LENGTH else sha256(key.encode()).hexdigest()


def _kept_legs(key: str, sources: Sequence[Point], targets: Sequence[Point]) -> dict[_Pair, Leg | None]:
    """One query, by latitude only: an IN on all four columns would make SQLite try each combination."""
    from_lats, to_lats = {point.lat_e6 for point in sources}, {point.lat_e6 for point in targets}
    rows = CachedLeg.objects.filter(
        profile_key=key, from_lat_e6__in=from_lats, to_lat_e6__in=to_lats
    ).values_list("from_lat_e6", "from_lon_e6", "to_lat_e6", "to_lon_e6", "meters", "seconds")
    starts = {(point.lat_e6, point.lon_e6): point for point in sources}
    ends = {(point.lat_e6, point.lon_e6): point for point in targets}
    known: dict[_Pair, Leg | None] = {}
    for from_lat, from_lon, to_lat, to_lon, meters, seconds in rows:
        start, end = starts.get((from_lat, from_lon)), ends.get((to_lat, to_lon))
        if start is not None and end is not None:
            known[start, end] = None if meters is None else Leg(meters=meters, seconds=seconds or 0)
    return known


def _blocks(missing: set[_Pair]) -> list[tuple[list[Point], list[Point]]]:
    """The missing pairs as few rectangles: whole rows first, then the columns that are left.

    A new place among known ones is one row and one column, not the whole square again.
    """
    wanted: dict[Point, set[Point]] = {}
    for start, end in missing:
        wanted.setdefault(start, set()).add(end)
    most = max((len(ends) for ends in wanted.values()), default=0)
    full = sorted(start for start, ends in wanted.items() if 2 * len(ends) > most)
    rest = sorted(wanted.keys() - set(full))
    return [
        (starts, sorted(set().union(*(wanted[start] for start in starts))))
        for starts in (full, rest)
        if starts
    ]


def _keep(key: str, legs: dict[_Pair, Leg | None]) -> None:
    CachedLeg.objects.bulk_create(
        (
            CachedLeg(
                profile_key=key,
                from_lat_e6=start.lat_e6,
                from_lon_e6=start.lon_e6,
                to_lat_e6=end.lat_e6,
                to_lon_e6=end.lon_e6,
                meters=leg.meters if leg else None,
                seconds=leg.seconds if leg else None,
            )
            for (start, end), leg in legs.items()
        ),
        batch_size=ROWS_AT_ONCE,
        ignore_conflicts=True,
    )

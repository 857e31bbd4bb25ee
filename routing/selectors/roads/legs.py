"""Every drive there is: asked once, kept in one table, held by each process as whole-number tables.

A drive is kept by engine, map and rig (`CachedLeg`); an estimate is never kept. Call these outside long
transactions: the engine may be asked.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from hashlib import sha256

import numpy as np

from routing.core.road_engine import CAR, NO_PACES, RigProfile, RoadEngine
from routing.core.roads import STANDING_STILL, Leg, Matrix, NoRoad, Point, Route
from routing.engines import current_engine
from routing.maps.polyline import decode_polyline, encode_polyline
from routing.models import CachedLeg
from routing.selectors.roads.kept_roads import MOST_POINTS, NO_ROAD, Table, kept_roads, rectangles

KEY_LENGTH = 120
ROWS_AT_ONCE = 500
LINES_KEPT = 512  # ways of one drive that a process keeps unpacked

type Pair = tuple[Point, Point]
type _Key = tuple[str, Point, Point]


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
        return paced_matrix(engine.matrix(sources, targets, profile), profile)
    found = table_between(sources, targets, profile, engine)
    return Matrix(
        legs=tuple(
            tuple(
                None if meters == NO_ROAD else Leg(meters=meters, seconds=seconds) for meters, seconds in row
            )
            for row in found.tolist()
        )
    )


def table_between(
    sources: Sequence[Point], targets: Sequence[Point], profile: RigProfile, engine: RoadEngine
) -> Table:
    """The same as whole numbers; what this process has read before is not read again.

    Shapes and units
        sources x targets x 2: meters, seconds; `NO_ROAD` in both where there is none.
    """
    key = profile_key(engine, profile)
    starts, ends = tuple(dict.fromkeys(sources)), tuple(dict.fromkeys(targets))

    def ask(some_starts: Sequence[Point], some_ends: Sequence[Point]) -> Matrix:
        return _read_or_asked(key, some_starts, some_ends, profile, engine)

    places = {*starts, *ends}
    if len(places) > MOST_POINTS:
        block = as_table(ask(starts, ends))
    else:
        block = kept_roads(key, places).block(starts, ends, ask)
    block = paced_table(block, profile)
    if len(starts) == len(sources) and len(ends) == len(targets):
        return block
    row, column = {point: at for at, point in enumerate(starts)}, {point: at for at, point in enumerate(ends)}
    found: Table = block[[row[point] for point in sources]][:, [column[point] for point in targets]]
    return found


def ways_between(hops: Sequence[tuple[Point, Point, RigProfile]]) -> tuple[Route, ...]:
    """The way of each hop for the map, kept beside its drive: the engine draws each once.

    Errors
        NoRoad, OffTheMap, EngineDown.
    """
    engine = current_engine()
    if engine.is_estimate:
        return tuple(_estimated(engine.route((start, end), profile), profile) for start, end, profile in hops)
    lines = _kept_lines(engine, hops)
    ways = []
    for start, end, profile in hops:
        key = profile_key(engine, profile), start, end
        if key not in lines:
            line = engine.route((start, end), profile).line
            leg = drives_between((start,), (end,), replace(profile, paces=NO_PACES), engine=engine).leg(0, 0)
            if leg is None:
                raise NoRoad(start=start, end=end)
            _keep_line(*key, line)
            lines[key] = leg, line
        leg, line = lines[key]
        ways.append(Route(line=line, legs=(profile.paces.paced(leg),)))
    return tuple(ways)


def _estimated(route: Route, profile: RigProfile) -> Route:
    return replace(route, legs=tuple(profile.paces.paced(leg) for leg in route.legs))


def paced_matrix(matrix: Matrix, profile: RigProfile) -> Matrix:
    """The engine's drives as long as this rig was learned to take for them."""
    if profile.paces == NO_PACES:
        return matrix
    rows = tuple(tuple(leg and profile.paces.paced(leg) for leg in row) for row in matrix.legs)
    return Matrix(legs=rows, estimated=matrix.estimated)


def paced_table(table: Table, profile: RigProfile) -> Table:
    """The same for whole numbers; what is kept stays as the engine said."""
    if profile.paces == NO_PACES:
        return table
    rows = table.tolist()
    for row in rows:
        for cell in row:
            if cell[0] != NO_ROAD:
                cell[1] = profile.paces.paced(Leg(meters=cell[0], seconds=cell[1])).seconds
    return np.array(rows, np.int32).reshape(table.shape)


def profile_key(engine: RoadEngine, profile: RigProfile) -> str:
    """Names an engine, its map and a rig; what the database and the process keep drives under."""
    key = f"{engine.key}|{profile.key}"
    return key if len(key) <= KEY_LENGTH else sha256(key.encode()).hexdigest()


def _read_or_asked(
    key: str, sources: Sequence[Point], targets: Sequence[Point], profile: RigProfile, engine: RoadEngine
) -> Matrix:
    """From the table as far as it goes, the rest from the engine and kept."""
    known = _kept_legs(key, sources, targets)
    known.update({(point, point): STANDING_STILL for point in {*sources} & {*targets}})
    is_missing = np.array([[(start, end) not in known for end in targets] for start in sources])
    fresh: dict[Pair, Leg | None] = {}
    for rows, columns in rectangles(is_missing):
        some_sources, some_targets = [sources[row] for row in rows], [targets[column] for column in columns]
        answer = engine.matrix(some_sources, some_targets, profile)
        for start, legs in zip(some_sources, answer.legs, strict=True):
            fresh.update({(start, end): leg for end, leg in zip(some_targets, legs, strict=True)})
    fresh = {pair: leg for pair, leg in fresh.items() if pair not in known}
    _keep(key, fresh)
    known.update(fresh)
    return Matrix(legs=tuple(tuple(known[start, end] for end in targets) for start in sources))


def as_table(matrix: Matrix) -> Table:
    """A matrix as whole numbers."""
    return np.array(
        [[(leg.meters, leg.seconds) if leg else (NO_ROAD, NO_ROAD) for leg in row] for row in matrix.legs],
        np.int32,
    )


def _kept_legs(key: str, sources: Sequence[Point], targets: Sequence[Point]) -> dict[Pair, Leg | None]:
    """One query, by latitude only: an IN on all four columns would make SQLite try each combination."""
    from_lats, to_lats = {point.lat_e6 for point in sources}, {point.lat_e6 for point in targets}
    rows = CachedLeg.objects.filter(
        profile_key=key, from_lat_e6__in=from_lats, to_lat_e6__in=to_lats
    ).values_list("from_lat_e6", "from_lon_e6", "to_lat_e6", "to_lon_e6", "meters", "seconds")
    starts = {(point.lat_e6, point.lon_e6): point for point in sources}
    ends = {(point.lat_e6, point.lon_e6): point for point in targets}
    known: dict[Pair, Leg | None] = {}
    for from_lat, from_lon, to_lat, to_lon, meters, seconds in rows:
        start, end = starts.get((from_lat, from_lon)), ends.get((to_lat, to_lon))
        if start is not None and end is not None:
            known[start, end] = None if meters is None else Leg(meters=meters, seconds=seconds or 0)
    return known


def _keep(key: str, legs: dict[Pair, Leg | None]) -> None:
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


def _kept_lines(
    engine: RoadEngine, hops: Sequence[tuple[Point, Point, RigProfile]]
) -> dict[_Key, tuple[Leg, tuple[Point, ...]]]:
    """Ways drawn before, in one query."""
    rows = CachedLeg.objects.exclude(line="").filter(
        profile_key__in={profile_key(engine, profile) for *_, profile in hops},
        from_lat_e6__in={start.lat_e6 for start, *_ in hops},
        to_lat_e6__in={end.lat_e6 for _, end, _ in hops},
    )
    lines = {}
    for key, from_lat, from_lon, to_lat, to_lon, meters, seconds, line in rows.values_list(
        "profile_key", "from_lat_e6", "from_lon_e6", "to_lat_e6", "to_lon_e6", "meters", "seconds", "line"
    ):
        start, end = Point.from_e6(from_lat, from_lon), Point.from_e6(to_lat, to_lon)
        lines[key, start, end] = Leg(meters=meters or 0, seconds=seconds or 0), _unpacked(line)
    return lines


@lru_cache(LINES_KEPT)
def _unpacked(line: str) -> tuple[Point, ...]:
    return tuple(Point(lat=lat, lon=lon) for lat, lon in decode_polyline(line))


def _keep_line(key: str, start: Point, end: Point, line: Sequence[Point]) -> None:
    CachedLeg.objects.filter(
        profile_key=key,
        from_lat_e6=start.lat_e6,
        from_lon_e6=start.lon_e6,
        to_lat_e6=end.lat_e6,
        to_lon_e6=end.lon_e6,
    ).update(line=encode_polyline(tuple((point.lat, point.lon) for point in line)))

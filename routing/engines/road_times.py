"""What the engines were asked before: a drive or its way is asked of an engine once and kept in one table.

A drive is kept by engine, map and rig (`CachedLeg`); an estimate is never kept. Asking may write, so call
these outside long transactions.
"""

from collections.abc import Sequence
from functools import lru_cache
from hashlib import sha256

import numpy as np
from numpy.typing import NDArray

from routing.core.road_engine import RigProfile, RoadEngine
from routing.core.roads import STANDING_STILL, Leg, Matrix, Point
from routing.maps.polyline import decode_polyline, encode_polyline
from routing.models import CachedLeg

KEY_LENGTH = 120
ROWS_AT_ONCE = 500
LINES_KEPT = 512  # ways of one drive that a process keeps unpacked

type Pair = tuple[Point, Point]
type _Key = tuple[str, Point, Point]


def profile_key(engine: RoadEngine, profile: RigProfile) -> str:
    """Names an engine, its map and a rig; what the database and the process keep drives under."""
    key = f"{engine.key}|{profile.key}"
    return key if len(key) <= KEY_LENGTH else sha256(key.encode()).hexdigest()


def read_or_asked(
    key: str, sources: Sequence[Point], targets: Sequence[Point], profile: RigProfile, engine: RoadEngine
) -> Matrix:
    """Drives from the table as far as it goes, the rest from the engine and kept.

    Errors
        EngineDown: the engine does not answer and not all is known.
    """
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


def rectangles(missing: NDArray[np.bool_]) -> list[tuple[list[int], list[int]]]:
    """What is missing as one or two rectangles: places nearly nothing is known from, then the columns left.

    A new place among known ones is one row and one column.
    """
    count = missing.sum(axis=1)
    full = count * 2 > count.max(initial=0)
    return [
        (rows.tolist(), np.flatnonzero(missing[rows].any(axis=0)).tolist())
        for rows in (np.flatnonzero(full), np.flatnonzero(~full & (count > 0)))
        if len(rows)
    ]


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


def kept_lines(
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


def keep_line(key: str, start: Point, end: Point, line: Sequence[Point]) -> None:
    """Keep the way of a drive that is kept already."""
    CachedLeg.objects.filter(
        profile_key=key,
        from_lat_e6=start.lat_e6,
        from_lon_e6=start.lon_e6,
        to_lat_e6=end.lat_e6,
        to_lon_e6=end.lon_e6,
    ).update(line=encode_polyline(tuple((point.lat, point.lon) for point in line)))

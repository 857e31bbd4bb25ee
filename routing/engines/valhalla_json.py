"""What is asked of Valhalla and how its answers are read; the same words in process and over HTTP."""

from collections.abc import Callable, Mapping, Sequence
from functools import reduce
from itertools import pairwise
from typing import Any

from inventory.core.units import METERS_PER_MILE
from routing.core import RoutingError
from routing.core.road_engine import NO_MARKS, RigProfile, RoadMarks
from routing.core.roads import (
    STANDING_STILL,
    EngineDown,
    Leg,
    Matrix,
    NoRoad,
    OffTheMap,
    Point,
    Route,
    figure,
    meters_between,
)
from routing.maps.polyline import decode_polyline

type Json = dict[str, Any]
type Ask = Callable[[str, Json], Any]
type Table = list[list[Leg | None]]
type Way = tuple[Leg | None, tuple[Point, ...]]

TONS_PER_LB = 0.00045359237  # metric tons, exact (NIST SP 811, appendix B)
METERS_PER_FT = 0.3048  # exact, same source
LOCATIONS_PER_ROUTE = 20  # Valhalla's default service limit
METER_SECONDS = 1 / 16  # what Valhalla blends a meter as under use_distance (read in its sources)
WITHOUT_TASTES = {  # no dislike of tracks, yards, alleys and turns beyond the time they take
    "use_tracks": 1,
    "use_living_streets": 1,
    "service_factor": 1,
    "service_penalty": 0,
    "alley_factor": 1,
    "maneuver_penalty": 0,
}
NO_SUITABLE_EDGES = 171
NO_WAY = frozenset({NO_SUITABLE_EDGES, 442, 170, 154})  # no edge near, no path, islands, too far


class ValhallaRefused(RoutingError):
    """Valhalla understood the question and says no; `code` is its own error code."""

    says = "The road engine refused: {message} (code {code})."
    code: int
    message: str


def costings(profile: RigProfile) -> tuple[Json, ...]:
    """How a rig's road is asked for; of the answers the one cheapest for the seller is taken.

    A pickup, with or without a trailer, drives as a car that knows its size: Valhalla's truck is a heavy one.
    `use_distance` blends time and distance as the seller's money does. The engine still shuns gravel, which
    is no dearer to the seller than its slower drive; the shortest way, which it finds without such tastes, is
    weighed against it.
    """
    options = {
        "top_speed": round(profile.top_speed_mph * float(METERS_PER_MILE) / 1000),
        "weight": round(profile.weight_lb * TONS_PER_LB, 4),
        "length": round(profile.length_ft * METERS_PER_FT, 3),
        "width": round(profile.width_ft * METERS_PER_FT, 3),
        "height": round(profile.height_ft * METERS_PER_FT, 3),
    }
    known = {name: size for name, size in options.items() if size}  # unknown sizes stay Valhalla's own
    if not profile.mile_seconds:
        return (_auto(known),)
    meter_seconds = profile.mile_seconds / float(METERS_PER_MILE)
    by_money = meter_seconds / (meter_seconds + METER_SECONDS)
    return (
        _auto({**known, **WITHOUT_TASTES, "use_distance": round(by_money, 4)}),
        _auto({**known, "shortest": True}),
    )


def _auto(options: Json) -> Json:
    return {"costing": "auto", "costing_options": {"auto": options}}


def locations(points: Sequence[Point]) -> list[Json]:
    return [{"lat": point.lat, "lon": point.lon} for point in points]


def ask_matrix(
    ask: Ask,
    *,
    sources: Sequence[Point],
    targets: Sequence[Point],
    profile: RigProfile,
    engine: str,
    marks: RoadMarks = NO_MARKS,
) -> Matrix:
    """Every drive, asked in blocks that stay within the engine's limits; None where there is no road."""
    ways = _ways(ask, sources, targets, profile, engine, marks)
    return Matrix(legs=tuple(tuple(leg for leg, _ in row) for row in ways))


def _ways(
    ask: Ask,
    sources: Sequence[Point],
    targets: Sequence[Point],
    profile: RigProfile,
    engine: str,
    marks: RoadMarks,
) -> list[list[Way]]:
    """Every drive with the taken roads it goes by, in their order."""
    starts, ends = [*sources, *marks.taken], [*targets, *marks.taken]
    block = int(figure("matrix_block"))
    ways: list[list[Way]] = []
    for top in range(0, len(starts), block):
        some = starts[top : top + block]
        parts = [
            _cheapest(ask, some, ends[left : left + block], profile, engine, marks)
            for left in range(0, len(ends), block)
        ]
        ways.extend([(leg, ()) for part in parts for leg in part[row]] for row in range(len(some)))
    for number, spot in enumerate(marks.taken):
        onward = ways[len(sources) + number]
        for row in ways:
            there = row[len(targets) + number]
            for column, direct in enumerate(row):
                by_it = _joined(there, onward[column], spot)
                if by_it[0] is not None and profile.cheaper(direct[0], by_it[0]) is not direct[0]:
                    row[column] = by_it
    return [row[: len(targets)] for row in ways[: len(sources)]]


def _joined(there: Way, onward: Way, spot: Point) -> Way:
    first, then = there[0], onward[0]
    if first is None or then is None:
        return None, ()
    leg = Leg(meters=first.meters + then.meters, seconds=first.seconds + then.seconds)
    return leg, (*there[1], spot, *onward[1])


def _cheapest(
    ask: Ask,
    sources: Sequence[Point],
    targets: Sequence[Point],
    profile: RigProfile,
    engine: str,
    marks: RoadMarks,
) -> Table:
    """The cheaper of the engine's answers, round the avoided roads where another leads there."""
    asked = costings(profile)
    if marks.avoided:
        round_them = [{**costing, **_avoiding(marks)} for costing in asked]
        found = _best_of([_block(ask, sources, targets, costing, engine) for costing in round_them], profile)
        if all(leg is not None for row in found for leg in row):
            return found
        by_them = _best_of([_block(ask, sources, targets, costing, engine) for costing in asked], profile)
        return [
            [leg or other for leg, other in zip(*rows, strict=True)]
            for rows in zip(found, by_them, strict=True)
        ]
    return _best_of([_block(ask, sources, targets, costing, engine) for costing in asked], profile)


def _best_of(tables: Sequence[Table], profile: RigProfile) -> Table:
    return [
        [reduce(profile.cheaper, legs) for legs in zip(*rows, strict=True)]
        for rows in zip(*tables, strict=True)
    ]


def _avoiding(marks: RoadMarks) -> Json:
    return {"exclude_locations": locations(marks.avoided)}


def _block(ask: Ask, sources: Sequence[Point], targets: Sequence[Point], costing: Json, engine: str) -> Table:
    question = {
        "sources": locations(sources),
        "targets": locations(targets),
        "verbose": False,
        "units": "kilometers",
        **costing,
    }
    try:
        answer = ask("sources_to_targets", question)
    except ValhallaRefused as refused:
        if refused.code not in NO_WAY:
            raise EngineDown(engine=engine, why=refused.message) from refused
        return _without_the_lost(ask, sources, targets, costing, engine)
    try:
        table = answer["sources_to_targets"]
        return [
            [
                STANDING_STILL if source == target else _leg(km, seconds)
                for target, km, seconds in zip(targets, row_km, row_seconds, strict=True)
            ]
            for source, row_km, row_seconds in zip(
                sources, table["distances"], table["durations"], strict=True
            )
        ]
    except (KeyError, TypeError, ValueError) as error:
        raise EngineDown(engine=engine, why="its matrix cannot be read") from error


def _leg(km: float | None, seconds: float | None) -> Leg | None:
    if km is None or seconds is None:
        return None
    return Leg(meters=round(km * 1000), seconds=round(seconds))


def _without_the_lost(
    ask: Ask, sources: Sequence[Point], targets: Sequence[Point], costing: Json, engine: str
) -> Table:
    """One place off the map must not cost the others their drives: ask again without those no road is near.

    When all are near a road but on islands of their own, the block is halved until they stand alone.
    """
    lost = {point for point in {*sources, *targets} if ask_snap(ask, point=point, engine=engine) is None}
    if lost:
        kept_sources = [point for point in sources if point not in lost]
        kept_targets = [point for point in targets if point not in lost]
        known: dict[tuple[Point, Point], Leg | None] = {(point, point): STANDING_STILL for point in lost}
        if kept_sources and kept_targets:
            for source, row in zip(
                kept_sources, _block(ask, kept_sources, kept_targets, costing, engine), strict=True
            ):
                known.update(zip(((source, target) for target in kept_targets), row, strict=True))
        return [[known.get((source, target)) for target in targets] for source in sources]
    if len(sources) == 1 and len(targets) == 1:
        return [[STANDING_STILL if sources[0] == targets[0] else None]]
    if len(sources) >= len(targets):
        half = len(sources) // 2
        return _block(ask, sources[:half], targets, costing, engine) + _block(
            ask, sources[half:], targets, costing, engine
        )
    half = len(targets) // 2
    left = _block(ask, sources, targets[:half], costing, engine)
    right = _block(ask, sources, targets[half:], costing, engine)
    return [row_left + row_right for row_left, row_right in zip(left, right, strict=True)]


def ask_route(
    ask: Ask,
    *,
    points: Sequence[Point],
    profile: RigProfile,
    engine: str,
    marks: RoadMarks = NO_MARKS,
) -> Route:
    """The way through the points, in pieces of as many stops as the engine takes at once.

    Errors
        NoRoad, OffTheMap, EngineDown.
    """
    if len(points) < 2:
        return Route(line=tuple(points), legs=())
    line: list[Point] = []
    legs: list[Leg] = []
    for first in range(0, len(points) - 1, LOCATIONS_PER_ROUTE - 1):
        for leg, shape in _drawn(ask, points[first : first + LOCATIONS_PER_ROUTE], profile, engine, marks):
            legs.append(leg)
            line.extend(shape[1:] if line else shape)
    return Route(line=tuple(line), legs=tuple(legs))


def _drawn(
    ask: Ask, points: Sequence[Point], profile: RigProfile, engine: str, marks: RoadMarks
) -> list[tuple[Leg, list[Point]]]:
    """Each leg through the points with its shape; with marks leg by leg, as the matrix weighs them."""
    if marks.taken:
        found = []
        for start, end in pairwise(points):
            [[(_, by)]] = _ways(ask, (start,), (end,), profile, engine, marks)
            pieces = _drawn(ask, (start, *by, end), profile, engine, RoadMarks(avoided=marks.avoided))
            leg = Leg(
                meters=sum(leg.meters for leg, _ in pieces), seconds=sum(leg.seconds for leg, _ in pieces)
            )
            found.append((leg, [spot for _, shape in pieces for spot in shape]))
        return found
    asked: Sequence[Json] = costings(profile)
    if marks.avoided:
        try:
            around = [_piece(ask, points, {**costing, **_avoiding(marks)}, engine) for costing in asked]
        except RoutingError:
            return _drawn(ask, points, profile, engine, NO_MARKS)
        return _chosen(around, profile)
    return _chosen([_piece(ask, points, costing, engine) for costing in asked], profile)


def _chosen(
    asked: Sequence[list[tuple[Leg, list[Point]]]], profile: RigProfile
) -> list[tuple[Leg, list[Point]]]:
    found = []
    for ways in zip(*asked, strict=True):
        best = reduce(profile.cheaper, (leg for leg, _ in ways))
        found.append(next(way for way in ways if way[0] is best))
    return found


def _piece(ask: Ask, points: Sequence[Point], costing: Json, engine: str) -> list[tuple[Leg, list[Point]]]:
    """Each leg through the points with its shape."""
    question = {"locations": locations(points), "units": "kilometers", "directions_type": "none", **costing}
    try:
        answer = ask("route", question)
    except ValhallaRefused as refused:
        raise _explained(ask, points, refused, engine) from refused
    try:
        return [
            (
                Leg(meters=round(leg["summary"]["length"] * 1000), seconds=round(leg["summary"]["time"])),
                [Point(lat=lat, lon=lon) for lat, lon in decode_polyline(leg["shape"])],
            )
            for leg in answer["trip"]["legs"]
        ]
    except (KeyError, TypeError, ValueError) as error:
        raise EngineDown(engine=engine, why="its route cannot be read") from error


def _explained(ask: Ask, points: Sequence[Point], refused: ValhallaRefused, engine: str) -> RoutingError:
    if refused.code not in NO_WAY:
        return EngineDown(engine=engine, why=refused.message)
    for point in points:
        if ask_snap(ask, point=point, engine=engine) is None:
            return OffTheMap(point=point)
    return NoRoad(start=points[0], end=points[-1])


def ask_snap(ask: Ask, *, point: Point, engine: str) -> int | None:
    """Meters from the point to the nearest road, None when the map has none near."""
    question = {"locations": locations([point]), "costing": "auto", "verbose": False}
    try:
        answer = ask("locate", question)
        edges = answer[0].get("edges") or []
        near = [
            meters_between(point, Point(lat=edge["correlated_lat"], lon=edge["correlated_lon"]))
            for edge in edges
        ]
    except ValhallaRefused as refused:
        if refused.code == NO_SUITABLE_EDGES:
            return None
        raise EngineDown(engine=engine, why=refused.message) from refused
    except (KeyError, TypeError, IndexError, AttributeError) as error:
        raise EngineDown(engine=engine, why="its answer cannot be read") from error
    return round(min(near)) if near else None


def refusal(answer: Mapping[str, Any]) -> ValhallaRefused | None:
    """The error inside an answer, as Valhalla's HTTP service words it."""
    if "error_code" in answer:
        return ValhallaRefused(
            code=int(answer["error_code"]), message=str(answer.get("error", "no reason given"))
        )
    return None

"""What is asked of Valhalla and how its answers are read; the same words in process and over HTTP."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from routing.core import RoutingError
from routing.core.polyline import decode_polyline
from routing.core.roads import (
    METERS_PER_MILE,
    STANDING_STILL,
    EngineDown,
    Leg,
    Matrix,
    NoRoad,
    OffTheMap,
    Point,
    RigProfile,
    Route,
    figure,
    great_circle_meters,
)

type Json = dict[str, Any]
type Ask = Callable[[str, Json], Any]

TONS_PER_LB = 0.00045359237  # metric tons, exact (NIST SP 811, appendix B)
METERS_PER_FT = 0.3048  # exact, same source
LOCATIONS_PER_ROUTE = 20  # Valhalla's default service limit
NO_SUITABLE_EDGES = 171
NO_WAY = frozenset({NO_SUITABLE_EDGES, 442, 170, 154})  # no edge near, no path, islands, too far


class ValhallaRefused(RoutingError):
    """Valhalla understood the question and says no; `code` is its own error code."""

    def __init__(self, *, code: int, message: str) -> None:
        self.code = code
        self.message = message
        super().__init__(f"The road engine refused: {message} (code {code}).")


def costing(profile: RigProfile) -> Json:
    """Valhalla's costing model and options for a rig; a car's unknown sizes stay Valhalla's own."""
    top = round(profile.top_speed_mph * METERS_PER_MILE / 1000)
    sizes = {
        "weight": round(profile.weight_lb * TONS_PER_LB, 4),
        "axle_load": round(profile.axle_load_lb * TONS_PER_LB, 4),
        "length": round(profile.length_ft * METERS_PER_FT, 3),
        "width": round(profile.width_ft * METERS_PER_FT, 3),
        "height": round(profile.height_ft * METERS_PER_FT, 3),
    }
    if profile.kind == "auto":
        known = {name: size for name, size in sizes.items() if size}
        return {"costing": "auto", "costing_options": {"auto": {"top_speed": top, **known}}}
    options = {
        **sizes,
        "top_speed": top,
        "low_class_penalty": 0,  # a pickup with a trailer is at home on farm roads
        "hgv_no_access_penalty": 0,  # ... and is not the heavy truck that such signs mean
    }
    return {"costing": "truck", "costing_options": {"truck": options}}


def locations(points: Sequence[Point]) -> list[Json]:
    return [{"lat": point.lat, "lon": point.lon} for point in points]


def ask_matrix(
    ask: Ask, *, sources: Sequence[Point], targets: Sequence[Point], profile: RigProfile, engine: str
) -> Matrix:
    """Every drive, asked in blocks that stay within the engine's limits; None where there is no road."""
    block = int(figure("matrix_block"))
    rows: list[tuple[Leg | None, ...]] = []
    for top in range(0, len(sources), block):
        some_sources = sources[top : top + block]
        parts = [
            _block(ask, some_sources, targets[left : left + block], profile, engine)
            for left in range(0, len(targets), block)
        ]
        rows.extend(tuple(leg for part in parts for leg in part[row]) for row in range(len(some_sources)))
    return Matrix(legs=tuple(rows))


def _block(
    ask: Ask, sources: Sequence[Point], targets: Sequence[Point], profile: RigProfile, engine: str
) -> list[list[Leg | None]]:
    question = {
        "sources": locations(sources),
        "targets": locations(targets),
        "verbose": False,
        "units": "kilometers",
        **costing(profile),
    }
    try:
        answer = ask("sources_to_targets", question)
    except ValhallaRefused as refused:
        if refused.code not in NO_WAY:
            raise EngineDown(engine=engine, why=refused.message) from refused
        return _without_the_lost(ask, sources, targets, profile, engine)
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
    ask: Ask, sources: Sequence[Point], targets: Sequence[Point], profile: RigProfile, engine: str
) -> list[list[Leg | None]]:
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
                kept_sources, _block(ask, kept_sources, kept_targets, profile, engine), strict=True
            ):
                known.update(zip(((source, target) for target in kept_targets), row, strict=True))
        return [[known.get((source, target)) for target in targets] for source in sources]
    if len(sources) == 1 and len(targets) == 1:
        return [[STANDING_STILL if sources[0] == targets[0] else None]]
    if len(sources) >= len(targets):
        half = len(sources) // 2
        return _block(ask, sources[:half], targets, profile, engine) + _block(
            ask, sources[half:], targets, profile, engine
        )
    half = len(targets) // 2
    left = _block(ask, sources, targets[:half], profile, engine)
    right = _block(ask, sources, targets[half:], profile, engine)
    return [row_left + row_right for row_left, row_right in zip(left, right, strict=True)]


def ask_route(ask: Ask, *, points: Sequence[Point], profile: RigProfile, engine: str) -> Route:
    """The way through the points, in pieces of as many stops as the engine takes at once.

    Errors
        NoRoad, OffTheMap, EngineDown.
    """
    if len(points) < 2:
        return Route(line=tuple(points), legs=())
    line: list[Point] = []
    legs: list[Leg] = []
    for first in range(0, len(points) - 1, LOCATIONS_PER_ROUTE - 1):
        piece = points[first : first + LOCATIONS_PER_ROUTE]
        question = {
            "locations": locations(piece),
            "units": "kilometers",
            "directions_type": "none",
            **costing(profile),
        }
        try:
            answer = ask("route", question)
        except ValhallaRefused as refused:
            raise _explained(ask, piece, refused, engine) from refused
        try:
            found = answer["trip"]["legs"]
            legs.extend(
                Leg(meters=round(leg["summary"]["length"] * 1000), seconds=round(leg["summary"]["time"]))
                for leg in found
            )
            for leg in found:
                shape = [Point(lat=lat, lon=lon) for lat, lon in decode_polyline(leg["shape"])]
                line.extend(shape[1:] if line else shape)
        except (KeyError, TypeError, ValueError) as error:
            raise EngineDown(engine=engine, why="its route cannot be read") from error
    return Route(line=tuple(line), legs=tuple(legs))


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
            great_circle_meters(point, Point(lat=edge["correlated_lat"], lon=edge["correlated_lon"]))
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

"""The roads of a day's places, as each rig may drive them empty and loaded."""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from math import floor

import numpy as np

from routing.core.problem import Roads
from routing.core.roads import Matrix, Point, RigProfile, RoadEngine, rig_profile
from routing.engines import current_engine
from routing.models import Rig
from routing.selectors.kept_roads import MOST_POINTS, NO_ROAD, Table, kept_roads
from routing.selectors.parcels import Want, pounds
from routing.selectors.rigs import RigRow, rig_value
from routing.selectors.roads import drives_between, matrix_between, profile_key

NO_ROAD_METERS, NO_ROAD_SECONDS = 10_000_000, 200_000  # farther than any day: nothing is planned over it


def road_tables(
    points: Sequence[Point], rigs: Iterable[Rig], wants: Sequence[Want], weights: Mapping[int, float]
) -> dict[str, Roads]:
    lots = {line.lot.pk: line.lot for want in wants for lines in want.lines.values() for line in lines}
    heaviest = max((pounds(lot, weights) for lot in lots.values()), default=0)
    in_all = sum(
        (
            line.cords * pounds(line.lot, weights)
            for want in wants
            for lines in want.lines.values()
            for line in lines
        ),
        Fraction(0),
    )
    engine = current_engine()
    tables = {}
    made: dict[RigProfile, Roads] = {}  # rigs alike to the road share a table
    for rig in rigs:
        value = rig_value(rig)
        wood_lb = min(Fraction(rig.payload_lb), value.box_cords * heaviest, in_all)
        for name, carried in (("empty", 0), ("loaded", floor(wood_lb) + 1)):
            profile = profile_of(rig, wood_lb=carried)
            if profile not in made:
                made[profile] = _roads(points, profile, engine)
            tables[f"{name} {rig.pk}"] = made[profile]
    return tables


def profile_of(rig: Rig | RigRow, *, wood_lb: int) -> RigProfile:
    """The rig as the road sees it with so much wood on."""
    return rig_profile(
        weight_lb=rig_value(rig).empty_lb + wood_lb,
        length_ft=float(rig.length_ft),
        height_ft=float(rig.height_ft),
        has_trailer=rig.has_trailer,
        is_loaded=wood_lb > 0,
        top_speed_mph=rig.top_speed_mph,
    )


def _roads(points: Sequence[Point], profile: RigProfile, engine: RoadEngine) -> Roads:
    """Between all the places; what this process has read before is not read again."""
    unique = tuple(dict.fromkeys(points))
    if engine.is_estimate or len(unique) > MOST_POINTS:
        return _roads_of(matrix_between(unique, profile, engine=engine), points, unique)

    def ask(starts: Sequence[Point], ends: Sequence[Point]) -> Matrix:
        return drives_between(starts, ends, profile, engine=engine)

    square = kept_roads(profile_key(engine, profile), unique).square(unique, ask)
    at = [unique.index(point) for point in points]
    legs = square[np.ix_(at, at)]
    none = legs == NO_ROAD
    return Roads(
        meters=_rows(np.where(none[:, :, 0], NO_ROAD_METERS, legs[:, :, 0])),
        seconds=_rows(np.where(none[:, :, 1], NO_ROAD_SECONDS, legs[:, :, 1])),
    )


def _rows(table: Table) -> tuple[tuple[int, ...], ...]:
    return tuple(tuple(row) for row in table.tolist())


def _roads_of(matrix: Matrix, points: Sequence[Point], unique: Sequence[Point]) -> Roads:
    at = [unique.index(point) for point in points]
    return Roads(
        meters=tuple(
            tuple(leg.meters if (leg := matrix.leg(a, b)) else NO_ROAD_METERS for b in at) for a in at
        ),
        seconds=tuple(
            tuple(leg.seconds if (leg := matrix.leg(a, b)) else NO_ROAD_SECONDS for b in at) for a in at
        ),
    )

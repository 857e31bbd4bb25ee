"""Every drive there is, held by each process as whole-number tables; `routing.engines.road_times` keeps them.

Call these outside long transactions: the engine may be asked.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from routing.core.road_engine import CAR, NO_PACES, RigProfile, RoadEngine
from routing.core.roads import Leg, Matrix, NoRoad, Point, Route
from routing.engines import current_engine
from routing.engines.road_times import keep_line, kept_lines, profile_key, read_or_asked
from routing.selectors.roads.kept_roads import MOST_POINTS, NO_ROAD, Table, kept_roads


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
        return read_or_asked(key, some_starts, some_ends, profile, engine)

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
    lines = kept_lines(engine, hops)
    ways = []
    for start, end, profile in hops:
        key = profile_key(engine, profile), start, end
        if key not in lines:
            line = engine.route((start, end), profile).line
            leg = drives_between((start,), (end,), replace(profile, paces=NO_PACES), engine=engine).leg(0, 0)
            if leg is None:
                raise NoRoad(start=start, end=end)
            keep_line(*key, line)
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


def as_table(matrix: Matrix) -> Table:
    """A matrix as whole numbers."""
    return np.array(
        [[(leg.meters, leg.seconds) if leg else (NO_ROAD, NO_ROAD) for leg in row] for row in matrix.legs],
        np.int32,
    )

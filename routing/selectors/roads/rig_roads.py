"""The roads of a day's places, as each rig may drive them: empty, and by the wood aboard."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from fractions import Fraction

from inventory.core.once import once_a_page
from routing.core import rigs
from routing.core.road_engine import NO_PACES, RigProfile, RigRoads, RoadEngine, RoadPaces, rig_roads
from routing.core.roads import Point
from routing.earned.costs import NoRates, RunningRates, rates_on
from routing.engines import current_engine
from routing.models import Rig, RoadLimit
from routing.planner.fleet import RoadBand, Roads
from routing.selectors.learned_paces import paces_in_use
from routing.selectors.rigs import RigRow, rates_by_rig, rig_value
from routing.selectors.roads.kept_roads import NO_ROAD, Table
from routing.selectors.roads.legs import as_table, paced_matrix, table_between


@once_a_page
def posted_limits() -> tuple[int, ...]:
    """Posted limits for a whole rig, in pounds."""
    return tuple(sorted({row.whole_rig_lb for row in RoadLimit.objects.all() if row.whole_rig_lb}))


def roads_of(
    rig: Rig | rigs.Rig,
    rates: RunningRates | None,
    posted_lb: Iterable[int],
    *,
    paces: RoadPaces = NO_PACES,
) -> RigRoads:
    """One rig's roads at what its mile and its driver's hour cost; the quickest ones where nobody knows.

    paces: what its drives were learned to take.
    """
    return rig_roads(
        empty_lb=rig_value(rig).empty_lb,
        payload_lb=rig.payload_lb,
        posted_lb=posted_lb,
        length_ft=float(rig.length_ft),
        height_ft=float(rig.height_ft),
        has_trailer=rig.has_trailer,
        top_speed_mph=float(rig.top_speed_mph),
        mile_seconds=rates.mile_seconds if rates else (0, 0),
        paces=paces,
    )


def roads_by_rig(rows: Iterable[Rig | RigRow], on: date) -> dict[int, RigRoads]:
    """The roads of several rigs on a day, by the rig's id, in three queries."""
    by_id = {rig.id: rig for rig in rows}
    rates, posted_lb, paces = rates_by_rig(by_id), posted_limits(), paces_in_use()
    return {
        rig_id: roads_of(rig, _rates(rates[rig_id], on), posted_lb, paces=paces.of_rig(rig_id))
        for rig_id, rig in by_id.items()
    }


def road_bands(
    points: Sequence[Point],
    roads: Mapping[int, RigRoads],
    *,
    most_lb: Mapping[int, Fraction],
) -> tuple[dict[int, tuple[RoadBand, ...]], dict[str, Roads]]:
    """The tables each rig drives by, by the wood aboard, and the tables by name.

    A table of its own stands only where a limit makes a difference between these places.

    Shapes and units
        roads, most_lb: by rig; no load of it can weigh more. Tables are square, in the order of points.
    """
    engine = current_engine()
    made: dict[str, Roads] = {}  # rigs alike to the road share a table
    bands: dict[int, tuple[RoadBand, ...]] = {}
    for rig_id, its in roads.items():
        loaded = [(max(1, over_lb), profile) for over_lb, profile in its.loaded if over_lb <= most_lb[rig_id]]
        found: list[RoadBand] = []
        for over_lb, profile in ((0, its.empty), *loaded):
            name = profile.key if profile.paces == NO_PACES else f"{profile.key} {profile.paces}"
            if name not in made:
                made[name] = _table(points, profile, engine)
            if len(found) < 2 or made[found[-1].table] != made[name]:
                found.append(RoadBand(over_lb=over_lb, table=name))
        bands[rig_id] = tuple(found)
    used = {band.table for found in bands.values() for band in found}
    return bands, {name: table for name, table in made.items() if name in used}


def _rates(known: Iterable[RunningRates], on: date) -> RunningRates | None:
    try:
        return rates_on(known, on)
    except NoRates:
        return None


def _table(points: Sequence[Point], profile: RigProfile, engine: RoadEngine) -> Roads:
    if engine.is_estimate:
        legs = as_table(paced_matrix(engine.matrix(points, points, profile), profile))
    else:
        legs = table_between(points, points, profile, engine)
    return Roads(meters=_rows(legs[:, :, 0]), seconds=_rows(legs[:, :, 1]))


def _rows(table: Table) -> tuple[tuple[int | None, ...], ...]:
    if (table == NO_ROAD).any():
        return tuple(tuple(None if cell == NO_ROAD else cell for cell in row) for row in table.tolist())
    return tuple(tuple(row) for row in table.tolist())

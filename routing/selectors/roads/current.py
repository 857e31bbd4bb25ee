"""Which roads are loaded, and where an address lies on them.

Drives are `routing.selectors.roads.legs`; pictures of the roads are `routing.selectors.roads.road_maps`.
"""

from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from inventory.core.local import in_local_units
from inventory.core.rows import from_row
from routing.core.roads import EngineDown, Point, figure
from routing.core.streets import StreetHit
from routing.engines import current_engine, current_extract
from routing.engines.street_in_town import TownOnMap
from routing.engines.street_index import StreetIndex
from routing.maps.svgmap import INVENTED_CREDIT, OSM_CREDIT
from routing.models import RoadExtract, RoadLimit, RoadMark


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
        note = in_local_units(f"Miles and minutes are estimates from straight lines, since {why}.")
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


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkRow:
    """What the seller says of a road."""

    id: int
    road: str
    kind: str


def marked_roads() -> tuple[MarkRow, ...]:
    """Roads taken and avoided, by name."""
    return tuple(
        MarkRow(id=row.pk, road=row.road, kind=str(row.get_kind_display()))
        for row in RoadMark.objects.order_by("road")
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitRow:
    """A posted limit. Units: pounds of the whole rig; None where only the note tells."""

    id: int
    name: str
    whole_rig_lb: int | None
    note: str


def posted_roads() -> tuple[LimitRow, ...]:
    """Bridges and roads with something posted, by name."""
    return tuple(from_row(LimitRow, row) for row in RoadLimit.objects.order_by("name"))


def place_names() -> tuple[str, ...]:
    """Towns and hamlets of the loaded roads, by name; nothing where none can be read."""
    return tuple(sorted({name for name, *_ in places_on_map()}))


def places_on_map() -> tuple[tuple[str, float, float, int], ...]:
    """Names with latitude, longitude and rank, largest first; nothing where none can be read."""
    try:
        index = street_index()
        return tuple(index.place_names()) if index else ()
    except EngineDown:
        return ()


def search_streets(text: str, near: Point | None = None, limit: int = 8) -> tuple[StreetHit, ...]:
    """Houses, streets and places for typed words, best first; nothing when no roads are loaded."""
    index = street_index()
    return index.search(text, near=near, limit=limit) if index else ()


def streets_of_town(text: str, *, town: str, lat: float, lon: float) -> tuple[StreetHit, ...]:
    """Houses and streets of one town for typed words, best first; nothing when no roads are loaded.

    Errors
        EngineDown: the index cannot be read.
    """
    index = street_index()
    return index.in_town(text, TownOnMap(name=town, middle=Point(lat=lat, lon=lon))) if index else ()


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

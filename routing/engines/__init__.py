"""Which road engine answers now: the one set, over the roads loaded, or a labeled estimate."""

from pathlib import Path
from typing import Protocol

from django.conf import settings
from django.utils.translation import gettext as _

from inventory.core.once import once_a_page
from routing.core.road_engine import NO_MARKS, RoadEngine, RoadMarks
from routing.core.roads import Point
from routing.engines.straight_line import StraightLineEngine
from routing.engines.tiles import TILES_FILE, are_whole
from routing.engines.valhalla import ValhallaEngine
from routing.engines.valhalla_http import ValhallaHttpEngine
from routing.models import RoadExtract, RoadMark

KEY_LETTERS = 16


class DrawsTiles(Protocol):
    """An engine that also hands out vector tiles of its roads; `key` names its map."""

    @property
    def key(self) -> str: ...

    def tile(self, z: int, x: int, y: int) -> bytes: ...


@once_a_page
def current_extract() -> RoadExtract | None:
    """The extract in use, None when no roads are loaded."""
    return RoadExtract.objects.filter(is_current=True).first()


def current_engine() -> RoadEngine:
    """The engine of the settings; the estimate when no roads are loaded.

    Two small queries; call it once a request and hand the engine on.
    """
    if settings.ROAD_ENGINE == "valhalla_http":
        return ValhallaHttpEngine(url=settings.VALHALLA_URL, marks=road_marks())
    if settings.ROAD_ENGINE == "valhalla":
        extract = current_extract()
        if extract is not None and are_whole(_tiles(extract)):
            return engine_of(extract, marks=road_marks())
    return StraightLineEngine()


def roads_state() -> str:
    """What is wrong with the roads of the settings; empty when they answer."""
    if settings.ROAD_ENGINE == "estimate":
        return ""
    if settings.ROAD_ENGINE == "valhalla":
        extract = current_extract()
        if extract is None:
            return _("No roads are loaded: all drives are straight-line estimates. Load them under Set up.")
        if not are_whole(_tiles(extract)):
            return _(
                "The road files cannot be read: all drives are straight-line estimates. Load the roads again."
            )
    return ""


def engine_of(extract: RoadExtract, *, marks: RoadMarks = NO_MARKS) -> ValhallaEngine:
    return ValhallaEngine(tiles=_tiles(extract), map_key=extract.sha256[:KEY_LETTERS], marks=marks)


@once_a_page
def road_marks() -> RoadMarks:
    """What the seller says of roads."""
    spots: dict[str, list[Point]] = {RoadMark.Kind.TAKE: [], RoadMark.Kind.AVOID: []}
    for kind, lat, lon in RoadMark.objects.order_by("pk").values_list("kind", "lat", "lon"):
        spots[kind].append(Point(lat=lat, lon=lon))
    return RoadMarks(taken=tuple(spots[RoadMark.Kind.TAKE]), avoided=tuple(spots[RoadMark.Kind.AVOID]))


def tile_engine() -> DrawsTiles | None:
    """What draws the map: the service, or the loaded extract whatever answers drives; None = no roads."""
    if settings.ROAD_ENGINE == "valhalla_http":
        return ValhallaHttpEngine(url=settings.VALHALLA_URL)
    extract = current_extract()
    return engine_of(extract) if extract is not None and are_whole(_tiles(extract)) else None


def _tiles(extract: RoadExtract) -> Path:
    return Path(settings.ROADS_DIR) / extract.tiles_dir / TILES_FILE

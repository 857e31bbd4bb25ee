"""Which road engine answers now: the one set, over the roads loaded, or a labeled estimate."""

from pathlib import Path
from typing import Protocol

from django.conf import settings

from routing.core.roads import RoadEngine
from routing.engines.straight_line import StraightLineEngine
from routing.engines.valhalla import ValhallaEngine
from routing.engines.valhalla_http import ValhallaHttpEngine
from routing.models import RoadExtract

KEY_LETTERS = 16


class DrawsTiles(Protocol):
    """An engine that also hands out vector tiles of its roads; `key` names its map."""

    @property
    def key(self) -> str: ...

    def tile(self, z: int, x: int, y: int) -> bytes: ...


def current_extract() -> RoadExtract | None:
    """The extract in use, None when no roads are loaded."""
    return RoadExtract.objects.filter(is_current=True).first()


def current_engine() -> RoadEngine:
    """The engine of the settings; the estimate when no roads are loaded.

    One small query; call it once a request and hand the engine on.
    """
    if settings.ROAD_ENGINE == "valhalla_http":
        return ValhallaHttpEngine(url=settings.VALHALLA_URL)
    if settings.ROAD_ENGINE == "valhalla":
        extract = current_extract()
        if extract is not None:
            return engine_of(extract)
    return StraightLineEngine()


def engine_of(extract: RoadExtract) -> ValhallaEngine:
    tiles = Path(settings.ROADS_DIR) / extract.tiles_dir / "tiles.tar"
    return ValhallaEngine(tiles=tiles, map_key=extract.sha256[:KEY_LETTERS])


def tile_engine() -> DrawsTiles | None:
    """What draws the map: the service, or the loaded extract whatever answers drives; None = no roads."""
    if settings.ROAD_ENGINE == "valhalla_http":
        return ValhallaHttpEngine(url=settings.VALHALLA_URL)
    extract = current_extract()
    return engine_of(extract) if extract is not None else None

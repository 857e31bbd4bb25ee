"""Valhalla in this very process, over tiles mapped into memory.

One Actor a thread: it lets go of the interpreter lock, and an Actor shared by threads ends the process.
"""

import threading
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from routing.core.road_engine import NO_MARKS, RigProfile, RoadMarks
from routing.core.roads import EngineDown, Matrix, Point, Route, Turn
from routing.engines.tiles import engine_config
from routing.engines.valhalla_json import Json, ValhallaRefused, ask_matrix, ask_route, ask_snap
from routing.engines.valhalla_turns import ask_turns

MANY_METERS = 2_000_000.0  # no extract we load is wider
# One search a source beats the hierarchical matrix on small maps: 50 x 50 places in 0.13 s against 0.5 s
# on 1.5 MB of tiles (measured). It looks at the whole map, so larger ones keep the engine's own choice.
SMALL_MAP_BYTES = 10_000_000

_local = threading.local()


def _actor(tiles: Path) -> Any:
    """The calling thread's own Actor, made on first use (so: after any fork) and again for new tiles."""
    if getattr(_local, "tiles", None) != tiles:
        import valhalla

        config = engine_config(tile_extract=str(tiles))
        for kind in ("auto", "truck"):
            config["service_limits"][kind]["max_matrix_distance"] = MANY_METERS
        if tiles.stat().st_size <= SMALL_MAP_BYTES:
            config["thor"]["source_to_target_algorithm"] = "timedistancematrix"
        _local.actor = valhalla.Actor(config)
        _local.tiles = tiles
    return _local.actor


class ValhallaEngine:
    """Roads from packed tiles; `map_key` names the extract they were built from."""

    is_estimate = False

    def __init__(self, *, tiles: Path, map_key: str, marks: RoadMarks = NO_MARKS) -> None:
        self._tiles, self._marks = tiles, marks
        self.key = f"valhalla-{map_key}{marks.key}"

    def matrix(self, sources: Sequence[Point], targets: Sequence[Point], profile: RigProfile) -> Matrix:
        return ask_matrix(
            self.ask,
            sources=sources,
            targets=targets,
            profile=profile,
            engine="in process",
            marks=self._marks,
        )

    def route(self, points: Sequence[Point], profile: RigProfile) -> Route:
        return ask_route(self.ask, points=points, profile=profile, engine="in process", marks=self._marks)

    def turns(self, line: str, language: str) -> tuple[Turn, ...]:
        return ask_turns(self.ask, line=line, language=language, engine="in process")

    def snap(self, point: Point) -> int | None:
        return ask_snap(self.ask, point=point, engine="in process")

    def tile(self, z: int, x: int, y: int) -> bytes:
        """One vector tile of the roads; no bytes where there are none."""
        import valhalla._valhalla as native

        try:
            return bytes(self._made().tile({"tile": {"z": z, "x": x, "y": y}}))
        except native.ValhallaError as error:
            raise EngineDown(engine="in process", why=error.message) from error

    def ask(self, action: str, question: Json) -> Any:
        """One question in Valhalla's own words.

        Errors
            ValhallaRefused: it says no. EngineDown: the tiles are gone.
        """
        import valhalla._valhalla as native

        actor = self._made()
        answer_to = {"sources_to_targets": actor.matrix, "route": actor.route, "locate": actor.locate}
        answer_to["trace_route"] = actor.trace_route
        try:
            return answer_to[action](question)
        except native.ValhallaError as error:
            raise ValhallaRefused(code=error.code, message=error.message) from error

    def _made(self) -> Any:
        if not self._tiles.exists():
            raise EngineDown(engine="in process", why="its tiles are gone; run load_roads again")
        try:
            return _actor(self._tiles)
        except RuntimeError as error:
            raise EngineDown(engine="in process", why=str(error)) from error

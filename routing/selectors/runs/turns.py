"""A run turn by turn: along the very way it was planned on, so that posted bridges stay kept."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from routing.core import RoutingError
from routing.core.roads import Route, Turn
from routing.engines import current_engine
from routing.maps.polyline import encode_polyline
from routing.selectors.runs.run_maps import ways_to_halts
from routing.selectors.runs.runs import RunView

LEGS_KEPT = 256  # drives whose turns a process keeps, in one language each


@dataclass(frozen=True, slots=True, kw_only=True)
class LegTurns:
    """The drive to one halt. Units: meters."""

    mark: str
    name: str
    meters: int
    turns: tuple[Turn, ...]


def turns_of_run(view: RunView, ways: Sequence[Route], *, language: str) -> tuple[LegTurns, ...]:
    """Every drive still to come with its turns; nothing where the roads do not say."""
    engine = current_engine()
    if engine.is_estimate:
        return ()
    found: list[LegTurns] = []
    for halt, way in ways_to_halts(view, ways):
        if way is None or way.estimated or halt.is_done:
            continue
        try:
            turns = _turns(engine.key, encode_polyline(tuple((s.lat, s.lon) for s in way.line)), language)
        except RoutingError:
            continue
        found.append(LegTurns(mark=halt.mark, name=halt.name, meters=way.meters, turns=turns))
    return tuple(found)


@lru_cache(LEGS_KEPT)
def _turns(_engine_key: str, line: str, language: str) -> tuple[Turn, ...]:
    return current_engine().turns(line, language)

"""The turns along a way that was drawn before, in Valhalla's words and one of its languages."""

from inventory.core.units import METERS_PER_MILE
from routing.core.road_engine import CAR
from routing.core.roads import EngineDown, NoRoad, Point, Turn
from routing.engines.valhalla_json import Ask, ValhallaRefused, costings
from routing.maps.polyline import decode_polyline

SPOKEN = {"en": "en-US", "es": "es-ES"}


def ask_turns(ask: Ask, *, line: str, language: str, engine: str) -> tuple[Turn, ...]:
    """What to do along exactly this way, so that a list of turns can't lead over a bridge the way goes round.

    Errors
        NoRoad: no road lies under it. EngineDown.
    """
    question = {
        "encoded_polyline": line,
        "shape_match": "walk_or_snap",
        "directions_options": {"language": SPOKEN.get(language, SPOKEN["en"]), "units": "miles"},
        **costings(CAR)[0],
    }
    ends = [Point(lat=lat, lon=lon) for lat, lon in decode_polyline(line)]
    try:
        answer = ask("trace_route", question)
        return tuple(
            Turn(text=str(turn["instruction"]), meters=round(turn["length"] * float(METERS_PER_MILE)))
            for leg in answer["trip"]["legs"]
            for turn in leg["maneuvers"]
            if turn["length"]
        )
    except ValhallaRefused as refused:
        raise NoRoad(start=ends[0], end=ends[-1]) from refused
    except (KeyError, TypeError, ValueError) as error:
        raise EngineDown(engine=engine, why="its turns cannot be read") from error

"""Turn by turn along the very way that was planned: its miles, its bridge, in the driver's language."""

import pytest

from routing.core.road_engine import rig_profile
from routing.core.roads import NoRoad
from routing.engines.straight_line import StraightLineEngine
from routing.engines.valhalla import ValhallaEngine
from routing.maps.polyline import encode_polyline
from tests.routing.roads.conftest import PLACES

pytestmark = pytest.mark.roads


def way(engine: ValhallaEngine, weight_lb: int) -> tuple[int, str]:
    profile = rig_profile(weight_lb=weight_lb, length_ft=33, height_ft=7.5, is_loaded=True, mile_seconds=108)
    route = engine.route((PLACES["Creek"], PLACES["Marrow"]), profile)
    return route.meters, encode_polyline(tuple((spot.lat, spot.lon) for spot in route.line))


@pytest.mark.parametrize(("weight_lb", "over_the_bridge"), [(11_000, True), (12_500, False)])
def test_the_turns_are_those_of_the_way_and_keep_the_posted_bridge(engine, weight_lb, over_the_bridge):
    meters, line = way(engine, weight_lb)

    turns = engine.turns(line, "en")

    assert abs(sum(turn.meters for turn in turns) - meters) <= len(turns)
    assert any("Old Mill Road" in turn.text for turn in turns) is over_the_bridge


def test_they_are_said_in_the_drivers_language(engine):
    _, line = way(engine, 11_000)

    assert engine.turns(line, "es")[0].text.startswith("Conduzca")
    assert engine.turns(line, "xx") == engine.turns(line, "en")


def test_where_no_road_lies_nothing_is_told(engine):
    line = encode_polyline(((10.0, 10.0), (10.1, 10.1)))

    with pytest.raises(NoRoad):
        engine.turns(line, "en")
    assert StraightLineEngine().turns(line, "en") == ()

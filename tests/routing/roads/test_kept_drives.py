"""A drive is asked once and kept; a new place asks for one row and one column."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from routing.core.road_engine import CAR, RigProfile
from routing.core.roads import Leg, Matrix, OffTheMap, Point, Route
from routing.engines import current_engine, tile_engine
from routing.engines.road_times import rectangles
from routing.engines.straight_line import StraightLineEngine, estimated_leg
from routing.engines.valhalla import ValhallaEngine
from routing.engines.valhalla_http import ValhallaHttpEngine
from routing.models import CachedLeg, RoadExtract
from routing.selectors.roads import kept_roads
from routing.selectors.roads.current import is_on_map, nearest_address, roads_now, search_streets
from routing.selectors.roads.legs import drives_between, matrix_between, ways_between
from tests.routing.roads.conftest import HEAVY_LOADED, PLACES


class CountingEngine:
    """Answers with the great circle and remembers each pair it was asked for."""

    key = "counting"
    is_estimate = False

    def __init__(self, without: frozenset[Point] = frozenset()) -> None:
        self.asked: list[tuple[Point, Point]] = []
        self.questions = 0
        self.without = without

    def matrix(self, sources: Sequence[Point], targets: Sequence[Point], profile: RigProfile) -> Matrix:
        self.questions += 1
        self.asked += [(source, target) for source in sources for target in targets if source != target]
        return Matrix(
            legs=tuple(
                tuple(
                    None if {source, target} & self.without else estimated_leg(source, target)
                    for target in targets
                )
                for source in sources
            )
        )

    def route(self, points: Sequence[Point], profile: RigProfile) -> Route:
        raise NotImplementedError

    def snap(self, point: Point) -> int | None:
        return 0


def spots(count: int) -> list[Point]:
    return [Point(lat=44 + at * 0.01, lon=-150 + (at * 37 % 11) * 0.01) for at in range(count)]


@pytest.mark.django_db
def test_a_kept_drive_is_never_asked_twice() -> None:
    engine = CountingEngine()
    first = matrix_between(spots(6), CAR, engine=engine)

    again = matrix_between(spots(6), CAR, engine=engine)

    assert again == first
    assert engine.questions == 1
    assert CachedLeg.objects.count() == 6 * 5


@pytest.mark.django_db
def test_a_new_place_asks_one_row_and_one_column() -> None:
    engine = CountingEngine()
    known, new = spots(8)[:7], spots(8)[7]
    matrix_between(known, CAR, engine=engine)
    engine.asked.clear()

    matrix_between([*known, new], CAR, engine=engine)

    assert sorted(engine.asked) == sorted(
        [(new, place) for place in known] + [(place, new) for place in known]
    )


@pytest.mark.django_db
def test_reading_kept_drives_is_one_query(django_assert_num_queries: Any) -> None:
    engine = CountingEngine()
    matrix_between(spots(20), CAR, engine=engine)

    with django_assert_num_queries(0):
        matrix_between(spots(20), CAR, engine=engine)
    kept_roads.forget()  # another process
    with django_assert_num_queries(1):
        matrix_between(spots(20), CAR, engine=engine)


@pytest.mark.django_db
def test_another_rig_has_drives_of_its_own() -> None:
    engine = CountingEngine()
    matrix_between(spots(3), CAR, engine=engine)

    matrix_between(spots(3), HEAVY_LOADED, engine=engine)

    assert engine.questions == 2


@pytest.mark.django_db
def test_no_road_is_kept_as_well() -> None:
    island = spots(4)[2]
    engine = CountingEngine(without=frozenset({island}))
    matrix_between(spots(4), CAR, engine=engine)

    matrix = matrix_between(spots(4), CAR, engine=engine)

    assert engine.questions == 1
    assert matrix.leg(0, 2) is None
    assert matrix.leg(2, 2) == Leg(meters=0, seconds=0)
    assert matrix.leg(0, 1) is not None


@pytest.mark.django_db
def test_a_matrix_may_be_oblong_and_name_a_place_twice() -> None:
    engine = CountingEngine()
    home, far, near = spots(3)

    matrix = drives_between([home, home], [far, near, home], CAR, engine=engine)

    assert matrix.legs[0] == matrix.legs[1]
    assert matrix.leg(0, 2) == Leg(meters=0, seconds=0)


@pytest.mark.django_db
def test_nobody_to_ask_for_is_no_question() -> None:
    engine = CountingEngine()

    assert matrix_between([], CAR, engine=engine).legs == ()
    assert engine.questions == 0


@given(some.sets(some.tuples(some.integers(0, 7), some.integers(0, 7))))
def test_rectangles_cover_all_that_is_missing(pairs: set[tuple[int, int]]) -> None:
    is_missing = np.zeros((8, 8), bool)
    for pair in pairs:
        is_missing[pair] = True

    covered = {
        (row, column) for rows, columns in rectangles(is_missing) for row in rows for column in columns
    }

    assert pairs <= covered


@pytest.mark.django_db
def test_without_roads_drives_are_labeled_estimates(settings: Any) -> None:
    settings.ROAD_ENGINE = "valhalla"

    matrix = matrix_between([PLACES["Siding"], PLACES["Marrow"]])

    assert matrix.estimated
    assert isinstance(current_engine(), StraightLineEngine)
    assert roads_now().is_estimate
    assert "no roads are loaded" in roads_now().note
    assert CachedLeg.objects.count() == 0
    assert search_streets("Mill Street") == ()
    assert nearest_address(44.0, -150.0) is None
    assert is_on_map(44.0, -150.0)
    assert tile_engine() is None


@pytest.mark.django_db
def test_the_settings_choose_the_engine(settings: Any) -> None:
    settings.ROAD_ENGINE = "valhalla_http"
    assert isinstance(current_engine(), ValhallaHttpEngine)

    settings.ROAD_ENGINE = "estimate"
    assert isinstance(current_engine(), StraightLineEngine)
    assert "settings ask for estimates" in roads_now().note or "no roads" in roads_now().note


@pytest.mark.roads
def test_loaded_roads_answer_drives(roads_loaded: RoadExtract) -> None:
    assert isinstance(current_engine(), ValhallaEngine)
    leg = drives_between([PLACES["Siding"]], [PLACES["Marrow"]]).leg(0, 0)

    assert leg is not None
    assert leg.miles == pytest.approx(3.8, rel=0.02)
    assert CachedLeg.objects.get().meters == leg.meters


@pytest.mark.roads
def test_a_heavy_rig_and_a_light_one_keep_different_drives(roads_loaded: RoadExtract) -> None:
    ends = [PLACES["Creek"], PLACES["Marrow"]]

    light, heavy = (matrix_between(ends, rig).leg(0, 1) for rig in (CAR, HEAVY_LOADED))

    assert light is not None
    assert heavy is not None
    assert heavy.meters > 2.5 * light.meters


@pytest.mark.roads
def test_an_address_off_the_map_is_known(roads_loaded: RoadExtract) -> None:
    assert is_on_map(44.0086, -150.0603)
    assert not is_on_map(44.0, -149.6)
    assert not is_on_map(10.0, 10.0)


@pytest.mark.roads
def test_a_drive_to_nowhere_is_refused(roads_loaded: RoadExtract) -> None:
    assert drives_between([PLACES["Siding"]], [Point(lat=10, lon=10)]).leg(0, 0) is None
    with pytest.raises(OffTheMap, match="off the map"):
        ways_between([(PLACES["Siding"], Point(lat=10, lon=10), CAR)])


@pytest.mark.roads
def test_a_way_is_drawn_once_and_kept_beside_its_drive(roads_loaded: RoadExtract, monkeypatch: Any) -> None:
    hop = (PLACES["Siding"], PLACES["Marrow"], CAR)
    drive = drives_between([hop[0]], [hop[1]]).leg(0, 0)
    [drawn] = ways_between([hop])

    monkeypatch.setattr(ValhallaEngine, "route", None)  # the engine is not asked again
    [kept] = ways_between([hop])

    assert kept == drawn
    assert kept.legs == (drive,)
    assert CachedLeg.objects.count() == 1

"""Road times read before in this process: the same figures as the kept drives, without a query."""

from collections.abc import Sequence

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from routing.core.roads import EngineDown, Matrix, Point
from routing.selectors.roads import kept_roads as kept
from routing.selectors.roads.legs import matrix_between
from routing.selectors.roads.rig_roads import _table
from tests.routing.roads.conftest import HEAVY_LOADED
from tests.routing.roads.test_kept_drives import CountingEngine, spots


@pytest.mark.django_db
def test_a_table_holds_what_the_kept_drives_say():
    lonely = spots(5)[3]
    engine = CountingEngine(without=frozenset({lonely}))
    points = [*spots(5), spots(5)[1]]  # two orders at one house

    table = _table(points, HEAVY_LOADED, engine)

    legs = matrix_between(points, HEAVY_LOADED, engine=engine).legs
    assert table.meters == tuple(tuple(leg.meters if leg else None for leg in row) for row in legs)
    assert table.seconds == tuple(tuple(leg.seconds if leg else None for leg in row) for row in legs)
    assert _table(points, HEAVY_LOADED, engine) == table


@pytest.mark.django_db
def test_a_table_read_again_takes_no_query():
    engine = CountingEngine()
    _table(spots(20), HEAVY_LOADED, engine)

    with CaptureQueriesContext(connection) as queries:
        _table(spots(20)[::-1], HEAVY_LOADED, engine)

    assert not queries.captured_queries
    assert engine.questions == 1


@pytest.mark.django_db
def test_a_new_place_is_one_row_and_one_column():
    engine = CountingEngine()
    known, new = spots(9)[:8], spots(9)[8]
    _table(known, HEAVY_LOADED, engine)
    engine.asked.clear()

    table = _table([*known, new], HEAVY_LOADED, engine)

    assert sorted(engine.asked) == sorted(
        [(new, place) for place in known] + [(place, new) for place in known]
    )
    kept.forget()
    assert _table([*known, new], HEAVY_LOADED, engine) == table


@pytest.mark.django_db
def test_places_beyond_the_room_begin_anew_and_stay_right(monkeypatch):
    monkeypatch.setattr(kept, "MOST_POINTS", 10)
    engine = CountingEngine()
    _table(spots(8), HEAVY_LOADED, engine)

    table = _table(spots(12)[4:], HEAVY_LOADED, engine)

    legs = matrix_between(spots(12)[4:], HEAVY_LOADED, engine=engine).legs
    assert table.meters == tuple(tuple(leg.meters for leg in row) for row in legs)


def test_more_places_than_it_began_with_keep_their_drives():
    known = kept.KeptRoads()
    answers = CountingEngine()

    def ask(starts: Sequence[Point], ends: Sequence[Point]) -> Matrix:
        return answers.matrix(starts, ends, HEAVY_LOADED)

    few = known.block(spots(kept.FIRST_POINTS), spots(kept.FIRST_POINTS), ask)
    all_of_them = known.block(spots(kept.FIRST_POINTS + 9), spots(kept.FIRST_POINTS + 9), ask)

    assert (all_of_them[: kept.FIRST_POINTS, : kept.FIRST_POINTS] == few).all()
    assert (all_of_them >= 0).all()


def test_an_engine_that_is_down_leaves_nothing_half_known():
    known = kept.KeptRoads()

    def down(starts: Sequence[Point], ends: Sequence[Point]) -> Matrix:
        raise EngineDown(engine="roads", why="it rests")

    with pytest.raises(EngineDown):
        known.block(spots(3), spots(3), down)

    answers = CountingEngine()
    table = known.block(spots(3), spots(3), lambda starts, ends: answers.matrix(starts, ends, HEAVY_LOADED))
    assert (table >= 0).all()


def test_the_rig_not_asked_for_longest_makes_room(monkeypatch):
    monkeypatch.setattr(kept, "MOST_RIGS", 2)
    often, seldom = kept.kept_roads("often", spots(2)), kept.kept_roads("seldom", spots(2))

    assert kept.kept_roads("often", spots(2)) is often
    kept.kept_roads("new", spots(2))

    assert kept.kept_roads("often", spots(2)) is often
    assert kept.kept_roads("seldom", spots(2)) is not seldom

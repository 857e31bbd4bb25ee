"""Fifty buyers at once on one lot: nothing is promised twice and nothing is lost.

A memory database answers no lock questions, so this one is a file on SQLite. On PostgreSQL it runs as
it is, when DATABASE_URL names a server.
"""

import sqlite3
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from fractions import Fraction
from pathlib import Path
from threading import Barrier
from typing import Any

import pytest
from django.db import connection, connections
from django.db.models import Sum

from inventory.models import Hold, Lot, Movement
from inventory.services.draws import draw_wood
from inventory.services.holds import NotEnoughOpen, hold_wood, release_hold
from tests.factories.inventory import an_instant, make_lot

BUYERS = 50
AT_ONCE = 16
on_postgres = pytest.mark.skipif(connection.vendor != "postgresql", reason="DATABASE_URL names no PostgreSQL")


@pytest.fixture
def shared_books(transactional_db: Any, tmp_path: Path) -> Any:
    """Books that several connections can open: the test database, or a file in place of SQLite's memory."""
    kept = connections["default"]
    if kept.vendor != "sqlite" or not kept.is_in_memory_db():
        yield
        return
    settings = kept.settings_dict
    before = dict(settings)
    memory, sharing = kept.connection, kept.allow_thread_sharing
    settings["NAME"] = str(tmp_path / "books.sqlite3")
    with closing(sqlite3.connect(settings["NAME"])) as file:
        memory.backup(file)
    kept.connection = None
    yield
    kept.close()
    settings.clear()
    settings.update(before)
    kept.connection = memory
    assert kept.allow_thread_sharing == sharing


def all_at_once(act: Callable[[int], str]) -> Counter[str]:
    """What fifty acts in many threads came to; each thread opens and closes its own connection."""
    start = Barrier(AT_ONCE)

    def one(place: int) -> str:
        try:
            if place < AT_ONCE:
                start.wait(timeout=10)
            return act(place)
        finally:
            connections.close_all()

    with ThreadPoolExecutor(AT_ONCE) as threads:
        return Counter(threads.map(one, range(BUYERS)))


def assert_books_agree(lot_id: int) -> None:
    lot = Lot.objects.get(pk=lot_id)
    standing = Hold.objects.filter(lot=lot, state="standing").aggregate(all=Sum("cords"))["all"] or 0
    assert lot.firm_cords == standing
    assert lot.on_hand_cords == Movement.objects.filter(lot=lot).aggregate(all=Sum("cords"))["all"]
    assert lot.on_hand_cords >= lot.firm_cords


def hold_a_third(lot_id: int, place: int) -> str:
    try:
        hold_wood(
            lot_id=lot_id, cords=Fraction(1, 3), kind="firm", reference=f"order {place}", made_at=an_instant()
        )
    except NotEnoughOpen:
        return "refused"
    return "held"


def check_holds() -> None:
    lot = make_lot(cords=Fraction("6.05"))

    came = all_at_once(lambda place: hold_a_third(lot.pk, place))

    assert came == {"held": 18, "refused": 32}  # 18 thirds are 6 cords; a nineteenth would be 6 1/3
    assert_books_agree(lot.pk)


def check_draws_and_releases() -> None:
    lot = make_lot(cords=50)
    holds = [
        hold_wood(lot_id=lot.pk, cords=Fraction(1), kind="firm", reference=f"order {n}", made_at=an_instant())
        for n in range(25)
    ]

    def act(place: int) -> str:
        """Each hold is drawn by one hand and, at the same moment, released by another."""
        hold_id = holds[place // 2]
        if place % 2:
            return "released" if release_hold(hold_id=hold_id, at=an_instant()) else "too late"
        try:
            draw_wood(hold_id=hold_id, on=lot.drying_from, at=an_instant())
        except Exception as error:  # noqa: BLE001  # the count below says which error may come
            return type(error).__name__
        return "drawn"

    came = all_at_once(act)

    assert came["drawn"] + came["released"] == 25
    assert came["too late"] + came["HoldEnded"] == 25
    assert Lot.objects.get(pk=lot.pk).on_hand_cords == 50 - came["drawn"]
    assert_books_agree(lot.pk)


@pytest.mark.skipif(connection.vendor != "sqlite", reason="the PostgreSQL twin is below")
def test_fifty_buyers_never_get_more_than_the_lot_on_sqlite(shared_books):
    check_holds()


@pytest.mark.skipif(connection.vendor != "sqlite", reason="the PostgreSQL twin is below")
def test_a_hold_drawn_and_released_at_once_ends_once_on_sqlite(shared_books):
    check_draws_and_releases()


@pytest.mark.postgres
@on_postgres
def test_fifty_buyers_never_get_more_than_the_lot_on_postgresql(shared_books):
    check_holds()


@pytest.mark.postgres
@on_postgres
def test_a_hold_drawn_and_released_at_once_ends_once_on_postgresql(shared_books):
    check_draws_and_releases()

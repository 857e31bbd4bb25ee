"""A crowd that orders, a writer that is killed: what must hold while things go wrong."""

import os

import pytest

from tests.bench import kill, orders_at_once

pytestmark = pytest.mark.slow


def _all_was_kept(found: orders_at_once.Crowd) -> None:
    wood = orders_at_once.THIRDS_IN_LOT
    books = found.books
    assert found.server_errors == 0
    assert books["orders"] == books["keys"] == books["numbers"] == len(found.numbers) == found.asked
    assert books["thirds_held"] == books["thirds_on_the_lot"] == books["thirds_there"] == wood
    assert books["confirmed"] == books["holds"] == wood


def test_fifty_clients_lose_no_order_and_two_sellers_promise_no_wood_twice(tmp_path):
    """Over HTTP on a database file: each client taps its last order twice, both sellers confirm them all."""
    found = orders_at_once.crowd(clients=50, each=2, database_url="", folder=tmp_path)

    _all_was_kept(found)


@pytest.mark.postgres
def test_fifty_clients_lose_no_order_on_postgresql_either(tmp_path):
    url = os.environ.get("DATABASE_URL", orders_at_once.POSTGRES)

    with orders_at_once.postgres_database(url) as own:
        found = orders_at_once.crowd(clients=50, each=2, database_url=own, folder=tmp_path)

    _all_was_kept(found)


def test_a_writer_killed_in_the_middle_loses_nothing_and_leaves_nothing_by_half(tmp_path):
    found = kill.killed(kills=4, seconds=2.0, folder=tmp_path)

    assert found.acknowledged > found.kills
    assert found.check == "ok"
    assert found.lost == ()
    assert found.wrong == ()

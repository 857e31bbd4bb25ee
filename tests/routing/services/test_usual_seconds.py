"""How long a plan is looked for when nobody says: longer for many orders without the quick loops."""

import pytest

from routing.services import days


@pytest.mark.parametrize(
    ("is_compiled", "orders", "is_week", "seconds"),
    [
        (True, 60, False, 10),
        (True, 60, True, 20),
        (False, 15, False, 10),
        (False, 15, True, 20),
        (False, 16, False, 30),
        (False, 60, True, 60),
    ],
)
def test_many_orders_get_three_times_as_long_without_the_quick_loops(
    is_compiled, orders, is_week, seconds, monkeypatch
):
    monkeypatch.setattr(days, "IS_COMPILED", is_compiled)

    assert days.usual_seconds(orders, is_week=is_week) == seconds


def test_it_says_so_where_the_loops_are_missing(monkeypatch):
    monkeypatch.setattr(days, "IS_COMPILED", True)
    assert days.slow_search_note() == ""

    monkeypatch.setattr(days, "IS_COMPILED", False)
    note = days.slow_search_note()
    assert "16 orders and more are given 3 times as long" in str(note)

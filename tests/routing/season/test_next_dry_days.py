"""From when the season says wood is safe to promise: never before the day its own page says."""

from datetime import date
from types import SimpleNamespace

import pytest

from inventory.selectors.business import business as seller
from inventory.selectors.drying import HONEST_CHANCE, dry_state
from inventory.selectors.stock import lots_with_history
from routing.season.answer import next_dry
from routing.season.problem import Choice
from routing.selectors.season.drying import lot_choices
from routing.selectors.season.periods import period_starts
from tests.factories.inventory import make_lot, make_reading

ON = date(2026, 9, 18)
STARTS = period_starts(ON)


def said(*, choices=(), made=None, ready=None):
    lots = [
        SimpleNamespace(key=f"K{place}", kind="fir", choices=[choice]) for place, choice in enumerate(choices)
    ]
    season = SimpleNamespace(lots=lots, periods=len(STARTS), ready=ready or {})
    chosen = {lot.key: lot.choices[0].key for lot in lots}
    return next_dry(season, SimpleNamespace(choices=chosen, made=made or {}), STARTS)


def test_a_lot_is_safe_from_its_own_day_not_from_the_first_day_of_its_four_weeks():
    """Aug 4 fell into the four weeks from Jul 23, and "safe to promise from Jul 23" was said of it."""
    left = Choice(key="leave", name="leave it", ready=(10, 14, 15), sure_on="2027-08-04")
    rowed = Choice(key="lay:row", name="Stack a row", ready=(9, 13, 15), sure_on="2027-07-20")

    assert said(choices=[left]) == [["fir", "2027-08-04", "K0", ""]]
    assert said(choices=[left, rowed]) == [["fir", "2027-07-20", "K1", "Stack a row"]]


def test_wood_still_to_be_split_is_safe_once_its_period_is_over():
    made = {("oak", "1"): [1.0] + [0.0] * (len(STARTS) - 1)}
    ready = {("oak", "1"): [(13, 14, 15)] * len(STARTS)}

    assert said(made=made, ready=ready) == [["oak", STARTS[15].isoformat(), "", ""]]


@pytest.mark.django_db
def test_a_lot_left_as_it_lies_is_safe_on_the_day_its_own_page_says(business):
    make_reading(make_lot(code="O1", mix={"oak": 100}, wood="hardwood"), 36, 38, 40, 41, 47)
    lot = lots_with_history().get(code="O1")
    own = dry_state(lot, seller(), on=ON).honest_on

    leave = lot_choices(lot, on=ON, starts=STARTS, chance=HONEST_CHANCE)[0]

    assert leave.sure_on == own.isoformat()

"""Drives before an order is made: the nearest yard that holds the wood, and what a day would add."""

from datetime import time, timedelta
from fractions import Fraction

import pytest

from routing.models import Day
from routing.selectors.drives import day_offers, drive_to, nearest_pick_up
from routing.services import days
from tests.factories.day import FRIDAY, SPOTS, job_matrix, make_friday

MARROW, LARCH = SPOTS["Marrow"], SPOTS["Larch"]
SATURDAY = FRIDAY + timedelta(days=1)


@pytest.fixture
def friday(db, business, monkeypatch):
    monkeypatch.setattr("routing.selectors.rig_roads.matrix_between", job_matrix)
    return make_friday()


def lay_out(friday, an_instant):
    days.lay_out_day(
        on=FRIDAY,
        rig_id=friday.big.pk,
        loads=((friday.creek.pk, (201,)), (friday.siding.pk, (202,))),
        at=an_instant,
        who="ruth",
    )


def offers(**changes):
    asked = {
        "dates": (FRIDAY, SATURDAY), "lat": MARROW[0], "lon": MARROW[1], "picks": (("K1", Fraction(1, 3)),),
    }  # fmt: skip
    return day_offers(**{**asked, **changes})


def test_the_drive_starts_at_the_nearest_yard_that_holds_the_wood(friday):
    fir = drive_to(lat=MARROW[0], lon=MARROW[1], wood="fir", cords=Fraction(1))
    mixed = drive_to(lat=MARROW[0], lon=MARROW[1], wood="mixed", cords=Fraction(1))

    assert (fir.yard, mixed.yard) == ("Siding Yard", "Creek Yard")
    assert fir.is_estimate
    assert drive_to(lat=MARROW[0], lon=MARROW[1], wood="mixed", cords=Fraction(3)) is None
    assert nearest_pick_up(lat=MARROW[0], lon=MARROW[1]) is not None


def test_a_day_we_are_coming_anyway_adds_less_than_a_run_of_its_own(friday, an_instant):
    lay_out(friday, an_instant)

    coming, alone = offers()

    assert (coming.on, alone.on) == (FRIDAY, SATURDAY)
    assert coming.added_cents < alone.added_cents
    assert coming.drops_already == 2
    assert alone.drops_already == 0
    assert coming.why == "we are already coming your way"
    assert coming.yards == ("Siding Yard",)


def test_a_second_drop_in_the_same_town_adds_only_the_time_at_the_door(friday, an_instant):
    lay_out(friday, an_instant)

    coming = offers(dates=(FRIDAY,))[0]

    # 1/3 cord more to load (12 min) and to throw off (10 + 10 min): 32 min at 25.00 an hour, no mile more
    assert coming.added_cents == pytest.approx(1333, abs=2)


def test_an_offer_keeps_the_window_asked_for(friday, an_instant):
    lay_out(friday, an_instant)

    row = offers(dates=(FRIDAY,), window_from=time(15), window_to=time(16))[0]

    assert time(15) <= row.begins_at <= time(16)


def test_a_place_for_small_rigs_only_gets_the_small_rig(friday, an_instant):
    lay_out(friday, an_instant)

    assert {row.rig for row in offers(small_rig_only=True)} == {"Small trailer"}


def test_a_day_that_is_done_offers_nothing(friday, an_instant):
    lay_out(friday, an_instant)
    Day.objects.update(state=Day.State.DONE)

    assert [row.on for row in offers()] == [SATURDAY]


def test_wood_that_is_not_there_offers_no_day(friday):
    assert offers(picks=(("K99", Fraction(1, 3)),)) == ()

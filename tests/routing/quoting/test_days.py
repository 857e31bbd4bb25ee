"""Drives before an order is made: the nearest yard that holds the wood, and what a day would add."""

from datetime import time, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from orders.core.drives import NoDrive
from routing.models import Day
from routing.quoting.days import day_offers
from routing.quoting.drives import Cargo, drive_to, nearest_pick_up
from routing.services import days
from tests.factories.day import FRIDAY, SPOTS, drive_by_the_job, make_friday

MARROW, LARCH = SPOTS["Marrow"], SPOTS["Larch"]
SATURDAY = FRIDAY + timedelta(days=1)


@pytest.fixture
def friday(db, business, monkeypatch):
    drive_by_the_job(monkeypatch)
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


def there(yards, *, at=MARROW, cords="1/3", wood_lb=1100):
    cargo = Cargo(cords=Fraction(cords), wood_lb=wood_lb)
    return drive_to(lat=at[0], lon=at[1], yards=yards, cargo=cargo, on=FRIDAY)


def test_the_drive_starts_at_the_nearest_yard_that_holds_the_wood(friday):
    fir, mixed = there(["Siding Yard", "Upper Yard"]), there(["Creek Yard"])

    assert (fir.drive.from_yard, mixed.drive.from_yard) == ("Siding Yard", "Creek Yard")
    assert (fir.yard_id, fir.drive.miles, fir.drive.minutes) == (friday.siding.pk, Decimal("3.8"), 8)
    assert nearest_pick_up(*MARROW) == "Creek Yard"  # a pickup alone may cross the bridge
    with pytest.raises(NoDrive, match="no yard"):
        there([])


def test_a_day_we_are_coming_anyway_adds_less_than_a_run_of_its_own(friday, an_instant):
    lay_out(friday, an_instant)

    coming, alone = offers()

    assert (coming.on, alone.on) == (FRIDAY, SATURDAY)
    assert coming.marginal_dollars < alone.marginal_dollars
    assert coming.drops_already == 2
    assert alone.drops_already == 0
    assert coming.yards == ("Siding Yard",)


def test_a_second_drop_in_the_same_town_adds_only_the_time_at_the_door(friday, an_instant):
    lay_out(friday, an_instant)

    coming = offers(dates=(FRIDAY,))[0]

    # 1/3 cord more to load (12 min) and to throw off (10 + 10 min): 32 min at 25.00 an hour, no mile more
    assert int(coming.marginal_dollars * 100) == pytest.approx(1333, abs=2)


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

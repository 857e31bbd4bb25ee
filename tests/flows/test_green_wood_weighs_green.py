"""Wet wood read by a pin overloads no rig: the plan makes two loads of it until a reading is dry."""

from datetime import date

import pytest

from inventory.models import Lot
from routing.models import Load
from routing.services import days
from tests.factories.day import confirmed, drive_by_the_job, make_friday
from tests.factories.inventory import make_lot, make_reading

pytestmark = pytest.mark.django_db

SATURDAY = date(2026, 9, 19)
NUMBER = 301
SMALL_RIG_LB = 2090
GREEN_LB = 2400 * 2.15 / 2  # half a cord of fir at 115 %


@pytest.fixture
def green_fir(business, monkeypatch) -> Lot:
    """Half a cord of fir, split green and read at 44 to 46 %, for a place only the small trailer reaches."""
    drive_by_the_job(monkeypatch)
    friday = make_friday()
    fir = make_lot(code="K9", cords=2, yard=friday.siding, start_moisture_pct=115)
    make_reading(fir, 44, 46, 43, 45, 44)
    confirmed(
        fir, number=NUMBER, name="Greta Sool", at="Marrow", cords="1/2", total="145.00", small_rig_only=True,
        dryness="green", first_on=SATURDAY, last_on=SATURDAY,
    )  # fmt: skip
    return fir


def loads_planned(an_instant) -> list[int]:
    """Pounds of each load the order is planned on."""
    days.plan_day(on=SATURDAY, at=an_instant, who="ruth", order_numbers=[NUMBER], steps=50, seed=1)
    return list(Load.objects.filter(stops__order__number=NUMBER).values_list("weight_lb", flat=True))


def test_half_a_cord_read_wet_makes_two_loads_and_read_dry_it_rides_on_one(green_fir, an_instant):
    """It once "fit" at 1,905 of 2,090 lb and weighed about 2,520."""
    wet = loads_planned(an_instant)

    assert len(wet) == 2
    assert max(wet) <= SMALL_RIG_LB
    assert sum(wet) >= GREEN_LB

    make_reading(green_fir, 22, 24, 23, 24, 22)
    (dry,) = loads_planned(an_instant)

    assert dry <= SMALL_RIG_LB

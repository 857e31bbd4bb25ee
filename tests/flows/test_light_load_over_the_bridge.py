"""A day with a light and a heavy load: the light one takes the posted bridge, as its quote did."""

from datetime import date
from fractions import Fraction

import pytest

from inventory.core.units import miles_of
from inventory.models import Lot
from orders.models import Order
from routing.models import Day, Load, RoadLimit, Stop
from routing.quoting.drives import Cargo, RoundTrip, drive_to
from routing.services import commits, days
from tests.factories.day import BRIDGE_LB, SPOTS, confirmed, drive_by_the_job, make_friday
from tests.factories.inventory import make_lot, make_reading

pytestmark = pytest.mark.django_db

SATURDAY = date(2026, 9, 19)
LIGHT, HEAVY = 301, 302


@pytest.fixture
def saturday(business, monkeypatch) -> Lot:
    """From Creek to Marrow on the big trailer: a cord of fir, and a cord of fir and oak."""
    drive_by_the_job(monkeypatch)
    friday = make_friday()
    RoadLimit.objects.create(name="Old Mill Bridge", whole_rig_lb=BRIDGE_LB)
    Order.objects.all().update(first_on=date(2026, 9, 18), last_on=date(2026, 9, 18))
    fir = make_lot(code="K6", cords=4, yard=friday.creek)
    make_reading(fir)
    on = {"first_on": SATURDAY, "last_on": SATURDAY}
    confirmed(fir, number=LIGHT, name="Light", at="Marrow", cords=1, total="260.00", **on)
    confirmed(friday.mixed, number=HEAVY, name="Heavy", at="Marrow", cords=1, total="300.00", **on)
    return fir


def quoted(*, lb: int) -> RoundTrip:
    lat, lon = SPOTS["Marrow"]
    cargo = Cargo(cords=Fraction(1), wood_lb=lb)
    return drive_to(lat=lat, lon=lon, yards=["Creek Yard"], cargo=cargo, on=SATURDAY)


def test_each_load_takes_the_road_it_was_quoted(saturday, seller_client, an_instant):
    days.plan_day(on=SATURDAY, at=an_instant, who="ruth", order_numbers=[LIGHT, HEAVY], steps=300, seed=1)

    whole_rig_lb, miles = {}, {}
    for number in (LIGHT, HEAVY):
        load = Load.objects.get(stops__order__number=number)
        stop = Stop.objects.get(order__number=number)
        trip = quoted(lb=load.weight_lb)
        assert (stop.leg_meters, stop.leg_seconds) == (trip.out.meters, trip.out.seconds)
        whole_rig_lb[number] = load.run.rig.truck_lb + load.run.rig.trailer_empty_lb + load.weight_lb
        miles[number] = round(float(miles_of(stop.leg_meters)), 1)
    assert whole_rig_lb[LIGHT] <= BRIDGE_LB < whole_rig_lb[HEAVY]
    assert miles == {LIGHT: 3.0, HEAVY: 8.9}
    assert Day.objects.get(on=SATURDAY).proof == "optimal"
    assert seller_client.get(f"/seller/days/{SATURDAY}").status_code == 200
    commits.commit_day(on=SATURDAY, at=an_instant, who="ruth")
    assert Day.objects.get(on=SATURDAY).state == Day.State.FIXED

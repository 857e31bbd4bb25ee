"""Ida, Len and the camp wait for the far town: one tap puts the planner's own trip on a day."""

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from inventory.models import Lot
from orders.models import Order, OrderHold
from routing.models import Day, Driver, Fill, Load, Pickup, Stop
from routing.services import commits
from tests.factories.inventory import make_hold, make_lot, make_reading, make_yard
from tests.factories.orders import make_customer, make_order, make_place, make_sheet, make_town
from tests.factories.routing import make_rig

pytestmark = pytest.mark.django_db

FIRST, LAST = date(2026, 9, 24), date(2026, 10, 10)  # a Thursday; today is Friday, September 18


@pytest.fixture
def waiting(business):
    """Hardwood lies at one yard, the camp's bundles at another; the box is full with the two halves."""
    make_sheet()
    make_town(hop_miles=Decimal("2.0"))
    far = make_town("Sandhook", market="far", hop_miles=Decimal("2.5"))
    upper = make_yard(name="Upper Yard", lat=44.1158, lon=-150.1006)
    siding = make_yard(name="Siding Yard", lat=44.0, lon=-150.0)
    make_rig(
        name="Big trailer", home_yard=upper, bed_ft3=45, pickup=Pickup.objects.create(name="Pickup"),
    )  # fmt: skip
    Driver.objects.create(name="Tam")
    hardwood = make_lot(yard=upper, code="K4", mix={"madrone": 100}, wood="hardwood", cords="1.90")
    make_reading(hardwood, 18, 19, 20, 19, 18)
    bundles = make_lot(
        yard=siding, code="K7", wood="kindling", form=Lot.Form.KINDLING, bundle_ft3=Decimal("0.75"), cords=1
    )
    for number, name, lot, cords, count, dollars in (
        (205, "Ida Crewe", hardwood, Fraction(1, 2), 0, 295),
        (206, "Len Abbot", hardwood, Fraction(1, 2), 0, 295),
        (211, "Sandbar camp", bundles, Fraction(0), 28, 140),
    ):
        who = make_customer(name)
        order = make_order(
            number=number, customer=who, place=make_place(who, town="Sandhook"), wood=lot.wood, cords=cords,
            bundles=count, total_dollars=Decimal(dollars), market=far.market, state=Order.State.CONFIRMED,
            is_pool=True, first_on=FIRST, last_on=LAST, waits_until=LAST,
        )  # fmt: skip
        hold = make_hold(lot, cords=cords or count * Fraction(3, 4) / 128, kind="firm")
        OrderHold.objects.create(order=order, hold=hold)


def test_the_pool_goes_on_thursday_in_one_tap(waiting, seller_client, an_instant):
    page = seller_client.get("/seller/worth/pool").content.decode()

    assert "Go:" in page
    assert "Load at Upper Yard for 205, 206, then at Siding Yard for 211" in page
    form = re.search(r'<form method="post" action="/seller/worth/pool/put".*?</form>', page, re.S)[0]
    assert "Put it on Thu, Sep 24" in form
    fields = re.findall(r'name="(orders|on)" value="([^"]+)"', form)

    answer = seller_client.post(
        "/seller/worth/pool/put",
        {"orders": [v for k, v in fields if k == "orders"], "on": dict(fields)["on"]},
        follow=True,
    )

    assert answer.redirect_chain[-1][0] == "/seller/days/2026-09-24"
    day = Day.objects.get(on=FIRST)
    assert day.state == Day.State.DRAFT
    assert set(Stop.objects.values_list("order__number", flat=True)) == {205, 206, 211}
    assert Load.objects.get().yard.name == "Upper Yard"
    assert Fill.objects.get().yard.name == "Siding Yard"
    assert Stop.objects.get(order__number=211).bed_bundles > 0
    sheet = seller_client.get("/seller/days/2026-09-24/load-sheet").content.decode()
    assert re.search(r"In the pickup bed:</b> \d+ bundles", sheet)
    assert re.search(r"Load 1: Upper Yard, [^<]+, then Siding Yard,", sheet)
    assert "Too heavy" not in sheet
    assert "More than the box holds" not in sheet
    assert "not committed yet" in seller_client.get("/seller/worth/pool").content.decode()
    commits.commit_day(on=FIRST, at=an_instant, who="ruth")
    assert Day.objects.get(on=FIRST).state == Day.State.FIXED


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"orders": ["205"], "on": "soon"}, "Choose the day"),
        ({"orders": ["9"], "on": "2026-09-24"}, "do not wait in the pool any more"),
        ({"orders": ["x"], "on": "2026-09-24"}, "do not wait in the pool any more"),
    ],
)
def test_what_cannot_be_put_on_a_day_is_said(waiting, seller_client, told, said):
    answer = seller_client.post("/seller/worth/pool/put", told)

    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Day.objects.exists()

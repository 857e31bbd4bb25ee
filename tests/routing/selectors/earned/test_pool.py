"""The far pool of the invented seller: who rides, who stays, and when to decide."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from inventory.models import Lot
from orders.models import Order, OrderHold
from routing.models import Rig, RunningCost
from routing.selectors.earned.pool import pools
from tests.factories.inventory import make_hold, make_lot, make_reading, make_yard
from tests.factories.orders import make_customer, make_order, make_place, make_sheet, make_town
from tests.factories.routing import make_rig
from tests.routing.selectors.earned.earned_roads import drive_by

pytestmark = pytest.mark.django_db
ON = date(2026, 9, 18)
ROADS = {("siding", "marrow"): ("3.8", 8), ("siding", "sandhook"): ("73.0", 105)}
BY = date(2026, 10, 10)


@pytest.fixture
def books(business, monkeypatch):
    drive_by(monkeypatch, ROADS)
    make_sheet()
    make_town(hop_miles=Decimal("2.0"))
    make_town("Sandhook", market="far", hop_miles=Decimal("2.5"))
    yard = make_yard(name="Siding Yard")
    make_rig(home_yard=yard, bed_ft3=45)
    madrone = make_lot(yard=yard, code="K4", mix={"madrone": 100}, wood="hardwood", cords="1.90")
    make_reading(madrone, 18, 19, 20, 19, 18)
    fir = make_lot(yard=yard, code="K1")
    make_reading(fir, 17, 18, 19, 21, 18)
    return {
        "K4": madrone,
        "K1": fir,
        "K7": make_lot(
            yard=yard, code="K7", wood="kindling", form=Lot.Form.KINDLING, bundle_ft3=Decimal("0.75"), cords=1
        ),
    }


def waits(books, number, name, lot, dollars, *, cords=Fraction(0), bundles=0, until=BY, kind="firm") -> Order:
    who = make_customer(name)
    order = make_order(
        number=number, customer=who, place=make_place(who, town="Sandhook"), wood=books[lot].wood,
        cords=cords, bundles=bundles, total_dollars=Decimal(dollars), is_pool=True, waits_until=until,
        state=Order.State.CONFIRMED, market=make_town("Sandhook", market="far").market,
    )  # fmt: skip
    hold = make_hold(books[lot], cords=cords or bundles * Fraction(3, 4) / 128, kind=kind)
    OrderHold.objects.create(order=order, hold=hold)
    return order


def test_nobody_waiting_is_an_empty_pool(business):
    assert pools(ON) == ()


def test_two_halves_of_hardwood_go_as_in_the_worked_example(books):
    """To the cent, give or take one: the roads come in whole meters here."""
    waits(books, 205, "Ida Crewe", "K4", 295, cords=Fraction(1, 2))
    waits(books, 206, "Len Abbot", "K4", 295, cords=Fraction(1, 2))

    (view,) = pools(ON)

    answer = view.answer.answer
    assert abs(answer.gain - Decimal("102.74")) <= Decimal("0.01")
    assert abs(answer.far.cost - Decimal("104.08")) <= Decimal("0.01")
    assert answer.near.cost == Decimal("6.82")
    assert view.answer.verdict == "go"
    assert view.answer.decide_by == date(2026, 10, 8)


def test_bundles_ride_in_the_bed_and_a_whole_cord_stays_behind(books):
    waits(books, 205, "Ida Crewe", "K4", 295, cords=Fraction(1, 2))
    waits(books, 206, "Len Abbot", "K4", 295, cords=Fraction(1, 2))
    waits(books, 207, "Sal Dufrane", "K1", 375, cords=Fraction(1), until=date(2026, 11, 15), kind="soft")
    waits(books, 211, "Sandbar camp", "K7", 140, bundles=28)

    (view,) = pools(ON)

    assert {row.number: row.rides for row in view.rows} == {205: True, 206: True, 207: False, 211: True}
    assert view.answer.steps[-1].box_share == 1
    assert {row.number: row.is_firm for row in view.rows}[207] is False
    assert {row.number: row.near_price for row in view.rows}[211] == 0


def test_a_bed_too_weak_for_the_bundles_keeps_the_second_half_cord_off_and_says_whose_they_are(books):
    """A cord of madrone leaves room for a dozen bundles in the box: the others are too heavy for the bed."""
    waits(books, 205, "Ida Crewe", "K4", 295, cords=Fraction(1, 2))
    waits(books, 206, "Len Abbot", "K4", 295, cords=Fraction(1, 2))
    waits(books, 211, "Sandbar camp", "K7", 200, bundles=58)

    (view,) = pools(ON)

    rows = {row.number: row for row in view.rows}
    assert {number: row.rides for number, row in rows.items()} == {205: True, 206: False, 211: True}
    assert "the bundles of order 211 would ride in the pickup bed" in rows[206].why_not


def test_weight_is_planned_at_the_last_reading(books):
    waits(books, 205, "Ida Crewe", "K4", 295, cords=Fraction(1, 2))

    (view,) = pools(ON)

    assert view.rows[0].lb == 2046  # half of 3,100 x 1.20 x 1.10


def test_one_alone_waits_for_company(books):
    waits(books, 207, "Sal Dufrane", "K1", 375, cords=Fraction(1), until=date(2026, 11, 15))

    (view,) = pools(ON)

    assert view.answer.verdict == "wait"
    assert view.rows[0].days_left == 58


def test_going_anyway_changes_the_answer(books):
    waits(books, 207, "Sal Dufrane", "K1", 375, cords=Fraction(1), until=date(2026, 11, 15))

    (view,) = pools(ON, is_going_anyway=True)

    assert view.answer.verdict == "go"


def test_delivered_and_declined_orders_wait_no_more(books):
    order = waits(books, 205, "Ida Crewe", "K4", 295, cords=Fraction(1, 2))
    Order.objects.filter(pk=order.pk).update(state=Order.State.DELIVERED)

    assert pools(ON) == ()


def test_a_towns_trip_is_figured_with_the_rig_it_leaves_most_with(books):
    """A half cord rides on the small trailer, whose mile costs less, as the planner would take it."""
    big = Rig.objects.get()
    small = make_rig(name="Small trailer", home_yard=big.home_yard, capacity_ft3=90)
    RunningCost.objects.filter(rig=small).update(loaded_mile=Decimal("0.30"), empty_mile=Decimal("0.25"))
    waits(books, 205, "Ida Crewe", "K4", 295, cords=Fraction(1, 4))

    (view,) = pools(ON)

    assert view.rig.name == "Small trailer"
    assert view.trip.loaded_mile == Decimal("0.30")

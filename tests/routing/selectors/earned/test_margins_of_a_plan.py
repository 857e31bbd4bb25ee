"""What the planner plans and what the margins read are the same miles, minutes and money."""

from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

import pytest
from django.utils import timezone

from inventory.core.units import METERS_PER_MILE
from orders.models import Order, OrderHold
from routing.models import Day, Driver, Load, Run
from routing.selectors.days.day_view import day_view
from routing.selectors.earned.margins import loads_earned
from routing.services.days import plan_day
from tests.factories.inventory import make_hold, make_lot, make_yard
from tests.factories.orders import make_customer, make_order, make_place
from tests.factories.routing import make_rig

pytestmark = pytest.mark.django_db
ON = date(2026, 9, 18)


def promised(number: int, town: str, lot, cords: Fraction) -> Order:
    who = make_customer(f"Customer {number}")
    order = make_order(
        number=number, customer=who, place=make_place(who, town=town), cords=cords,
        state=Order.State.CONFIRMED, total_dollars=Decimal(200),
    )  # fmt: skip
    OrderHold.objects.create(order=order, hold=make_hold(lot, cords=cords, reference=order.reference))
    return order


def test_the_crew_of_a_rig_is_paid_its_own_wages(business):
    """A driver with a wage of their own and a helper at the rig's: both are in the plan's cost."""
    yard = make_yard()
    tam, jo = Driver.objects.create(name="Tam", wage_hour=Decimal(40)), Driver.objects.create(name="Jo")
    make_rig(home_yard=yard, driver=tam, helper=jo)
    promised(201, "Larch Prairie", make_lot(yard=yard), Fraction(1, 2))

    plan_day(
        on=ON, at=timezone.make_aware(datetime(2026, 9, 17, 19)), who="ruth", order_numbers=[201], steps=50
    )

    run, day = Run.objects.get(), Day.objects.get(on=ON)
    [view] = day_view(ON).runs
    assert (run.driver, run.helper) == (tam, jo)
    assert abs(day.cost_cents - view.road_cents - run.paid_seconds * 65 / 36) <= 1
    [load] = loads_earned(ON, ON)
    assert load.rates.wage_hour == 65
    margin = load.planned.whole
    assert margin.crew_minutes == margin.delivery_minutes > 0
    in_the_wood = margin.wages(Decimal(30)) - margin.crew_wages
    assert abs(margin.crew_wages - Decimal(float(margin.delivery_minutes) * 65 / 60)) < Decimal("0.01")
    assert abs(in_the_wood - Decimal(float(margin.wood_hours) * 30)) < Decimal("0.01")


def test_the_loads_of_a_plan_cost_what_its_run_drives(business):
    yard = make_yard()
    make_rig(home_yard=yard)
    lot = make_lot(yard=yard)
    for number, town, cords in (
        (201, "Marrow Bridge", Fraction(2, 3)),
        (202, "Larch Prairie", Fraction(2, 3)),
        (203, "Fennick", Fraction(1, 2)),
    ):
        promised(number, town, lot, cords)

    plan_day(
        on=ON,
        at=timezone.make_aware(datetime(2026, 9, 17, 19)),
        who="ruth",
        order_numbers=[201, 202, 203],
        steps=50,
    )

    run = Run.objects.get()
    loads = loads_earned(ON, ON)
    road = sum(load.planned.shares.road for load in loads)
    minutes = sum(load.planned.whole.delivery_minutes for load in loads)
    driven = (
        Decimal("0.75") * Decimal(run.loaded_meters) + Decimal("0.65") * Decimal(run.empty_meters)
    ) / Decimal(float(METERS_PER_MILE))
    assert len(loads) >= 2
    assert {drop.stop.number for load in loads for drop in load.drops} == {201, 202, 203}
    assert abs(road - driven) <= Decimal("0.01") * len(loads)
    assert abs(float(minutes) - run.paid_seconds / 60) < 1
    assert all(load.is_estimate for load in loads)


def test_the_way_between_two_yards_of_one_load_is_paid_by_its_drops(business):
    """Wood of two yards for one far town rides as one load, and the loads' road still sums to the day's."""
    siding = make_yard(name="Siding Yard", lat=44.0, lon=-150.0)
    creek = make_yard(name="Creek Yard", lat=44.04, lon=-150.06)
    make_rig(home_yard=siding)
    promised(201, "Larch Prairie", make_lot(yard=siding, code="K1"), Fraction(1, 3))
    promised(202, "Larch Prairie", make_lot(yard=creek, code="K2"), Fraction(1, 3))

    plan_day(
        on=ON,
        at=timezone.make_aware(datetime(2026, 9, 17, 19)),
        who="ruth",
        order_numbers=[201, 202],
        steps=100,
    )

    run, day = Run.objects.get(), Day.objects.get(on=ON)
    [load] = loads_earned(ON, ON)
    assert Load.objects.get().more_fills.count() == 1
    assert day.proof == "optimal"
    driven = (
        Decimal("0.75") * Decimal(run.loaded_meters) + Decimal("0.65") * Decimal(run.empty_meters)
    ) / Decimal(float(METERS_PER_MILE))
    assert abs(load.planned.shares.road - driven) <= Decimal("0.01")
    assert abs(float(load.planned.whole.delivery_minutes) - run.paid_seconds / 60) < 1

"""What the planner plans and what the margins read are the same miles, minutes and money."""

from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

import pytest
from django.utils import timezone

from orders.models import Order, OrderHold
from routing.core.costs import METERS_PER_MILE
from routing.models import Run
from routing.selectors.margins import loads_earned
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
    assert {drop.number for load in loads for drop in load.drops} == {201, 202, 203}
    assert abs(road - driven) <= Decimal("0.01") * len(loads)
    assert abs(float(minutes) - run.paid_seconds / 60) < 1
    assert all(load.is_estimate for load in loads)

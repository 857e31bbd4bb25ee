"""Margins read from rows: the worked example of a shared drive, planned and home again."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.models import Expense, Movement, WorkEntry
from orders.models import Order, Payment
from routing.models import DriverEvent, Load, Stop
from routing.selectors.earned.margins import load_earned, loads_earned, months_with_loads
from tests.factories.orders import make_order
from tests.routing.selectors.earned.earned_loads import ON, a_load
from tests.routing.selectors.earned.earned_roads import EXAMPLE_6, drive_by

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _roads(monkeypatch):
    drive_by(monkeypatch, EXAMPLE_6)


def at(hour: int, minute: int = 0) -> datetime:
    return timezone.make_aware(datetime(2026, 9, 18, hour, minute))


def test_a_shared_drive_is_split_as_in_the_worked_example(business):
    load = load_earned(a_load().pk)

    near, far = load.drops
    assert (near.share.road, far.share.road) == (Decimal("3.15"), Decimal("25.13"))
    assert load.planned.shares.road == Decimal("28.28")
    assert (near.share.alone_road, far.share.alone_road) == (Decimal("5.32"), Decimal("27.30"))


def test_a_load_leaves_what_the_worked_example_says(business):
    load = load_earned(a_load().pk)

    assert load.planned.whole.cash_left == Decimal("281.72")
    assert load.planned.whole.delivery_minutes == 208
    assert load.planned.whole.per_hour == Decimal("31.59")
    assert sum(drop.planned.cash_left for drop in load.drops) == load.planned.whole.cash_left


def test_sales_tax_is_no_income(business):
    load = a_load()
    Order.objects.filter(number=202).update(tax_dollars=Decimal("5.50"), total_dollars=Decimal("105.50"))

    assert load_earned(load.pk).planned.whole.price == Decimal("342.00")


def test_wood_is_costed_by_its_own_lot_when_work_was_written_down(business):
    load = a_load()
    lot = Stop.objects.first().lot
    WorkEntry.objects.create(
        on=ON, job="split", hours_low=6, hours_likely=Decimal(12), hours_high=20, lot=lot
    )
    Expense.objects.create(on=ON, line="saw gas", dollars=Decimal(60), kind="cord", lot=lot)

    earned = load_earned(load.pk)

    assert sum(movement.cords for movement in Movement.objects.filter(lot=lot)) == 6
    assert earned.planned.whole.wood_hours == 2
    assert earned.planned.whole.wood_cash == Decimal("10.00")
    assert earned.drops[0].wood.source == "the hours and receipts written down"


def test_a_run_at_home_is_read_by_its_own_miles_and_hours(business):
    load = a_load()
    run = load.run
    run.actual_leave_at, run.actual_home_at = at(8), at(12)
    run.actual_loaded_miles, run.actual_empty_miles = Decimal("22.0"), Decimal("20.0")
    run.save()
    Stop.objects.update(state=Stop.State.DELIVERED)

    earned = load_earned(load.pk)

    assert earned.is_home
    assert earned.actual.road == Decimal("29.50")  # 22.0 x .75 + 20.0 x .65
    assert earned.actual.delivery_minutes == 240
    assert earned.actual.price == Decimal("342.00")
    assert earned.planned.whole.road == Decimal("28.28")


def test_a_drop_nobody_took_brings_nothing_but_still_costs_the_road(business):
    load = a_load()
    run = load.run
    run.actual_leave_at, run.actual_home_at = at(8), at(11)
    run.save()
    Stop.objects.filter(sequence=1).update(state=Stop.State.DELIVERED)
    Stop.objects.filter(sequence=2).update(state=Stop.State.NO_SHOW)

    _, missed = load_earned(load.pk).drops

    assert missed.actual.price == 0
    assert missed.actual.wood_cash == 0
    assert missed.actual.road > 20


def test_a_timed_halt_counts_as_timed(business):
    load = a_load()
    run = load.run
    run.actual_leave_at, run.actual_home_at = at(8), at(12)
    run.save()
    stop = Stop.objects.get(sequence=1)
    stop.state, stop.done_at = Stop.State.DELIVERED, at(9, 35)
    stop.save()
    DriverEvent.objects.create(
        kind="arrived", stop=stop, happened_at=at(9), received_at=at(9), outcome="applied"
    )

    near, _ = load_earned(load.pk).drops

    assert near.actual.own_minutes == 12 + 35  # a third of a cord to load, then the halt


def test_credit_for_short_wood_and_wood_given_over_are_seen_afterwards(business):
    load = a_load()
    run = load.run
    run.actual_leave_at, run.actual_home_at = at(8), at(12)
    run.save()
    Stop.objects.update(state=Stop.State.DELIVERED)
    near = Order.objects.get(number=202)
    near.delivered_cords = Fraction(5, 12)
    near.save()
    Payment.objects.create(
        order=Order.objects.get(number=203), kind="credit", dollars=Decimal(12), on=ON, made_at=at(15)
    )

    first, second = load_earned(load.pk).drops

    assert first.actual.over_given == Decimal("25.00")
    assert first.actual.price == Decimal("100.00")
    assert second.actual.price == Decimal("230.00")


def test_a_way_home_belongs_to_each_load_and_the_way_out_to_the_first(business):
    first = a_load()
    second = Load.objects.create(
        run=first.run, sequence=2, yard=first.yard, cords=Fraction(1), weight_lb=3000
    )
    again = make_order(number=290)
    Stop.objects.create(
        load=second, sequence=1, order=again, cords=Fraction(1, 3), lot=Stop.objects.first().lot
    )

    loads = loads_earned(ON, ON)

    assert [load.planned.shares.road for load in loads] == [Decimal("28.28"), Decimal("5.32")]


def test_a_drop_without_a_spot_says_so_instead_of_guessing(business):
    load = a_load()
    order = Order.objects.get(number=202)
    order.place.lat = order.place.lon = order.place.town = None
    order.place.save()

    earned = load_earned(load.pk)

    assert earned.planned is None
    assert "no spot on the map" in earned.problem


def test_a_rig_without_running_costs_says_so(business):
    load = a_load()
    load.run.rig.running_costs.all().delete()

    assert "No running cost per mile" in load_earned(load.pk).problem


def test_months_are_those_with_loads(business):
    a_load()
    a_load(on=date(2026, 8, 4), number_from=180)

    assert months_with_loads() == (date(2026, 9, 1), date(2026, 8, 1))
    assert len(loads_earned(date(2026, 9, 1), date(2026, 9, 30))) == 1


def test_many_loads_take_no_more_queries_than_one(business, django_assert_num_queries):
    a_load()
    loads_earned(ON, ON)
    with CaptureQueriesContext(connection) as one:
        loads_earned(ON, ON)
    for place in range(1, 4):
        a_load(on=ON + timedelta(days=place), number_from=300 + 2 * place)
    loads_earned(ON, ON + timedelta(days=5))

    with django_assert_num_queries(len(one)):
        assert len(loads_earned(ON, ON + timedelta(days=5))) == 4

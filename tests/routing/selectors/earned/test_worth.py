"""The season from the books: months brought forward, then our own rows, nothing counted twice."""

from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

import pytest
from django.utils import timezone

from firewood_site.demo.road import load_season
from inventory.models import Expense, WorkEntry
from orders.models import Order, Payment
from routing.earned.worth import worth_by
from routing.models import BroughtForward, Load, Run, Stop
from routing.selectors.earned.margins import loads_earned
from routing.selectors.earned.worth import brought_forward_until, entries_of_loads, season, seasons_worth
from tests.factories.inventory import make_lot, make_yard
from tests.factories.orders import make_order
from tests.factories.routing import make_day, make_rig
from tests.routing.selectors.earned.earned_roads import EXAMPLE_6, drive_by

pytestmark = pytest.mark.django_db
TODAY = date(2026, 9, 18)


def delivered(on: date, dollars: int = 100, **kwargs) -> Order:
    return make_order(state=Order.State.DELIVERED, delivered_on=on, total_dollars=Decimal(dollars), **kwargs)


def worked(on: date, job: str, hours: int) -> None:
    WorkEntry.objects.create(on=on, job=job, hours_low=hours, hours_likely=hours, hours_high=hours)


def a_run(on: date, order: Order) -> Run:
    """A run that delivered one order, planned to take two hours over ten miles."""
    yard = make_yard()
    run = Run.objects.create(
        day=make_day(on), rig=make_rig(home_yard=yard), loaded_meters=8047, empty_meters=8047,
        paid_seconds=7200,
    )  # fmt: skip
    load = Load.objects.create(run=run, sequence=1, yard=yard, cords=order.cords, weight_lb=1000)
    Stop.objects.create(
        load=load, sequence=1, order=order, cords=order.cords, lot=make_lot(), state=Stop.State.DELIVERED
    )
    return run


def test_the_demo_season_reads_as_printed():
    load_season()

    view = season(TODAY)

    assert view.name == "2025-26"
    assert len(view.months) == 12
    assert view.total.cords == Fraction("29.50")
    assert (view.total.revenue, view.total.cash_out) == (8260, 1983)
    assert view.total.per_hour == Decimal("25.83")
    assert view.counted_until == date(2026, 9, 17)


def test_an_order_inside_brought_forward_days_is_not_counted_again():
    load_season()
    delivered(date(2026, 1, 17), 300)
    delivered(date(2026, 9, 17), 100)

    assert season(TODAY).total.revenue == 8260


def test_an_order_delivered_the_day_after_is_counted_in_the_same_month():
    load_season()
    delivered(TODAY, 242, cords=Fraction(2, 3))

    view = season(TODAY)

    assert view.total.revenue == 8502
    assert view.months[-1].worth.revenue == 1317
    assert view.months[-1].is_brought
    assert view.months[-1].is_own


def test_a_month_without_a_last_day_covers_the_whole_of_itself():
    load_season()
    BroughtForward.objects.update(covers_until=None)

    assert brought_forward_until() == date(2026, 9, 30)


def test_tax_and_credit_are_no_revenue():
    order = delivered(TODAY, 110, tax_dollars=Decimal(10))
    Payment.objects.create(
        order=order, kind="credit", dollars=Decimal(25), on=TODAY,
        made_at=timezone.make_aware(datetime(2026, 9, 18, 12)),
    )  # fmt: skip

    assert season(TODAY).total.revenue == 75


def test_work_and_receipts_fill_a_season_of_their_own():
    delivered(TODAY)
    worked(TODAY, "split", 3)
    worked(TODAY, "deliver", 1)
    Expense.objects.create(on=TODAY, line="saw gas", dollars=Decimal(20), kind="cord")

    total = season(TODAY).total

    assert (total.yard_hours, total.delivery_hours) == (3, 1)
    assert total.per_hour == Decimal("20.00")


def test_delivering_hours_of_a_run_are_not_counted_with_the_log():
    a_run(TODAY, delivered(TODAY))
    worked(TODAY, "deliver", 5)

    total = season(TODAY).total

    assert total.delivery_hours == 2
    assert total.miles == Decimal("10.00")


def test_a_run_at_home_counts_its_own_hours_and_miles():
    run = a_run(TODAY, delivered(TODAY))
    run.actual_leave_at = timezone.make_aware(datetime(2026, 9, 18, 8))
    run.actual_home_at = timezone.make_aware(datetime(2026, 9, 18, 11))
    run.actual_loaded_miles, run.actual_empty_miles = Decimal(6), Decimal(7)
    run.save()

    total = season(TODAY).total

    assert (total.delivery_hours, total.miles) == (3, 13)


def test_seasons_stand_side_by_side():
    load_season()
    delivered(date(2026, 10, 3), 300)

    known = seasons_worth(date(2026, 11, 1))

    assert [row.name for row in known] == ["2025-26", "2026-27"]
    assert known[1].revenue == 300


def test_an_unknown_season_falls_back_to_the_running_one():
    assert season(TODAY, "1066-67").name == "2025-26"
    assert season(TODAY).total is None


def test_loads_are_grouped_by_market_and_run(business, monkeypatch):
    drive_by(monkeypatch, EXAMPLE_6)
    run = a_run(TODAY, make_order())

    entries = entries_of_loads(loads_earned(TODAY, TODAY))

    assert [row.name for row in worth_by(entries, "market")] == ["Local"]
    (by_run,) = worth_by(entries, "run")
    assert by_run.name == f"Fri, Sep 18, {run.rig.name}"
    assert by_run.revenue == 100
    assert by_run.cash_out == Decimal("15.99")  # a third of 32, and 3.8 miles each way


def test_a_season_of_many_orders_takes_no_more_queries(django_assert_num_queries):
    delivered(TODAY)
    season(TODAY)
    with django_assert_num_queries(12):
        season(TODAY)
    for _ in range(5):
        a_run(TODAY, delivered(TODAY))

    with django_assert_num_queries(12):
        season(TODAY)


def test_a_month_between_two_brought_forward_counts_its_own_orders():
    for month in (date(2026, 5, 1), date(2026, 7, 1)):
        totals = {"miles": 0, "delivery_hours": 0, "yard_hours": 0, "cash_out": 0}
        BroughtForward.objects.create(month=month, cords=1, revenue=300, **totals)
    delivered(date(2026, 5, 20), 240)
    delivered(date(2026, 6, 20), 250)
    delivered(date(2026, 7, 20), 260)

    assert [row.worth.revenue for row in season(TODAY).months] == [300, 250, 300]

"""What nobody needs any more goes by itself: prices with their addresses, sessions, results of tasks."""

from datetime import date, timedelta

import pytest
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.sessions.models import Session
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from firewood_site.daily import KEEP_QUOTES, daily_work
from orders.models import Order, Place, Quote
from tests.factories.inventory import an_instant
from tests.factories.orders import make_market, make_order, make_place, make_sheet

pytestmark = pytest.mark.django_db
TODAY = date(2026, 9, 18)


@pytest.fixture(autouse=True)
def tasks_in_the_database(settings, business):
    settings.TASKS = {
        "default": {"BACKEND": "django_tasks_db.DatabaseBackend", "QUEUES": ["default", "planner"]}
    }


def quoted(sheet, last_day, place):
    return Quote.objects.create(
        made_at=an_instant(), made_on=last_day, last_day=last_day, sheet=sheet, market=make_market(),
        wood="fir", dryness="seasoned", cords=1, wood_dollars=260, total_dollars=260, place=place,
    )  # fmt: skip


def test_a_price_nobody_ordered_goes_with_the_address_typed_for_it():
    sheet = make_sheet()
    long_ago = TODAY - KEEP_QUOTES - timedelta(days=1)
    ordered = quoted(sheet, long_ago, make_place())
    make_order(quote=ordered, place=ordered.place)
    fresh = quoted(sheet, TODAY, make_place())
    quoted(sheet, long_ago, make_place())

    done = daily_work(on=TODAY, at=an_instant())

    assert done.forgotten == 1
    assert set(Quote.objects.all()) == {ordered, fresh}
    assert set(Place.objects.all()) == {ordered.place, fresh.place}
    assert Order.objects.get().quote == ordered


def test_a_session_that_ended_goes_and_one_in_use_stays():
    ended, used = SessionStore(), SessionStore()
    ended.set_expiry(timezone.now() - timedelta(days=1)), ended.save()
    used.set_expiry(timezone.now() + timedelta(days=1)), used.save()

    daily_work(on=TODAY, at=an_instant())

    assert [row.pk for row in Session.objects.all()] == [used.session_key]


@pytest.mark.parametrize("queue", ["default", "planner"])
def test_results_of_background_work_go_after_two_weeks(queue):
    """Those of plannings stayed for ever: only the first queue was tidied."""
    _old, fresh = (
        DBTaskResult.objects.create(
            task_path="routing.tasks.plan", args_kwargs={"args": [], "kwargs": {}}, queue_name=queue,
            backend_name="default", status="SUCCESSFUL", run_after=timezone.now(),
            finished_at=timezone.now() - timedelta(days=days), exception_class_path="", traceback="",
        )
        for days in (15, 1)
    )  # fmt: skip

    daily_work(on=TODAY, at=an_instant())

    assert list(DBTaskResult.objects.all()) == [fresh]

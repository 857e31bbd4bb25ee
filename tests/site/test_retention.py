"""What nobody needs any more goes by itself: prices with their addresses, sessions, results of tasks."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from allauth.usersessions.models import UserSession
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.sessions.models import Session
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from firewood_site.daily import KEEP_LOG_INS, KEEP_QUOTES, daily_work
from inventory.models import AuditEntry
from orders.models import Customer, Order, Place, Quote, WaitingEntry
from orders.services.waiting import KEEP_TOLD, wait_for_wood
from routing.models import Day, PlanJob, SeasonOutlook
from routing.services.old_plans import KEEP_JOBS, KEEP_STEPS, OUTLOOKS_KEPT
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

    assert list(DBTaskResult.objects.filter(task_path=fresh.task_path)) == [fresh]


def test_a_task_whose_worker_was_killed_goes_too_and_one_at_work_stays():
    _killed, at_work = (
        DBTaskResult.objects.create(
            task_path="routing.tasks.plan", args_kwargs={"args": [], "kwargs": {}}, queue_name="planner",
            backend_name="default", status="RUNNING", run_after=timezone.now(),
            started_at=timezone.now() - timedelta(days=days), exception_class_path="", traceback="",
        )
        for days in (15, 0)
    )  # fmt: skip

    daily_work(on=TODAY, at=an_instant())

    assert list(DBTaskResult.objects.filter(status="RUNNING")) == [at_work]


def test_plannings_that_are_over_go_and_one_under_way_stays():
    at = an_instant()
    long_ago, lately = at - KEEP_JOBS - timedelta(hours=1), at - timedelta(days=1)
    _over, _cut_off, fresh, running = (
        PlanJob.objects.create(first_on=TODAY, last_on=TODAY, state=state, made_at=made, ended_at=ended)
        for state, made, ended in (
            ("done", long_ago, long_ago), ("waiting", long_ago, None),
            ("failed", lately, lately), ("running", lately, None),
        )
    )  # fmt: skip

    daily_work(on=TODAY, at=at)

    assert set(PlanJob.objects.all()) == {fresh, running}


def test_steps_to_take_back_go_once_the_day_is_long_driven():
    step = [{"verb": "moved", "runs": []}]
    long_ago, lately = (
        Day.objects.create(on=TODAY - KEEP_STEPS - timedelta(days=days), undo=step, redo=step)
        for days in (1, 0)
    )

    daily_work(on=TODAY, at=an_instant())

    for day in (long_ago, lately):
        day.refresh_from_db()
    assert (long_ago.undo, long_ago.redo, lately.undo, lately.redo) == ([], [], step, step)


def test_outlooks_stay_for_a_year_of_weeks():
    for week in range(OUTLOOKS_KEPT + 3):
        SeasonOutlook.objects.create(
            week_on=TODAY - timedelta(weeks=week), made_at=an_instant(), answer={"week": week}
        )

    daily_work(on=TODAY, at=an_instant())

    assert [row.answer["week"] for row in SeasonOutlook.objects.all()] == list(range(OUTLOOKS_KEPT))


def test_where_somebody_was_logged_in_goes_with_the_session(client, seller):
    client.post("/log-in", {"login": "ruth", "password": "split-in-spring"})
    UserSession.objects.create(user=seller, ip="10.0.0.1", user_agent="an old phone", session_key="gone")

    daily_work(on=TODAY, at=an_instant())

    assert [row.session_key for row in UserSession.objects.all()] == [client.session.session_key]


def test_old_tries_at_the_door_go_and_the_rest_of_the_trail_stays():
    """Each wrong try writes a line, so strangers could fill the books."""
    long_ago = an_instant() - KEEP_LOG_INS - timedelta(days=1)
    for at, verb in (
        (long_ago, "log-in refused"), (long_ago, "logged in"), (long_ago, "password changed"),
        (long_ago, "repriced"), (an_instant(), "log-in refused"),
    ):  # fmt: skip
        AuditEntry.objects.create(at=at, who="ruth", verb=verb, thing="person ruth")

    daily_work(on=TODAY, at=an_instant())

    kept = AuditEntry.objects.order_by("id").values_list("verb", flat=True)
    assert list(kept) == ["password changed", "repriced", "log-in refused"]


def test_somebody_who_only_waited_goes_once_told_and_a_buyer_stays():
    asked = an_instant() - KEEP_TOLD - timedelta(days=30)
    for name, phone in (("Only Waited", "541 555 0111"), ("Bought Since", "541 555 0112")):
        wait_for_wood(key=uuid4(), name=name, phone=phone, at=asked)
    make_order(customer=Customer.objects.get(name="Bought Since"))
    WaitingEntry.objects.update(told_at=an_instant() - KEEP_TOLD - timedelta(days=1))

    daily_work(on=TODAY, at=an_instant())

    assert not WaitingEntry.objects.exists()
    assert list(Customer.objects.values_list("name", flat=True)) == ["Bought Since"]

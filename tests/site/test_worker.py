"""The worker outlives what breaks behind it, and what it left is ended with a sentence."""

import os
from datetime import date, timedelta

import pytest
from django.core.management import call_command
from django.db import OperationalError
from django.utils import timezone

from firewood_site import heartbeats
from firewood_site.management.commands import work
from routing.models import PlanJob
from routing.services import jobs

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _own_folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path


class Tasks:
    """A queue of tasks that meets trouble, then ends."""

    def __init__(self, *troubles):
        self.troubles = list(troubles)
        self.running = True

    def run(self):
        if self.troubles:
            raise self.troubles.pop(0)
        self.running = False


def test_a_lost_database_and_a_full_disk_are_waited_out(monkeypatch):
    monkeypatch.setattr(work.connections, "close_all", lambda: None)
    tasks = Tasks(OperationalError("server closed the connection"), OSError(28, "No space left on device"))

    work.keep_running(tasks, first_wait=0.0)

    assert tasks.troubles == []
    assert "No space left" in heartbeats.heartbeat(heartbeats.WORKER).problem


def test_what_is_a_bug_is_not_waited_out():
    with pytest.raises(ZeroDivisionError):
        work.keep_running(Tasks(ZeroDivisionError()), first_wait=0.0)


def test_one_failing_step_stops_neither_the_others_nor_the_worker(business, monkeypatch):
    monkeypatch.setattr(work.connections, "close_all", lambda: None)
    done = []

    def broken():
        raise OperationalError("gone")

    monkeypatch.setattr(work, "_send_letters", broken)
    monkeypatch.setattr(work, "_close_dead", lambda: done.append("dead"))
    monkeypatch.setattr(work, "_morning", lambda: done.append("morning"))

    work.one_round()

    assert done == ["dead", "morning"]
    assert heartbeats.heartbeat(heartbeats.WORKER).problem == "gone"


def test_the_work_of_the_morning_is_done_once_a_day(business, monkeypatch):
    days = []
    monkeypatch.setattr(work, "daily_work", lambda **when: days.append(when))
    monkeypatch.setattr(work, "MORNING_HOUR", 0)

    work.one_round()
    work.one_round()
    yesterday = (timezone.now() - timedelta(days=1)).timestamp()
    os.utime(heartbeats._folder() / heartbeats.DAILY, (yesterday, yesterday))
    work.one_round()

    assert len(days) == 2


def test_two_workers_do_not_share_out_one_morning(business, monkeypatch):
    """While one worker is at it, copies of the books included, another leaves it alone."""
    days = []
    monkeypatch.setattr(work, "daily_work", lambda **when: days.append(when))
    monkeypatch.setattr(work, "MORNING_HOUR", 0)

    with heartbeats.only_one(heartbeats.DAILY) as is_ours:
        assert is_ours
        work.one_round()
    assert days == []
    work.one_round()

    assert len(days) == 1


def test_work_of_the_morning_that_failed_is_tried_again_after_a_while(business, monkeypatch):
    monkeypatch.setattr(work.connections, "close_all", lambda: None)
    monkeypatch.setattr(work, "MORNING_HOUR", 0)
    tries = []

    def broken(**when):
        tries.append(when)
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(work, "daily_work", broken)

    work.one_round()
    work.one_round()
    assert len(tries) == 1
    earlier = (timezone.now() - work.AFTER_FAILURE - timedelta(minutes=1)).timestamp()
    os.utime(heartbeats._folder() / heartbeats.DAILY, (earlier, earlier))
    work.one_round()

    assert len(tries) == 2
    assert "No space left" in heartbeats.heartbeat(heartbeats.DAILY).problem


def test_a_planning_whose_worker_was_killed_is_ended_with_a_sentence():
    now = timezone.now()
    key = jobs.start_job(first_on=date(2026, 9, 21), last_on=date(2026, 9, 26), orders=[], at=now, seconds=10)
    jobs.begin(key=key, at=now)

    assert jobs.close_dead(at=now + timedelta(seconds=30)) == 0
    assert jobs.close_dead(at=now + timedelta(minutes=5)) == 1

    job = PlanJob.objects.get(key=key)
    assert (job.state, str(job.message)) == ("failed", jobs.DIED)


def test_one_round_runs_from_the_command_line(business, transactional_db, settings):
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend", "QUEUES": []}}

    call_command("work", once=True)

    assert heartbeats.heartbeat(heartbeats.WORKER).problem == ""


def test_a_full_disk_still_shows_a_sign_of_life(monkeypatch):
    heartbeats.beat(heartbeats.WORKER, problem="was ill")
    old = timezone.now() - timedelta(hours=1)
    os.utime(heartbeats._folder() / heartbeats.WORKER, (old.timestamp(), old.timestamp()))

    def full(*_args, **_more):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pathlib.Path.write_text", full)
    heartbeats.beat(heartbeats.WORKER, problem="")

    assert timezone.now() - heartbeats.heartbeat(heartbeats.WORKER).at < timedelta(minutes=1)


def test_health_tells_strangers_yes_or_no_and_staff_what_is_wrong(client, seller_client, settings):
    settings.DEMO = False

    stranger, staff = client.get("/health").json(), seller_client.get("/health").json()

    assert stranger == {"ok": True}
    assert "not running" in staff["worker"]
    assert "no copy" in staff["backup"]
    heartbeats.beat(heartbeats.WORKER)
    assert seller_client.get("/health").json()["worker"] == "well"
    assert "The worker is not running" not in seller_client.get("/seller/").content.decode()


def test_older_tables_under_newer_code_are_told(client, monkeypatch):
    monkeypatch.setattr("firewood_site.health._missing_migrations", lambda: True)

    answer = client.get("/health")

    assert (answer.status_code, answer.json()) == (503, {"ok": False})

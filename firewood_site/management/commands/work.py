"""The worker: background tasks, the outbox, and the work of each morning, for as long as it is not stopped.

A lost database or a full disk is waited out, told in the log and by the heartbeat, and never ends it.
"""

import logging
import threading
import time
from datetime import timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandParser
from django.db import Error as DatabaseTrouble
from django.db import close_old_connections, connections
from django.utils import timezone
from django.utils.crypto import get_random_string
from django_tasks_db.management.commands.db_worker import Worker

from firewood_site.backups import back_up, prune
from firewood_site.clock import now, today
from firewood_site.daily import daily_work
from firewood_site.heartbeats import DAILY, WORKER, beat, heartbeat, only_one
from inventory.selectors import species as own_species
from orders.services.letters import send_due
from routing.services.jobs import close_dead

BEAT_SECONDS = 5.0
LONGEST_WAIT = 30.0
AFTER_FAILURE = timedelta(minutes=15)
MORNING_HOUR = 4  # local time: before anybody loads a truck

logger = logging.getLogger("firewood.worker")


class Command(BaseCommand):
    help = "Plans in the background, sends letters, and does the work of each morning, until stopped."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--once", action="store_true", help="one round of everything, then end")

    def handle(self, *args: Any, **options: Any) -> None:
        if not settings.SENDS_EMAIL:
            self.stdout.write(
                "No e-mail is set up: letters are queued, not sent. Set EMAIL=smtp and EMAIL_HOST."
            )
        once = bool(options["once"])
        if once:
            one_round()
            _tasks(once=True).run()
            return
        threading.Thread(target=_rounds, name="rounds", daemon=True).start()
        worker = _tasks(once=False)
        worker.configure_signals()
        keep_running(worker)


def keep_running(worker: Worker, *, first_wait: float = 1.0) -> None:
    """Run the tasks of the queues; after lost connections and full disks, again and again."""
    wait = first_wait
    while worker.running:
        began = time.monotonic()
        try:
            worker.run()
        except (DatabaseTrouble, OSError) as error:
            logger.warning("The worker waits %.0f s and goes on: %s", wait, error)
            beat(WORKER, problem=str(error))
            connections.close_all()
            time.sleep(wait)
            wait = first_wait if time.monotonic() - began > LONGEST_WAIT else min(2 * wait, LONGEST_WAIT)


def one_round() -> None:
    """Letters that are due, plannings whose worker died, and once a day the work of the morning.

    Whatever goes wrong in one of them is logged and shown, and the others are done all the same.
    """
    own_species.forget()  # another process may have written figures
    problems = []
    for step in (_send_letters, _close_dead, _morning):
        try:
            step()
        except Exception as error:
            logger.exception("%s failed", step.__name__)
            problems.append(str(error) or type(error).__name__)
            connections.close_all()
    beat(WORKER, problem="; ".join(problems))


def _rounds() -> None:
    while True:
        try:
            close_old_connections()
            one_round()
        except Exception:  # a thread that ended would leave letters and mornings undone until somebody looks
            logger.exception("A round of the worker failed")
        time.sleep(BEAT_SECONDS)


def _send_letters() -> None:
    send_due(at=timezone.now())


def _close_dead() -> None:
    close_dead(at=timezone.now())


def _morning() -> None:
    with only_one(DAILY) as is_ours:
        if is_ours:
            _work_of_the_morning()


def _work_of_the_morning() -> None:
    local = timezone.localtime()
    last = heartbeat(DAILY)
    if last is not None:
        is_done = timezone.localtime(last.at).date() >= local.date() and not last.problem
        is_too_soon = local.hour < MORNING_HOUR or (last.problem and local - last.at < AFTER_FAILURE)
        if is_done or is_too_soon:
            return
    try:
        daily_work(on=today(), at=now())
        if settings.BACKUP_DIR:
            back_up(Path(settings.BACKUP_DIR), local)
            prune(Path(settings.BACKUP_DIR), keep=settings.BACKUP_KEEP)
    except Exception as error:
        beat(DAILY, problem=str(error) or type(error).__name__)
        raise
    beat(DAILY)


def _tasks(*, once: bool) -> Worker:
    return Worker(
        queue_names=["*"],
        interval=1.0,
        batch=once,
        backend_name="default",
        startup_delay=False,
        max_tasks=None,
        worker_id=get_random_string(32),
        excluded_queue_names=[],
    )

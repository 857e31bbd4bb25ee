"""What must work behind the pages, looked at one by one: for /health and for Today."""

import shutil
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.db import Error as DatabaseTrouble
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from firewood_site.heartbeats import BACKUP, DAILY, WORKER, Heartbeat, heartbeat
from inventory.selectors.spoken import full_date
from orders.selectors.letters import waiting_letters
from routing.engines import roads_state

WORKER_SILENT = timedelta(minutes=2)
DAILY_LATE = timedelta(hours=30)
BACKUP_OLD = timedelta(hours=50)  # one nightly copy may fail before anybody is bothered
DISK_LOW_BYTES = 500_000_000  # estimate: a week of photos and copies of a busy seller


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One thing that must work, in words; the problem is empty where it does."""

    name: str
    problem: str


def is_up() -> Check:
    """Whether pages can be answered at all: the database answers, and its tables are those of this code."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
        behind = _missing_migrations()
    except DatabaseTrouble as error:
        return Check(name="database", problem=f"The database does not answer: {error}")
    if behind:
        return Check(name="database", problem="The tables are older than the app: run manage.py migrate.")
    return Check(name="database", problem="")


def checks(*, at: datetime) -> tuple[Check, ...]:
    """Everything behind the pages but the database.

    Units
        at: the wall clock, also where the seller's day is pinned.
    """
    return (
        Check(name=gettext_noop("worker"), problem=_worker(heartbeat(WORKER), at)),
        Check(name=gettext_noop("each morning"), problem=_daily(heartbeat(DAILY), at)),
        Check(name=gettext_noop("mail"), problem=_mail()),
        Check(name=gettext_noop("roads"), problem=roads_state()),
        Check(name=gettext_noop("disk"), problem=_disk()),
        Check(name=gettext_noop("backup"), problem=_backup(heartbeat(BACKUP), at)),
    )


def _worker(last: Heartbeat | None, at: datetime) -> str:
    if last is None or at - last.at > WORKER_SILENT:
        if not last:
            return _("The worker is not running: no letters go out and large days are not planned.")
        since = f"{last.at:%Y-%m-%d %H:%M} UTC"
        return _(
            "The worker is not running since {since}: no letters go out and large days are not planned."
        ).format(since=since)
    return _("The worker has trouble: {problem}").format(problem=last.problem) if last.problem else ""


def _daily(last: Heartbeat | None, at: datetime) -> str:
    if last is None or at - last.at > DAILY_LATE:
        return _(
            "The work of the morning was not done: unpaid holds did not lapse, no reminders were written."
        )
    return _("The morning work failed: {problem}").format(problem=last.problem) if last.problem else ""


def _mail() -> str:
    waiting = waiting_letters()
    if not settings.SENDS_EMAIL:
        said, count = _("No e-mail is set up: {count} letters are queued, not sent."), waiting.unsent
    else:
        said, count = _("{count} letters could not be sent yet."), waiting.failing
    return said.format(count=count) if count else ""


def _disk() -> str:
    free = shutil.disk_usage(Path(settings.DATA_DIR)).free
    said = _("The disk is nearly full: {free} MB left.")
    return said.format(free=f"{free / 1e6:,.0f}") if free < DISK_LOW_BYTES else ""


def _backup(last: Heartbeat | None, at: datetime) -> str:
    if settings.DEMO:
        return ""
    if last is None:
        return _("There is no copy of the books yet: run manage.py backup each night.")
    if at - last.at > BACKUP_OLD:
        return _("The last copy of the books was made {day}.").format(day=full_date(last.at))
    return ""


def _missing_migrations() -> bool:
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))

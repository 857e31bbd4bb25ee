"""The work of each morning: unpaid holds lapse, reminders are written, what nobody needs any more goes, and
once a week the season ahead is planned anew.

Every step may run twice, and in two workers at once, without harm.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from allauth.usersessions.models import UserSession
from django.contrib.sessions.models import Session
from django.core.management import call_command
from django.db import transaction
from django.tasks import TaskResultStatus, task_backends
from django.utils import timezone
from django_tasks_db import DatabaseBackend
from django_tasks_db.models import DBTaskResult

from firewood_site.calling_off import tell_ended
from firewood_site.letters import remind
from firewood_site.staff_door import LOG_INS
from inventory.services import audit
from orders.services.lapsing import lapse_unpaid
from orders.services.quotes import forget_old_quotes
from orders.services.waiting import forget_told
from routing.selectors.season.outlook import outlook_is_due
from routing.services.kept_legs import forget_legs_of_other_maps, forget_legs_to_nowhere
from routing.services.old_plans import forget_old_plans
from routing.services.paces import learn_paces
from routing.tasks import plan_season_in_background

KEEP_QUOTES = timedelta(days=90)  # after their last day; an order keeps its own
KEEP_LOG_INS = timedelta(days=400)
KEEP_CUT_OFF = timedelta(days=14)  # tasks whose worker was killed: nobody else ends them


@dataclass(frozen=True, slots=True, kw_only=True)
class DoneToday:
    lapsed: int
    reminded: int
    forgotten: int


def daily_work(*, on: date, at: datetime) -> DoneToday:
    """Do it all for one day of the seller's."""
    with transaction.atomic():
        lapsed = lapse_unpaid(on=on, at=at)
        for number in lapsed:
            tell_ended(number, "cancelled", at=at)
    reminded = remind(on=on, at=at)
    forgotten = forget_old_quotes(before=on - KEEP_QUOTES)
    forget_told(at=at)
    forget_legs_to_nowhere()
    forget_legs_of_other_maps()
    forget_old_plans(on=on, at=at)
    learn_paces(on=on)
    audit.forget_door(LOG_INS, before=at - KEEP_LOG_INS)
    if outlook_is_due(on):
        plan_season_in_background.enqueue(on.isoformat())
    call_command("clearsessions", verbosity=0)
    UserSession.objects.exclude(session_key__in=Session.objects.values("session_key")).delete()
    if isinstance(task_backends["default"], DatabaseBackend):
        call_command("prune_db_task_results", queue_name="*", verbosity=0)
        cut_off = DBTaskResult.objects.filter(status=TaskResultStatus.RUNNING)
        cut_off.filter(started_at__lt=timezone.now() - KEEP_CUT_OFF).delete()
    return DoneToday(lapsed=len(lapsed), reminded=reminded, forgotten=forgotten)

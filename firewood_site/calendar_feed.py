"""The committed days as a calendar (RFC 5545) that a phone's calendar asks for by a signed link.

The link is its seller's own: it names them and hangs on their password, so a new password, or a sign-in taken
away, ends it. It gives names and towns, no address and no phone number.
"""

from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction

from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractBaseUser, AnonymousUser
from django.core import signing
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import constant_time_compare
from django.views.decorators.http import require_safe
from icalendar import Calendar, Event

from firewood_site.access import is_seller, private
from firewood_site.clock import now, today
from firewood_site.templatetags.firewood import clock
from inventory.core.units import format_cords
from inventory.selectors.business import business
from routing.selectors.days.calendar import calendar_runs
from routing.selectors.runs.run_rows import WholeRun

SALT = "firewood.calendar"
LINK_DAYS = 400
PAST, AHEAD = timedelta(days=30), timedelta(days=90)
MARK_LETTERS = 20  # of the hash that hangs on the password
ASK_AGAIN = "PT1H"


def feed_link(user: AbstractBaseUser | AnonymousUser) -> str:
    """The address a seller gives to their calendar."""
    mark = _mark(user) if isinstance(user, AbstractBaseUser) else ""
    token = signing.dumps([user.pk, mark], salt=SALT)
    return f"{settings.SITE_URL}{reverse('calendar-feed', args=[token])}"


@private
@require_safe
def feed(request: HttpRequest, token: str) -> HttpResponse:
    """Committed runs of the last month and the coming three."""
    if _owner(token) is None:
        raise Http404("This calendar link is not valid any more: take a new one from the delivery days.")
    seller = business()
    diary = Calendar()
    diary.add("prodid", f"-//{seller.name}//firewood//EN")
    diary.add("version", "2.0")
    diary.add("x-wr-calname", f"{seller.name}, deliveries")
    diary.add("refresh-interval;value=duration", ASK_AGAIN)
    for run in calendar_runs(today() - PAST, today() + AHEAD):
        diary.add_component(_event(run, seller.name))
    return HttpResponse(diary.to_ical(), content_type="text/calendar; charset=utf-8")


def _owner(token: str) -> AbstractBaseUser | None:
    try:
        pk, mark = signing.loads(token, salt=SALT, max_age=timedelta(days=LINK_DAYS))
    except (signing.BadSignature, ValueError, TypeError):
        return None
    user = get_user_model().objects.filter(pk=pk, is_active=True).first()
    is_theirs = user is not None and is_seller(user) and constant_time_compare(str(mark), _mark(user))
    return user if is_theirs else None


def _mark(user: AbstractBaseUser) -> str:
    return user.get_session_auth_hash()[:MARK_LETTERS]


def _event(run: WholeRun, seller: str) -> Event:
    count = len(run.stops)
    cords = sum((stop.cords for stop in run.stops), Fraction(0))
    entry = Event()
    entry.add("uid", f"run-{run.on}-{run.rig_id}@{seller.lower().replace(' ', '-')}.example")
    entry.add("summary", f"{run.rig}: {count} drop{'' if count == 1 else 's'}, {format_cords(cords)}")
    entry.add("dtstart", _instant(run.on, run.leaves_at))
    entry.add("dtend", _instant(run.on, run.home_at))
    entry.add("dtstamp", (run.committed_at or now()).astimezone(UTC))
    entry.add("sequence", run.version)
    entry.add("location", run.home.name)
    lines = [f"Driver: {run.driver_name}"] if run.driver_name else []
    lines += [f"{clock(stop.begin_at)} {stop.customer}, {stop.town or ''}" for stop in run.stops]
    entry.add("description", "\n".join([*lines, f"{settings.SITE_URL}{reverse('day', args=[f'{run.on}'])}"]))
    return entry


def _instant(on: date, at: time | None) -> datetime:
    return datetime.combine(on, at or time(), tzinfo=timezone.get_current_timezone()).astimezone(UTC)

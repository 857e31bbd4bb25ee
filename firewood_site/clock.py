"""The clock that pages, tasks and commands read. The demo stands still on its own day."""

from datetime import date, datetime, time, timedelta
from typing import Any

from django.http import HttpRequest
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from firewood_site.refusals import PageRefusal
from inventory.selectors.business import business

AHEAD = timedelta(minutes=5)
OLDEST = timedelta(days=366)
STANDS_AT = time(7)
MINUTES_A_DAY = 24 * 60


class BadMoment(PageRefusal):
    """A phone's clock that says no time there is."""


def today() -> date:
    """The seller's date: the demo's pinned day where one is set."""
    return business().pinned_today or timezone.localdate()


def now() -> datetime:
    """This instant; on a pinned day the clock stands with the date, at seven, before the first run leaves.

    All of a real day passes within that minute, so that what is done first is written first.
    """
    instant = timezone.now()
    pinned = business().pinned_today
    if pinned is None:
        return instant
    local = timezone.localtime(instant)
    gone = timedelta(
        hours=local.hour, minutes=local.minute, seconds=local.second, microseconds=local.microsecond
    )
    return timezone.make_aware(datetime.combine(pinned, STANDS_AT)) + gone / MINUTES_A_DAY


def signed(request: HttpRequest) -> dict[str, Any]:
    """When a step is taken and by whom, as the books note it."""
    return {"at": now(), "who": request.user.get_username()}


def phone_time(text: str) -> datetime:
    """When it happened by the phone's clock; now when it does not say or lies ahead.

    On the demo's pinned day only the phone's time of day counts.

    Errors
        BadMoment: no date and time there is, or one of more than a year ago.
    """
    present = now()
    if not text:
        return present
    try:
        said = parse_datetime(text)
        if said is None:
            raise ValueError(text)
        said = timezone.localtime(said if timezone.is_aware(said) else timezone.make_aware(said))
    except (ValueError, OverflowError) as error:
        raise BadMoment(
            "{given!r} is no date and time: set the phone's clock and send it again.", given=text[:40]
        ) from error
    if said > timezone.now() + AHEAD:
        return present
    pinned = business().pinned_today
    if pinned is not None:
        return timezone.make_aware(datetime.combine(pinned, said.time().replace(microsecond=0)))
    if said < present - OLDEST:
        raise BadMoment(
            "{day} is more than a year ago: set the phone's clock and send it again.", day=said.date()
        )
    return said

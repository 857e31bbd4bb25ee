"""The clock that pages, tasks and commands read. The demo stands still on its own day."""

from datetime import date, datetime, time

from django.utils import timezone

from inventory.selectors.business import business


def today() -> date:
    """The seller's date: the demo's pinned day where one is set."""
    return business().pinned_today or timezone.localdate()


def now() -> datetime:
    """This instant; on a pinned day, that day at the present time of day."""
    instant = timezone.now()
    pinned = business().pinned_today
    if pinned is None:
        return instant
    local = timezone.localtime(instant)
    return timezone.make_aware(datetime.combine(pinned, time(local.hour, local.minute, local.second)))

"""What to see before a planned day is committed: past days, dates nobody asked for, two drivers."""

from collections import defaultdict
from datetime import date
from itertools import combinations
from math import comb

from django.db.models import Q
from django.utils.translation import gettext as _

from inventory.selectors.spoken import listed, short_day
from routing.models import Run, Stop


def day_warnings(first: date, last: date, *, today: date | None = None) -> dict[date, tuple[str, ...]]:
    """Whole sentences for each planned day between two dates; two queries.

    today: drafts of earlier days are warned of; None leaves that out.
    """
    found: dict[date, list[str]] = defaultdict(list)
    runs = Run.objects.filter(day__on__range=(first, last), loads__isnull=False).distinct()
    by_day: dict[date, list[Run]] = defaultdict(list)
    for run in runs.select_related("day", "rig").order_by("day__on", "leaves_at", "rig_id"):
        by_day[run.day.on].append(run)
    for on, out in by_day.items():
        if today is not None and on < today and out[0].day.state == "draft":
            found[on].append(_("This day is past: what is planned here can't be driven any more."))
        pairs = [
            pair for pair in combinations(out, 2)
            if _overlap(*pair) and not (pair[0].driver_id and pair[1].driver_id)
        ]  # fmt: skip
        named = [run.rig.name for run in out if any(run in pair for pair in pairs)]
        if len(named) > 2 and len(pairs) == comb(len(named), 2):
            said = _("{rigs} are out at the same time: that takes {count} drivers.")
            found[on].append(said.format(rigs=listed(named), count=len(named)))
            continue
        for one, other in pairs:
            both = listed([one.rig.name, other.rig.name])
            found[on].append(_("{rigs} are out at the same time: that takes two drivers.").format(rigs=both))
    outside = Stop.objects.filter(load__run__day__on__range=(first, last), state=Stop.State.PLANNED).filter(
        Q(load__run__day__state="draft")
    )
    rows = outside.order_by("load__run__day__on", "order__number").values_list(
        "load__run__day__on", "order__number", "order__customer__name", "order__first_on", "order__last_on",
        "order__promised_on",
    )  # fmt: skip
    for on, number, customer, first_on, last_on, promised_on in rows.distinct():
        if on != promised_on and not first_on <= on <= last_on:
            days = short_day(first_on)
            if last_on != first_on:
                days = _("{first} to {last}").format(first=days, last=short_day(last_on))
            said = _("Order {number} of {customer} asked for {days}, not for this day.")
            found[on].append(said.format(number=number, customer=customer, days=days))
    return {on: tuple(sentences) for on, sentences in found.items()}


def _overlap(one: Run, other: Run) -> bool:
    if not (one.leaves_at and one.home_at and other.leaves_at and other.home_at):
        return False
    return one.leaves_at < other.home_at and other.leaves_at < one.home_at

"""What is closed, when and why."""

from dataclasses import dataclass
from datetime import date, time, timedelta

from django.db.models import Q
from django.utils.translation import gettext

from inventory.core.rows import from_row
from inventory.models import Yard
from orders.models import Town
from routing.models import Shut


@dataclass(frozen=True, slots=True, kw_only=True)
class ShutRow:
    """A closure. No hours means all day."""

    id: int
    kind: str
    kind_words: str
    yard_id: int | None
    town_id: int | None
    what: str
    from_on: date
    to_on: date
    from_time: time | None
    to_time: time | None
    reason: str
    is_now: bool
    is_over: bool


def shuts(on: date, *, past_days: int = 365) -> tuple[ShutRow, ...]:
    """Closures now, to come, and of the last while; newest first, in one query."""
    rows = Shut.objects.select_related("yard", "town").filter(to_on__gte=on - timedelta(days=past_days))
    return tuple(_row(row, on) for row in rows)


def shuts_on(on: date, *, last: date | None = None) -> tuple[ShutRow, ...]:
    """Closures that fall on a day, or on any day up to `last`, in one query."""
    rows = Shut.objects.select_related("yard", "town").filter(from_on__lte=last or on, to_on__gte=on)
    return tuple(_row(row, on) for row in rows)


def places_to_shut() -> tuple[tuple[tuple[int, str], ...], tuple[tuple[int, str], ...]]:
    """Yards and towns to choose from, each by id and name."""
    yards = tuple(Yard.objects.order_by("name").values_list("id", "name"))
    towns = tuple(Town.objects.filter(~Q(name="")).order_by("name").values_list("id", "name"))
    return yards, towns


def _row(row: Shut, on: date) -> ShutRow:
    name = row.yard.name if row.yard else row.town.name if row.town else ""
    return from_row(
        ShutRow,
        row,
        kind_words=gettext(row.get_kind_display()),
        what=", ".join(part for part in (name, row.what) if part),
        is_now=row.from_on <= on <= row.to_on,
        is_over=row.to_on < on,
    )

"""Sheets of work as they were logged."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.utils.text import capfirst

from inventory.core.work_sheet import sheet_words
from inventory.models import LoggedWork
from inventory.selectors.spoken import in_language

SHOWN = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedRow:
    """One sheet. about: what its photo shows, "lot K1" or "unit Knob"."""

    key: UUID
    on: date
    text: str
    lot: str
    about: str
    has_photo: bool
    who: str


def logged_rows() -> tuple[LoggedRow, ...]:
    """The latest sheets that stand, newest first."""
    rows = LoggedWork.objects.select_related("lot").prefetch_related("entries__unit")
    return tuple(_row(row) for row in rows.filter(taken_back_at__isnull=True)[:SHOWN])


def logged_sheet(key: str) -> LoggedRow | None:
    """One sheet by its key; None where there is none, or the key is no key."""
    try:
        row = LoggedWork.objects.select_related("lot").filter(pk=UUID(key)).first()
    except ValueError:
        return None
    return _row(row) if row else None


def _row(row: LoggedWork) -> LoggedRow:
    unit = next((entry.unit.name for entry in row.entries.all() if entry.unit), "")
    about = f"lot {row.lot.code}" if row.lot else f"unit {unit}" if unit else f"work {row.pk}"
    return LoggedRow(
        key=row.pk,
        on=row.on,
        text=capfirst(in_language(sheet_words(row.said))) if row.said else row.text,
        lot=row.lot.code if row.lot else "",
        about=about,
        has_photo=row.photo_id is not None,
        who=row.who,
    )

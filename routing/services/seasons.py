"""Months from before the books began, kept as totals so that a season can be read whole."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.services import audit
from routing.models import BroughtForward

COLUMNS = ("label", "covers_until", "cords", "revenue", "miles", "delivery_hours", "yard_hours", "cash_out")


@transaction.atomic
def bring_forward(*, months: Sequence[dict[str, Any]], at: datetime, who: str) -> None:
    """Write months' totals, all or none; the same month again is corrected.

    Shapes
        months: of each "month", any day of it, and COLUMNS.
    Errors
        ValidationError: a value a column refuses.
    """
    for values in months:
        _bring_one(values, at=at, who=who)


def _bring_one(values: dict[str, Any], *, at: datetime, who: str) -> None:
    month = values["month"].replace(day=1)
    row = BroughtForward.objects.filter(month=month).first() or BroughtForward(month=month)
    for name in COLUMNS:
        if name in values:
            setattr(row, name, values[name])
    row.full_clean()
    row.save()
    after = {name: str(getattr(row, name)) for name in COLUMNS}
    audit.note(at=at, who=who, verb="brought forward", thing=f"month {month:%Y-%m}", after=after)


@transaction.atomic
def forget_month(*, month_id: int, at: datetime, who: str) -> None:
    """Take a month's totals out again; nothing happens when they are gone already."""
    row = BroughtForward.objects.filter(pk=month_id).first()
    if row is not None:
        row.delete()
        audit.note(at=at, who=who, verb="forgot", thing=f"month {row.month:%Y-%m}")

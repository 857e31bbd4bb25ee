"""Yards and ground: where wood is kept and where it is cut."""

from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.models import Unit, Yard
from inventory.services.audit import note as audit_note
from inventory.services.moves import NoSuchYard
from inventory.services.work import NoSuchUnit

YARD_COLUMNS = (
    "name", "lat", "lon", "note", "opens_at", "closes_at", "load_fixed_minutes", "load_minutes_per_cord",
    "room_cords", "rent_month", "has_signal", "takes_big_trailer", "soft_when_wet", "pick_up_here",
)  # fmt: skip
UNIT_COLUMNS = (
    "name", "premises", "acres", "acres_left", "started_on", "finished_on", "notified_on", "saw_log_dollars",
    "cost_share_dollars", "cost_share_approved_on", "cost_share_until", "cost_share_paid_on", "hire_out_low",
    "hire_out_high", "slash", "slash_method", "slash_by", "slash_done_on", "plot_size", "plots", "note",
)  # fmt: skip


@transaction.atomic
def save_yard(*, yard_id: int | None, values: dict[str, Any], at: datetime, who: str) -> int:
    """Write a yard, a new one without an id; its id.

    Errors
        NoSuchYard
        ValidationError: a name taken, or closing before opening.
    """
    row = Yard() if yard_id is None else Yard.objects.filter(pk=yard_id).first()
    if row is None:
        raise NoSuchYard(yard=yard_id or "")
    return _save(row, YARD_COLUMNS, values, what="yard", at=at, who=who)


@transaction.atomic
def save_unit(*, unit_id: int | None, values: dict[str, Any], at: datetime, who: str) -> int:
    """Write a patch of ground, a new one without an id; its id.

    Errors
        NoSuchUnit
        ValidationError: a name taken, or no acres.
    """
    row = Unit() if unit_id is None else Unit.objects.filter(pk=unit_id).first()
    if row is None:
        raise NoSuchUnit(unit_id=unit_id or 0)
    return _save(row, UNIT_COLUMNS, values, what="unit", at=at, who=who)


def _save(
    row: Yard | Unit, columns: tuple[str, ...], values: dict[str, Any], *, what: str, at: datetime, who: str
) -> int:
    is_new = row.pk is None
    before = {} if is_new else {name: str(getattr(row, name)) for name in columns}
    for name in columns:
        if name in values:
            setattr(row, name, values[name])
    row.full_clean()
    row.save()
    after = {name: str(getattr(row, name)) for name in columns}
    if before != after:
        changed = {name for name in columns if before.get(name) != after[name]}
        audit_note(
            at=at, who=who, verb="added" if is_new else "changed", thing=f"{what} {row.name}",
            before={name: value for name, value in before.items() if name in changed},
            after={name: value for name, value in after.items() if name in changed},
        )  # fmt: skip
    return row.pk

"""Hours and money of the woods, as remembered."""

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from inventory.core import InventoryError
from inventory.core.hours import Hours
from inventory.core.rows import columns_of
from inventory.models import Expense, LoggedWork, Lot, Unit, WorkEntry
from inventory.services.audit import note as audit_note
from inventory.services.ledger import lot_by_code


class BadGuess(InventoryError):
    """A guess whose low is above its likely, or its likely above its high."""

    says = "{low:f}, {likely:f} and {high:f} hours are out of order: least first, most last, none below 0."


class NoSuchEntry(InventoryError):
    says = "That entry was taken back meanwhile: log it anew."


class NoSuchUnit(InventoryError):
    says = "There is no such ground: choose one from the list."


@transaction.atomic
def add_work(
    *,
    on: date,
    job: str,
    hours: Hours,
    at: datetime,
    who: str,
    lot_code: str = "",
    unit_id: int | None = None,
    cords: str = "",
    note: str = "",
    worker: str = "",
    logged: LoggedWork | None = None,
) -> int:
    """Keep hours as a range; the entry's number.

    worker: whose hours they are; empty: of who writes them.

    Errors
        BadGuess, NoSuchLot, NoSuchUnit
    """
    lot = _lot(lot_code)
    row = WorkEntry(
        on=on, job=job, **_columns(hours), lot=lot, unit_id=_unit_id(unit_id, lot), cords=cords,
        who=worker or who, note=note, logged=logged,
    )  # fmt: skip
    row.full_clean(exclude=["lot", "unit", "logged"])
    row.save()
    audit_note(
        at=at, who=who, verb="logged work", thing=f"work {row.pk}",
        after={"job": row.get_job_display(), "hours": str(hours.likely)},
    )  # fmt: skip
    return row.pk


@transaction.atomic
def correct_work(
    *,
    entry_id: int,
    on: date,
    job: str,
    hours: Hours,
    at: datetime,
    who: str,
    lot_code: str = "",
    unit_id: int | None = None,
    cords: str = "",
    note: str = "",
) -> None:
    """Put an entry right; the trail keeps what stood there before.

    Errors
        BadGuess, NoSuchLot, NoSuchUnit
        NoSuchEntry: somebody took it back meanwhile.
    """
    row = WorkEntry.objects.select_related("lot", "unit").filter(pk=entry_id).first()
    if row is None:
        raise NoSuchEntry
    lot = _lot(lot_code)
    told = {
        "on": on, "job": job, **_columns(hours), "lot": lot, "unit_id": _unit_id(unit_id, lot),
        "cords": cords, "note": note,
    }  # fmt: skip
    before = {name: str(getattr(row, name)) for name, value in told.items() if getattr(row, name) != value}
    for name in before:
        setattr(row, name, told[name])
    row.full_clean(exclude=["lot", "unit", "logged"])
    row.save()
    if before:
        after = {name: str(told[name]) for name in before}
        audit_note(at=at, who=who, verb="put right", thing=f"work {entry_id}", before=before, after=after)


@transaction.atomic
def add_expense(
    *,
    on: date,
    line: str,
    dollars: Decimal,
    kind: str,
    at: datetime,
    who: str,
    lot_code: str = "",
    unit_id: int | None = None,
    job: str = "",
    note: str = "",
) -> int:
    """Keep money that went out: by the cord, the mile or the year; the row's number.

    job: of `WorkEntry.Job`, the work it paid for; empty when it is for none in particular.

    Errors
        NoSuchLot, NoSuchUnit
    """
    lot = _lot(lot_code)
    row = Expense(
        on=on,
        line=line.strip(),
        dollars=dollars,
        kind=kind,
        job=job,
        lot=lot,
        unit_id=_unit_id(unit_id, lot),
        note=note,
    )
    row.full_clean(exclude=["lot", "unit"])
    row.save()
    audit_note(
        at=at, who=who, verb="spent", thing=f"expense {row.pk}", after={"line": line, "dollars": str(dollars)}
    )
    return row.pk


@transaction.atomic
def remove_work(*, entry_id: int, at: datetime, who: str) -> None:
    """Take back an entry written by mistake; the trail keeps it."""
    row = WorkEntry.objects.filter(pk=entry_id).first()
    if row is not None:
        audit_note(
            at=at, who=who, verb="took back work", thing=f"work {entry_id}",
            before={"on": row.on.isoformat(), "job": row.job, "hours": str(row.hours_likely)},
        )  # fmt: skip
        row.delete()


@transaction.atomic
def remove_expense(*, expense_id: int, at: datetime, who: str) -> None:
    """Take back an expense written by mistake; the trail keeps it."""
    row = Expense.objects.filter(pk=expense_id).first()
    if row is not None:
        audit_note(
            at=at, who=who, verb="took back an expense", thing=f"expense {expense_id}",
            before={"on": row.on.isoformat(), "line": row.line, "dollars": str(row.dollars)},
        )  # fmt: skip
        row.delete()


def _columns(hours: Hours) -> dict[str, Decimal]:
    """Hours as an entry keeps them.

    Errors
        BadGuess
    """
    if not 0 <= hours.low <= hours.likely <= hours.high:
        raise BadGuess(low=hours.low, likely=hours.likely, high=hours.high)
    return {f"hours_{end}": hour for end, hour in columns_of(Hours, hours).items()}


def _lot(code: str) -> Lot | None:
    return lot_by_code(code) if code else None


def _unit_id(unit_id: int | None, lot: Lot | None) -> int | None:
    """The ground named, else the lot's own."""
    if unit_id is None:
        return lot.unit_id if lot else None
    if not Unit.objects.filter(pk=unit_id).exists():
        raise NoSuchUnit(unit_id=unit_id)
    return unit_id

"""A morning's work on one sheet: lot, steps, hours, amount and move written together, once, and taken back
together."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils.text import capfirst

from inventory.core.gaps import Joined
from inventory.core.stock import Haul
from inventory.core.units import format_cords
from inventory.core.work_sheet import sheet_words
from inventory.models import LoggedWork, Lot, Photo, WorkEntry
from inventory.services.counts import add_wood, correct_count
from inventory.services.ledger import lot_by_code
from inventory.services.lots import open_lot
from inventory.services.measures import save_measurement
from inventory.services.moves import move_wood
from inventory.services.parts import Storage, change_storage, take_step
from inventory.services.sheets import (
    JOBS,
    Amount,
    NothingLogged,
    Sheet,
    amount_of,
    check_sheet,
    facts_of,
    meant_by,
    new_lot_of,
)
from inventory.services.work import add_work

NOTHING_NEW = {("bucked", Lot.Form.ROUNDS), ("bucked", Lot.Form.SPLITS), ("split", Lot.Form.SPLITS)}
COLUMNS = (  # of a lot, what a step may change
    "form", "piling", "exposure", "is_covered", "across_inches", "wood", "bucked_on", "split_on", "yard_id",
    "lay_before",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Logged:
    """What became of a sheet."""

    key: UUID
    lot_code: str
    text: Joined | str  # a sheet of earlier days kept its English alone
    is_new: bool


@transaction.atomic
def log_work(*, sheet: Sheet, key: UUID, at: datetime, who: str, haul: Haul | None = None) -> Logged:
    """Write a sheet, once: the same key again changes nothing and says what it said.

    Errors
        NothingLogged, and what the steps themselves refuse: nothing is written then.
    """
    known = LoggedWork.objects.select_related("lot").filter(pk=key).first()
    if known is not None:
        code = known.lot.code if known.lot else ""
        text = sheet_words(known.said) if known.said else known.text
        return Logged(key=key, lot_code=code, text=text, is_new=False)
    check_sheet(sheet)
    row, is_new = LoggedWork.objects.get_or_create(
        key=key, defaults={"on": sheet.on, "made_at": at, "who": who[:80], "text": "being written"}
    )
    if not is_new:
        return Logged(key=key, lot_code="", text=row.text, is_new=False)
    told: dict[str, Any] = {"on": sheet.on, "at": at, "who": who, "logged": row}
    code = _write_wood(sheet, row, told, haul) if sheet.lot_code or sheet.new_heap else ""
    _write_hours(sheet, row, code=code, at=at, who=who)
    row.lot = lot_by_code(code) if code else None
    row.said = facts_of(sheet, code)
    row.text = capfirst(str(sheet_words(row.said)))[:300]
    row.save()
    return Logged(key=key, lot_code=code, text=sheet_words(row.said), is_new=True)


@transaction.atomic
def keep_log_photo(*, key: UUID, photo_id: int) -> None:
    """Tie a photo to its sheet; the first one stays."""
    photo = Photo.objects.filter(pk=photo_id).first()
    LoggedWork.objects.filter(pk=key, photo__isnull=True).update(photo=photo)


def _write_wood(sheet: Sheet, row: LoggedWork, told: dict[str, Any], haul: Haul | None) -> str:
    """Lot, amount and steps; the code of the lot that now holds the wood."""
    undo: dict[str, Any] = {"opened": sheet.new_heap is not None, "added": "0"}
    part: Fraction | None = None
    amount = amount_of(sheet)
    steps = sheet.steps
    if sheet.new_heap:
        code = open_lot(lot=new_lot_of(sheet, sheet.new_heap), **told)
        undo["added"] = str(_count(sheet, code, told, is_added=True))
        before = _columns(lot_by_code(code))
        steps = tuple(step for step in steps if step not in ("fell", "split"))
    else:
        code = sheet.lot_code
        before = _columns(lot_by_code(code))
        meant = meant_by(sheet, lot_by_code(code))
        if amount is None or meant != Amount.WORKED:
            undo["added"] = str(_count(sheet, code, told, is_added=meant != Amount.ALL))
        else:
            part = amount
        if meant == Amount.MORE and amount is None and {"split", "stack"} & set(steps):
            raise NothingLogged("Say how much it was: what was felled and split is new wood.", field="cords")
        if meant == Amount.MORE:  # the work made the wood that came; what lay there is as it was
            steps = tuple(step for step in steps if step in ("cover", "move"))
    result = _take_steps(code, steps, part, sheet, told, haul)
    if result != code:
        undo |= {"part": result, "part_cords": str(lot_by_code(result).on_hand_cords)}
    else:
        after = _columns(lot_by_code(code))
        changed = [name for name in COLUMNS if before[name] != after[name]]
        undo["before"] = {name: before[name] for name in changed}
        undo["after"] = {name: after[name] for name in changed}
    row.undo = {"lot": code, **undo}
    return result


def _take_steps(
    code: str, steps: tuple[str, ...], part: Fraction | None, sheet: Sheet, told: dict[str, Any],
    haul: Haul | None,
) -> str:  # fmt: skip
    """Each step in the order of the work; the first one that parts a lot takes the amount."""
    for taken in _ordered(steps, sheet):
        lot = lot_by_code(code)
        if taken == "moved":
            code = move_wood(code=code, to_yard_id=sheet.to_yard_id or 0, cords=part, haul=haul, **told)
        elif taken == "covered":
            change_storage(code=code, storage=Storage(is_covered=True), **told)
            continue
        elif (taken, lot.form) in NOTHING_NEW and (taken == "bucked" or part is None):
            continue  # hours that went into wood which is in the books already, as it came out of them
        else:
            code = take_step(code=code, step=taken, cords=part, **told)
        part = None
    return code


def _ordered(steps: tuple[str, ...], sheet: Sheet) -> Iterator[str]:
    taken = {"fell": "bucked", "haul": "hauled", "split": "split", "stack": "stacked", "cover": "covered"}
    moves = [step for step in ("haul", "move") if step in steps][:1] if sheet.to_yard_id else []
    for step in JOBS:
        if step in steps and step in moves:
            yield "moved"
        elif step in steps and step in taken and not (step == "haul" and moves):
            yield taken[step]


def _count(sheet: Sheet, code: str, told: dict[str, Any], *, is_added: bool) -> Fraction:
    """Write the amount down, whole where it was measured; by how much it changed the lot."""
    if sheet.measured:
        return save_measurement(
            code=code, measured=sheet.measured, is_added=is_added, note=sheet.note, **told
        )
    if sheet.cords is None:
        return Fraction(0)
    if is_added:
        return add_wood(code=code, cords=sheet.cords, reason="Logged with the work", **told)
    why = sheet.note or "Counted with the work"
    return correct_count(code=code, counted=sheet.cords, reason=why, **told)


def _write_hours(sheet: Sheet, row: LoggedWork, *, code: str, at: datetime, who: str) -> None:
    done = (JOBS[step] for step in JOBS if step in sheet.steps)
    jobs = list(dict.fromkeys(job for job in done if job))
    if not jobs or sheet.hours is None:
        return
    part = sheet.hours.shared(len(jobs))
    amount = amount_of(sheet)
    shared = f"Hours shared equally among {len(jobs)} jobs. " if len(jobs) > 1 else ""
    for person in sheet.people or (who,):
        for job in jobs:
            add_work(
                on=sheet.on, job=job, hours=part,
                lot_code="" if job == WorkEntry.Job.SLASH and sheet.unit_id else code,
                unit_id=sheet.unit_id, cords=format_cords(amount)[:20] if amount else "", at=at, who=who,
                worker=person, note=f"{shared}{sheet.note}"[:300], logged=row,
            )  # fmt: skip


def _columns(lot: Lot) -> dict[str, Any]:
    """What a step may change, as JSON keeps it."""
    found = {name: getattr(lot, name) for name in COLUMNS}
    return {
        name: str(value) if isinstance(value, (date, Decimal)) else value for name, value in found.items()
    }

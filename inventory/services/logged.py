"""A morning's work on one sheet: lot, steps, hours, amount and move written together, once, and taken back
together."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.db import transaction

from inventory.core import InventoryError
from inventory.core.hours import Hours
from inventory.core.species import species_of
from inventory.core.units import format_cords
from inventory.models import LoggedWork, Lot, Photo, Unit, WorkEntry, Yard
from inventory.services.counts import add_wood, correct_count
from inventory.services.ledger import free_lot_code, lot_by_code
from inventory.services.lots import NewLot, open_lot
from inventory.services.measures import Measured, save_measurement
from inventory.services.moves import Haul, NoSuchYard, move_wood
from inventory.services.parts import Storage, change_storage, take_step, wood_word
from inventory.services.work import add_work

JOBS = {  # what was done, in the order it is done, and the job its hours are
    "fell": WorkEntry.Job.FELL_BUCK,
    "haul": WorkEntry.Job.HAUL,
    "split": WorkEntry.Job.SPLIT,
    "stack": WorkEntry.Job.HEAP,
    "cover": WorkEntry.Job.HEAP,
    "move": WorkEntry.Job.HAUL,
    "slash": WorkEntry.Job.SLASH,
}
STEP_WORDS = {
    "fell": "felled and bucked",
    "haul": "hauled",
    "split": "split",
    "stack": "stacked",
    "cover": "covered",
    "move": "moved",
    "slash": "slash",
}
COLUMNS = (  # of a lot, what a step may change
    "form", "piling", "exposure", "is_covered", "across_inches", "wood", "bucked_on", "split_on", "yard_id",
    "lay_before",
)  # fmt: skip


class NothingLogged(InventoryError):
    """A sheet that says too little, or two things that can't both be."""

    def __init__(self, sentence: str, *, field: str) -> None:
        self.field = field
        super().__init__(sentence)


class Amount(StrEnum):
    """What the cords on a sheet are."""

    WORKED = "worked"  # the wood worked on: new where it was only felled, else a part of what lay there
    MORE = "more"  # on top of what lay there
    ALL = "all"  # everything that lies there now


@dataclass(frozen=True, slots=True, kw_only=True)
class NewHeap:
    """A heap that is not in the books yet: one kind of tree, where it lies, where it was cut."""

    species: str
    yard_id: int
    unit_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """What somebody says of a morning.

    Shapes
        steps: keys of `JOBS`. lot_code or new_heap, or neither for work on no wood. people: whose hours, each
        the whole of `hours`; nobody is whoever logs.
    """

    on: date
    steps: tuple[str, ...]
    hours: Hours
    lot_code: str = ""
    new_heap: NewHeap | None = None
    unit_id: int | None = None
    to_yard_id: int | None = None
    people: tuple[str, ...] = ()
    cords: Fraction | None = None
    measured: Measured | None = None
    amount: Amount = Amount.WORKED
    storage: Storage | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Logged:
    """What became of a sheet."""

    key: UUID
    lot_code: str
    text: str
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
        return Logged(key=key, lot_code=code, text=known.text, is_new=False)
    _check(sheet)
    row, is_new = LoggedWork.objects.get_or_create(
        key=key, defaults={"on": sheet.on, "made_at": at, "who": who[:80], "text": "being written"}
    )
    if not is_new:
        return Logged(key=key, lot_code="", text=row.text, is_new=False)
    told: dict[str, Any] = {"on": sheet.on, "at": at, "who": who, "logged": row}
    code = _write_wood(sheet, row, told, haul) if sheet.lot_code or sheet.new_heap else ""
    _write_hours(sheet, row, code=code, at=at, who=who)
    row.lot = lot_by_code(code) if code else None
    row.text = _sentence(sheet, code)[:300]
    row.save()
    return Logged(key=key, lot_code=code, text=row.text, is_new=True)


@transaction.atomic
def keep_log_photo(*, key: UUID, photo_id: int) -> None:
    """Tie a photo to its sheet; the first one stays."""
    photo = Photo.objects.filter(pk=photo_id).first()
    LoggedWork.objects.filter(pk=key, photo__isnull=True).update(photo=photo)


def _check(sheet: Sheet) -> None:
    has_wood = bool(sheet.lot_code or sheet.new_heap)
    if not sheet.steps:
        raise NothingLogged("Tap what was done.", field="steps")
    if not has_wood and set(sheet.steps) - {"fell", "slash"}:
        raise NothingLogged("Tap which wood it was.", field="wood")
    if "move" in sheet.steps and sheet.to_yard_id is None:
        raise NothingLogged("Choose the yard it was moved to.", field="to_yard")
    if sheet.new_heap and sheet.cords is None and sheet.measured is None:
        raise NothingLogged("Say how much wood is in the new heap.", field="cords")


def _write_wood(sheet: Sheet, row: LoggedWork, told: dict[str, Any], haul: Haul | None) -> str:
    """Lot, amount and steps; the code of the lot that now holds the wood."""
    undo: dict[str, Any] = {"opened": sheet.new_heap is not None, "added": "0"}
    part: Fraction | None = None
    amount = _amount(sheet)
    steps = sheet.steps
    if sheet.new_heap:
        code = open_lot(lot=_new_lot(sheet, sheet.new_heap), **told)
        undo["added"] = str(_count(sheet, code, told))
        before = _columns(lot_by_code(code))
        steps = tuple(step for step in steps if step not in ("fell", "split"))
    else:
        code = sheet.lot_code
        before = _columns(lot_by_code(code))
        meant = _meant(sheet, lot_by_code(code).form)
        if amount is None or meant != Amount.WORKED:
            undo["added"] = str(_count(sheet, code, told))
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
    for step, taken in _ordered(steps, sheet):
        lot = lot_by_code(code)
        if taken == "moved":
            code = move_wood(code=code, to_yard_id=sheet.to_yard_id or 0, cords=part, haul=haul, **told)
        elif taken == "covered":
            change_storage(code=code, storage=Storage(is_covered=True), **told)
            continue
        elif (taken, lot.form) in {("bucked", Lot.Form.ROUNDS), ("bucked", Lot.Form.SPLITS)}:
            continue  # felling more of the same wood changes nothing of what lies there
        else:
            laid = sheet.storage if step == steps[-1] else None
            code = take_step(code=code, step=taken, cords=part, storage=laid, **told)
        part = None
    return code


def _ordered(steps: tuple[str, ...], sheet: Sheet) -> Iterator[tuple[str, str]]:
    taken = {"fell": "bucked", "haul": "hauled", "split": "split", "stack": "stacked", "cover": "covered"}
    moves = [step for step in ("haul", "move") if step in steps][:1] if sheet.to_yard_id else []
    for step in JOBS:
        if step in steps and step in moves:
            yield step, "moved"
        elif step in steps and step in taken and not (step == "haul" and moves):
            yield step, taken[step]


def _amount(sheet: Sheet) -> Fraction | None:
    return sheet.measured.volume.in_cords()[1] if sheet.measured else sheet.cords


def _meant(sheet: Sheet, form: str) -> Amount:
    """What was felled is new wood; bucked logs, and what was split, hauled or stacked, lay there before."""
    if sheet.amount == Amount.WORKED and "fell" in sheet.steps and form != Lot.Form.LOGS:
        return Amount.MORE
    return sheet.amount


def _count(sheet: Sheet, code: str, told: dict[str, Any]) -> Fraction:
    """Write the amount down, whole where it was measured; by how much it changed the lot."""
    is_added = sheet.new_heap is not None or sheet.amount != Amount.ALL
    if sheet.measured:
        return save_measurement(
            code=code, measured=sheet.measured, is_added=is_added, note=sheet.note, **told
        )
    if sheet.cords is None:
        return Fraction(0)
    if is_added:
        return add_wood(code=code, cords=sheet.cords, reason="Logged with the work", **told)
    return correct_count(code=code, counted=sheet.cords, reason="Counted with the work", **told)


def _new_lot(sheet: Sheet, heap: NewHeap) -> NewLot:
    """A lot that knows what the sheet knows; the rest is as such wood usually is."""
    yard = Yard.objects.filter(pk=heap.yard_id).first()
    if yard is None:
        raise NoSuchYard(yard=heap.yard_id)
    unit = Unit.objects.filter(pk=heap.unit_id).first() if heap.unit_id else None
    is_split, was_felled = "split" in sheet.steps, "fell" in sheet.steps
    mix = {heap.species: Decimal(100)}
    place = (unit.name if unit else yard.name).split()[0]
    return NewLot(
        code=free_lot_code(),
        name=f"{place} {species_of(heap.species).name.split(',')[0]}"[:80],
        yard_id=yard.pk,
        cords=Fraction(0),
        mix=mix,
        wood=wood_word({heap.species: 100}),
        form=Lot.Form.SPLITS if is_split else Lot.Form.ROUNDS,
        piling=Lot.Piling.STACKED if "stack" in sheet.steps else Lot.Piling.HEAPED,
        exposure=Lot.Exposure.LOW_HEAP,
        start_moisture_pct=None,
        drying_from=sheet.on,
        unit_id=unit.pk if unit else None,
        felled_on=sheet.on if was_felled else None,
        bucked_on=sheet.on if was_felled else None,
        split_on=sheet.on if is_split else None,
    )


def _write_hours(sheet: Sheet, row: LoggedWork, *, code: str, at: datetime, who: str) -> None:
    jobs = list(dict.fromkeys(JOBS[step] for step in JOBS if step in sheet.steps))
    part = sheet.hours.shared(len(jobs))
    amount = _amount(sheet)
    shared = f"Hours shared equally among {len(jobs)} jobs. " if len(jobs) > 1 else ""
    for person in sheet.people or (who,):
        for job in jobs:
            add_work(
                on=sheet.on, job=job, hours_low=part.low, hours_likely=part.likely, hours_high=part.high,
                lot_code="" if job == WorkEntry.Job.SLASH and sheet.unit_id else code,
                unit_id=sheet.unit_id, cords=format_cords(amount)[:20] if amount else "", at=at, who=who,
                worker=person, note=f"{shared}{sheet.note}"[:300], logged=row,
            )  # fmt: skip


def _sentence(sheet: Sheet, code: str) -> str:
    amount = _amount(sheet)
    done = ", ".join(STEP_WORDS[step] for step in JOBS if step in sheet.steps)
    wood = f", lot {code}" if code else ""
    much = f", {format_cords(amount)}" if amount else ""
    people = f", {', '.join(sheet.people)}" if sheet.people else ""
    each = " each" if len(sheet.people) > 1 else ""
    return f"{done.capitalize()}{wood}{much}, about {sheet.hours.likely.normalize():f} h{each}{people}"


def _columns(lot: Lot) -> dict[str, Any]:
    """What a step may change, as JSON keeps it."""
    found = {name: getattr(lot, name) for name in COLUMNS}
    return {
        name: str(value) if isinstance(value, (date, Decimal)) else value for name, value in found.items()
    }

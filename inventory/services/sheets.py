"""What somebody says of a morning, and what that makes of a heap that is not in the books yet."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Any

from inventory.core import InventoryError
from inventory.core.gaps import Cords
from inventory.core.hours import Hours
from inventory.core.species import species_of
from inventory.core.units import BUNDLE_FT3
from inventory.core.woods import Wood, sold_as
from inventory.models import Lot, Unit, WorkEntry, Yard
from inventory.services.ledger import free_lot_code
from inventory.services.lots import NewLot
from inventory.services.measures import Measured
from inventory.services.moves import NoSuchYard

JOBS: dict[str, WorkEntry.Job | None] = {  # what was done, in the order it is done, and whose hours
    "fell": WorkEntry.Job.FELL_BUCK,
    "haul": WorkEntry.Job.HAUL,
    "split": WorkEntry.Job.SPLIT,
    "stack": WorkEntry.Job.HEAP,
    "cover": WorkEntry.Job.HEAP,
    "move": WorkEntry.Job.HAUL,
    "slash": WorkEntry.Job.SLASH,
    "deliver": WorkEntry.Job.DELIVER,
    "paper": WorkEntry.Job.PAPER,
    "upkeep": WorkEntry.Job.UPKEEP,
    "measure": None,
}
NO_WOOD = {"fell", "slash", "deliver", "paper", "upkeep"}  # work that needs no heap named
FORMS = {"splits_24": "splits", "stacked": "splits", "deck": "logs", "log": "logs", "log_list": "logs"}
PILINGS = {"stack": "stacked", "trailer": "loose", "deck": "decked", "log": "decked", "log_list": "decked"}


class NothingLogged(InventoryError):
    """A sheet that says too little, or two things that can't both be."""


class Amount(StrEnum):
    """What the cords on a sheet are."""

    WORKED = "worked"  # the wood worked on: new where it was only felled, else a part of what lay there
    MORE = "more"  # on top of what lay there
    ALL = "all"  # everything that lies there now


@dataclass(frozen=True, slots=True, kw_only=True)
class NewHeap:
    """A heap that is not in the books yet: one kind of tree, where it lies, where it was cut, and what it is
    where neither the steps nor the tape say so: splits, rounds, logs or kindling."""

    species: str
    yard_id: int
    unit_id: int | None = None
    form: str = ""
    exposure: str = Lot.Exposure.LOW_HEAP


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """What somebody says of a morning.

    Shapes
        steps: keys of `JOBS`. lot_code or new_heap, or neither for work on no wood. hours: None books none.
        people: whose hours, each the whole of `hours`; nobody is whoever logs.
    """

    on: date
    steps: tuple[str, ...]
    hours: Hours | None
    lot_code: str = ""
    new_heap: NewHeap | None = None
    unit_id: int | None = None
    to_yard_id: int | None = None
    people: tuple[str, ...] = ()
    cords: Fraction | None = None
    measured: Measured | None = None
    amount: Amount = Amount.WORKED
    note: str = ""


def check_sheet(sheet: Sheet) -> None:
    """Whether it says enough.

    Errors
        NothingLogged
    """
    has_wood = bool(sheet.lot_code or sheet.new_heap)
    if not sheet.steps:
        raise NothingLogged("Tap what was done.", field="steps")
    if not has_wood and ("measure" in sheet.steps or (set(sheet.steps) - NO_WOOD and not sheet.unit_id)):
        raise NothingLogged("Tap which wood it was.", field="wood")
    if "move" in sheet.steps and sheet.to_yard_id is None:
        raise NothingLogged("Choose the yard it was moved to.", field="to_yard")
    if sheet.cords is None and sheet.measured is None:
        if sheet.new_heap:
            raise NothingLogged("Say how much wood is in the new heap.", field="cords")
        if "measure" in sheet.steps:
            raise NothingLogged("Say how much: tap a picture, or write cords or sizes.", field="cords")
    if sheet.new_heap and not _form(sheet, sheet.new_heap):
        raise NothingLogged("Choose what it is: splits, rounds, logs or kindling.", field="lies")


def amount_of(sheet: Sheet) -> Fraction | None:
    """Cords said or measured; None where nothing was."""
    return sheet.measured.volume.in_cords()[1] if sheet.measured else sheet.cords


def meant_by(sheet: Sheet, lot: Lot) -> Amount:
    """What was felled is new wood; bucked logs, and what was split, hauled or stacked, lay there before.

    Errors
        NothingLogged: wood lies there and what was measured may be more of it or all of it.
    """
    if sheet.amount != Amount.WORKED:
        return sheet.amount
    if sheet.steps == ("measure",):
        if lot.on_hand_cords:
            raise NothingLogged(
                "{lot} has {cords}: is this more wood, or all of it?",
                field="amount",
                lot=lot.code,
                cords=Cords(lot.on_hand_cords),
            )
        return Amount.MORE
    return Amount.MORE if "fell" in sheet.steps and lot.form != Lot.Form.LOGS else Amount.WORKED


def facts_of(sheet: Sheet, code: str) -> dict[str, Any]:
    """What a sheet said, as it is kept: steps by key, lot, cords, hours each, people."""
    amount = amount_of(sheet)
    return {
        "steps": [step for step in JOBS if step in sheet.steps],
        "lot": code,
        "cords": str(amount) if amount else "",
        "hours": f"{sheet.hours.likely.normalize():f}" if sheet.hours else "",
        "people": list(sheet.people),
    }


def _form(sheet: Sheet, heap: NewHeap) -> str:
    """What the steps made it, else what was measured or said; empty where nothing says so."""
    if "split" in sheet.steps:
        return Lot.Form.SPLITS
    said = heap.form or ((FORMS.get(sheet.measured.shape) or sheet.measured.form) if sheet.measured else "")
    return FORMS.get(said, said) or (Lot.Form.ROUNDS if "fell" in sheet.steps else "")


def new_lot_of(sheet: Sheet, heap: NewHeap) -> NewLot:
    """A lot that knows what the sheet knows; the rest is as such wood usually is."""
    yard = Yard.objects.filter(pk=heap.yard_id).first()
    if yard is None:
        raise NoSuchYard(yard=heap.yard_id)
    unit = Unit.objects.filter(pk=heap.unit_id).first() if heap.unit_id else None
    is_split, was_felled = "split" in sheet.steps, "fell" in sheet.steps
    form, place = _form(sheet, heap), (unit.name if unit else yard.name).split()[0]
    is_row = "stack" in sheet.steps or heap.exposure == Lot.Exposure.SUN_ROW
    is_kindling = form == Lot.Form.KINDLING
    heaped = PILINGS.get(sheet.measured.shape, "heaped") if sheet.measured else Lot.Piling.HEAPED
    as_it_is = {Lot.Form.KINDLING: Wood.KINDLING, Lot.Form.LOGS: Wood.LOGS}
    return NewLot(
        code=free_lot_code(),
        name=f"{place} {species_of(heap.species).name.split(',')[0]}"[:80],
        yard_id=yard.pk,
        cords=Fraction(0),
        mix={heap.species: Decimal(100)},
        wood=as_it_is.get(Lot.Form(form), sold_as({heap.species: 100})),
        form=form,
        piling=Lot.Piling.STACKED if is_row else heaped,
        exposure=heap.exposure,
        is_covered="cover" in sheet.steps,
        start_moisture_pct=None,
        drying_from=sheet.on,
        bundle_ft3=BUNDLE_FT3 if is_kindling else None,
        unit_id=unit.pk if unit else None,
        felled_on=sheet.on if was_felled else None,
        bucked_on=sheet.on if was_felled else None,
        split_on=sheet.on if is_split else None,
    )

"""A logged sheet taken back: hours, amount, steps and move, as far as nothing was built on them since."""

from datetime import datetime
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import F

from inventory.core import InventoryError
from inventory.core.sentences import Sentence
from inventory.fields import cords_value
from inventory.models import LoggedWork, Lot, Movement
from inventory.services.audit import note as audit_note
from inventory.services.counts import below_promises
from inventory.services.holds import take_open
from inventory.services.ledger import lot_by_code, write_movement
from inventory.services.parts import write_lot
from inventory.services.work import remove_work


class WentOn(InventoryError):
    """The wood of a sheet was worked on, sold or promised since, so it can't be taken back whole."""

    says = (
        "This can't be taken back whole: lot {lot} {because}. Correct its hours here and put the lot "
        "right on its own page."
    )
    in_words = {"because": Sentence}


@transaction.atomic
def take_back(*, key: UUID, at: datetime, who: str) -> str:
    """Undo all that a sheet wrote; its lot's code. The ledger and the trail keep both.

    Errors
        WentOn: something was built on it since; nothing is changed.
        BelowPromises: what it added is promised.
    """
    row = LoggedWork.objects.select_for_update().filter(pk=key, taken_back_at__isnull=True).first()
    if row is None:
        return ""
    told = {"on": row.on, "at": at, "who": who, "note": "Taken back", "logged": row}
    undo = row.undo
    code = str(undo.get("lot", ""))
    if code:
        if "part" in undo:
            _put_back_part(code, undo, told)
        else:
            _lay_back(code, undo, told)
        _uncount(code, Fraction(undo["added"]), told)
    for entry in row.entries.all():
        remove_work(entry_id=entry.pk, at=at, who=who)
    row.taken_back_at = at
    row.save(update_fields=["taken_back_at"])
    audit_note(at=at, who=who, verb="took back", thing=f"work of {row.on}", note=row.text)
    return code


def _put_back_part(code: str, undo: dict[str, Any], told: dict[str, Any]) -> None:
    """The part that was worked on goes back onto the lot it came from."""
    lot, part, amount = lot_by_code(code), lot_by_code(undo["part"]), Fraction(undo["part_cords"])
    if part.on_hand_cords != amount or part.movements.exclude(logged=told["logged"]).exists():
        raise WentOn(lot=part.code, because="was worked on or sold since")
    if not take_open(part.pk, amount, {"on_hand_cords": cords_value(Fraction(0))}):
        raise WentOn(lot=part.code, because="is promised")
    Lot.objects.filter(pk=lot.pk).update(
        version=F("version") + 1, on_hand_cords=F("on_hand_cords") + cords_value(amount)
    )
    for one, other, cords in ((part, lot, -amount), (lot, part, amount)):
        write_movement(lot=one, peer=other, kind=Movement.Kind.MERGED, cords=cords, **told)


def _lay_back(code: str, undo: dict[str, Any], told: dict[str, Any]) -> None:
    """The lot is what it was, and lies as it lay, before the sheet."""
    lot = lot_by_code(code)
    before, after = undo.get("before", {}), undo.get("after", {})
    if not before:
        return
    now = {name: _as_kept(getattr(lot, name)) for name in after}
    if any(now[name] != after[name] for name in after):
        raise WentOn(lot=code, because="was changed since")
    fields = {field.attname: field for field in lot._meta.concrete_fields}
    columns = {name: fields[name].to_python(value) for name, value in before.items()}
    write_lot(lot, columns)
    write_movement(lot=lot, kind=Movement.Kind.CORRECTED, **told)


def _uncount(code: str, added: Fraction, told: dict[str, Any]) -> None:
    if not added:
        return
    lot = lot_by_code(code)
    taken = max(added, Fraction(0))
    change = {"on_hand_cords": F("on_hand_cords") - cords_value(added)}
    if not take_open(lot.pk, taken, change, while_={"on_hand_cords": lot.on_hand_cords}):
        raise below_promises(lot, lot.on_hand_cords - added)
    write_movement(lot=lot, kind=Movement.Kind.CORRECTED, cords=-added, **told)


def _as_kept(value: Any) -> Any:
    return value if isinstance(value, (bool, int, list, type(None))) else str(value)

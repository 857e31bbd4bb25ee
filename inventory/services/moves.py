"""Wood carried from yard to yard, and what that cost."""

from datetime import date, datetime
from fractions import Fraction
from typing import Any

from django.db import transaction
from django.db.models import F

from inventory.core import InventoryError
from inventory.core.gaps import Cords
from inventory.core.stock import Haul
from inventory.fields import cords_value
from inventory.models import Hold, LoggedWork, Lot, Movement, Yard
from inventory.services.audit import note as audit_note
from inventory.services.holds import COLUMN, HoldEnded, NoSuchHold, end_hold, hold_wood, settle_short
from inventory.services.ledger import as_kept, lot_by_code, refuse_past, write_movement
from inventory.services.parts import Storage, carve, keep_lay, merge_lots, write_lot


class NoSuchYard(InventoryError):
    says = "There is no yard {yard}: choose one from the list."


class AlreadyThere(InventoryError):
    """Wood was to be moved to where it lies."""

    says = "Lot {lot} is in {yard} already: choose another yard."


class NoRoom(InventoryError):
    """More wood than the yard has room for."""

    says = "{yard} has room for {room} and would hold {would_be}: move less."
    in_words = {"room": Cords, "would_be": Cords}


@transaction.atomic
def move_wood(
    *,
    code: str,
    to_yard_id: int,
    on: date,
    at: datetime,
    who: str,
    cords: Fraction | None = None,
    new_code: str = "",
    haul: Haul | None = None,
    storage: Storage | None = None,
    note: str = "",
    logged: LoggedWork | None = None,
) -> str:
    """Carry a lot, or its open wood in part, to another yard; the code of the lot now there.

    A whole lot takes its holds along. A part becomes a lot of its own, with the last reading. Its
    drying goes on in the new yard's weather.

    Errors
        NoSuchLot, NoSuchYard, AlreadyThere, NoRoom, NotEnoughOpen, LotChanged
        BadDay, TooLittleThere: the lot was not there on that day, or not so much of it.
    """
    lot = lot_by_code(code)
    yard = Yard.objects.filter(pk=to_yard_id).first()
    if yard is None:
        raise NoSuchYard(yard=to_yard_id)
    if yard.pk == lot.yard_id:
        raise AlreadyThere(lot=code, yard=yard.name)
    amount = lot.on_hand_cords if cords is None else as_kept(cords)
    refuse_past(lot, on=on, leaving=Fraction(0) if cords is None else amount)
    _check_room(yard, amount)
    drive = haul or Haul()
    told: dict[str, Any] = {
        "from_yard_id": lot.yard_id,
        "to_yard_id": yard.pk,
        "miles": drive.miles,
        "minutes": drive.minutes,
        "logged": logged,
    }
    changes = {"yard_id": yard.pk, **(storage or Storage()).changes(), **keep_lay(lot, on=on)}
    from_name = lot.yard.name
    if amount == lot.on_hand_cords:
        write_lot(lot, changes)
        write_movement(
            lot=lot, kind=Movement.Kind.MOVED, on=on, at=at, who=who, note=note,
            cost_dollars=drive.cost_dollars, **told,
        )  # fmt: skip
        result = lot.code
    else:
        part = carve(
            lot, amount, code=new_code, kind=Movement.Kind.MOVED, on=on, at=at, who=who, note=note,
            changes=changes, movement=told,
        )  # fmt: skip
        if drive.cost_dollars:
            write_movement(
                lot=part, kind=Movement.Kind.HAULED, on=on, at=at, who=who, note="Cost of the move",
                cost_dollars=drive.cost_dollars, logged=logged,
            )  # fmt: skip
        result = part.code
    audit_note(
        at=at, who=who, verb="moved", thing=f"lot {result}", note=note,
        before={"yard": from_name, "lot": code}, after={"yard": yard.name, "cords": str(amount)},
    )  # fmt: skip
    return result


@transaction.atomic
def bring_back(
    *,
    code: str,
    cords: Fraction,
    to_yard_id: int,
    onto: str = "",
    reference: str,
    on: date,
    at: datetime,
    who: str,
) -> str:
    """Open wood of a lot that came home from a run to another yard; the code of the lot it is in now.

    It is there, so no yard is too full for it.

    Shapes
        onto: a lot of that yard it was put on; empty, it lies by itself.

    Errors
        NoSuchLot, NoSuchYard, NotEnoughOpen
        WillNotMerge: it may not go on that lot.
    """
    lot = lot_by_code(code)
    yard = Yard.objects.filter(pk=to_yard_id).first()
    if yard is None:
        raise NoSuchYard(yard=to_yard_id)
    part = carve(
        lot, cords, code="", kind=Movement.Kind.MOVED, on=on, at=at, who=who, note="Came home",
        changes={"yard_id": yard.pk, **keep_lay(lot, on=on)},
        movement={"from_yard_id": lot.yard_id, "to_yard_id": yard.pk, "reference": reference},
    )  # fmt: skip
    if onto:
        merge_lots(code=part.code, into=onto, on=on, at=at, who=who)
    return onto or part.code


@transaction.atomic
def bring_back_held(
    *, hold_id: int, cords: Fraction, to_yard_id: int, onto: str = "", on: date, at: datetime, who: str
) -> int:
    """Held wood that came home to another yard, still held for the same; the hold it stands under now.

    Errors
        NoSuchHold, HoldEnded, and all of `bring_back`
    """
    hold = Hold.objects.select_related("lot").filter(pk=hold_id).first()
    if hold is None:
        raise NoSuchHold(hold=hold_id)
    amount = min(as_kept(cords), hold.cords)
    if amount == hold.cords:
        has_ended = end_hold(hold, state=Hold.State.RELEASED, at=at)
    else:
        rest = Hold.objects.filter(pk=hold.pk, state=Hold.State.STANDING, cords=hold.cords)
        has_ended = bool(rest.update(cords=hold.cords - amount))
    if not has_ended:
        raise HoldEnded(reference=hold.reference, lot=hold.lot.code, state=hold.get_state_display())
    column = COLUMN[Hold.Kind(hold.kind)]
    Lot.objects.filter(pk=hold.lot_id).update(
        version=F("version") + 1, **{column: F(column) - cords_value(amount)}
    )
    settle_short(hold.lot_id)
    code = bring_back(
        code=hold.lot.code, cords=amount, to_yard_id=to_yard_id, onto=onto, reference=hold.reference,
        on=on, at=at, who=who,
    )  # fmt: skip
    return hold_wood(
        lot_id=lot_by_code(code).pk, cords=amount, kind=hold.kind, reference=hold.reference, made_at=at,
        lapses_on=hold.lapses_on, note=hold.note,
    )  # fmt: skip


def _check_room(yard: Yard, amount: Fraction) -> None:
    if yard.room_cords is None:
        return
    there = sum(
        Lot.objects.filter(yard=yard).exclude(form=Lot.Form.KINDLING).values_list("on_hand_cords", flat=True),
        Fraction(0),
    )
    if there + amount > yard.room_cords:
        raise NoRoom(yard=yard.name, room=yard.room_cords, would_be=there + amount)

"""Wood that leaves for good: a hold becomes a sold movement, or open wood is sold from the heap."""

from datetime import date, datetime
from fractions import Fraction
from uuid import UUID, uuid4

from django.db import transaction
from django.db.models import F

from inventory.core import InventoryError
from inventory.core.gaps import Cords
from inventory.core.references import named
from inventory.fields import UNITS_PER_CORD, cords_value, to_units
from inventory.models import Hold, Lot, Movement
from inventory.selectors.drawn import drawn_for
from inventory.services.holds import (
    COLUMN,
    PROMISED,
    HoldEnded,
    NoSuchHold,
    NothingToHold,
    end_hold,
    refuse_not_open,
    settle_short,
    take_open,
)
from inventory.services.ledger import as_kept, lot_by_code, write_movement


class NotDrawn(InventoryError):
    """More was to come back to a lot than it gave."""

    says = "Lot {lot} gave {gave} to {reference}, so {asked} cannot come back to it."
    in_words = {"gave": Cords, "reference": named, "asked": Cords}


@transaction.atomic
def draw_wood(
    *,
    hold_id: int,
    cords: Fraction | None = None,
    on: date,
    at: datetime,
    who: str = "",
    reference: str = "",
    key: UUID | None = None,
    keep_rest: bool = False,
    note: str = "",
) -> int:
    """Take held wood away: the hold ends, a sold movement is written, the lot falls. Its number.

    The same `key` sent twice is one draw and gives the same number. Less than the hold may be drawn:
    the rest is open again, or stays held with `keep_rest` (an order on two loads). More may be drawn
    while the lot has it open.

    Units
        cords: what went on the load; None is all that was held.

    Errors
        NoSuchHold, NothingToHold
        HoldEnded: released or drawn before, under another key.
        NotEnoughOpen: more was drawn than held and the lot has not so much open.
    """
    if key is not None and (done := Movement.objects.filter(key=key).first()):
        return done.pk
    hold = Hold.objects.select_related("lot").filter(pk=hold_id).first()
    if hold is None:
        raise NoSuchHold(hold=hold_id)
    amount = Fraction(to_units(hold.cords if cords is None else cords), UNITS_PER_CORD)
    if amount <= 0:
        raise NothingToHold(cords=amount)
    rest = hold.cords - amount if keep_rest and amount < hold.cords else Fraction(0)
    freed = hold.cords - rest
    if not _settle_hold(hold, rest=rest, at=at):
        if key is not None and (done := Movement.objects.filter(key=key).first()):
            return done.pk  # the other tap was quicker
        now = Hold.objects.select_related("lot").get(pk=hold_id)
        raise HoldEnded(reference=now.reference, lot=now.lot.code, state=now.get_state_display())
    column = COLUMN[Hold.Kind(hold.kind)]
    more = amount - freed  # beyond the hold: only what is open; the hold itself, whatever a count found short
    there = PROMISED + cords_value(more) if more > 0 else cords_value(amount)
    changed = Lot.objects.filter(pk=hold.lot_id, on_hand_cords__gte=there).update(
        version=F("version") + 1,
        on_hand_cords=F("on_hand_cords") - cords_value(amount),
        **{column: F(column) - cords_value(freed)},
    )
    if not changed:
        raise refuse_not_open(hold.lot_id, more if more > 0 else amount)
    settle_short(hold.lot_id)
    return _sold(
        lot_id=hold.lot_id, cords=amount, on=on, at=at, who=who, reference=reference or hold.reference,
        key=key, note=note,
    )  # fmt: skip


def _settle_hold(hold: Hold, *, rest: Fraction, at: datetime) -> bool:
    if not rest:
        return end_hold(hold, state=Hold.State.DRAWN, at=at)
    return bool(
        Hold.objects.filter(pk=hold.pk, kind=hold.kind, state=Hold.State.STANDING, cords=hold.cords).update(
            cords=rest
        )
    )


def _sold(
    *, lot_id: int, cords: Fraction, on: date, at: datetime, who: str, reference: str, key: UUID | None,
    note: str,
) -> int:  # fmt: skip
    movement = Movement(
        lot_id=lot_id,
        kind=Movement.Kind.SOLD,
        cords=-cords,
        on=on,
        made_at=at,
        who=who,
        reference=reference,
        note=note,
        key=key or uuid4(),
    )
    movement.full_clean(exclude=["lot"])
    movement.save()
    return movement.pk


@transaction.atomic
def undo_sale(*, code: str, cords: Fraction, reference: str, on: date, at: datetime, who: str) -> None:
    """Wood booked as sold that is there still, or more was booked than went: back in its lot.

    Errors
        NoSuchLot, NothingToHold
        NotDrawn: the lot gave less to this sale.
    """
    lot = lot_by_code(code)
    amount = as_kept(cords)
    if amount <= 0:
        raise NothingToHold(cords=cords)
    gave = drawn_for(reference).get(code, Fraction(0))
    if amount > gave:
        raise NotDrawn(lot=code, reference=reference, gave=gave, asked=amount)
    Lot.objects.filter(pk=lot.pk).update(
        version=F("version") + 1, on_hand_cords=F("on_hand_cords") + cords_value(amount)
    )
    settle_short(lot.pk)
    write_movement(
        lot=lot, kind=Movement.Kind.RETURNED, cords=amount, on=on, at=at, who=who, reference=reference
    )


@transaction.atomic
def sell_open(*, code: str, cords: Fraction, reference: str, on: date, at: datetime, who: str) -> None:
    """Open wood that went out to a sale without a hold, as when another lot was loaded than the one held.

    Errors
        NoSuchLot, NothingToHold, NotEnoughOpen
    """
    lot = lot_by_code(code)
    amount = as_kept(cords)
    if amount <= 0:
        raise NothingToHold(cords=cords)
    if not take_open(lot.pk, amount, {"on_hand_cords": F("on_hand_cords") - cords_value(amount)}):
        raise refuse_not_open(lot.pk, amount)
    _sold(lot_id=lot.pk, cords=amount, on=on, at=at, who=who, reference=reference, key=None, note="")

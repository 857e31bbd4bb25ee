"""Wood promised and given back. A promise is one conditional UPDATE on the lot, so that the same
cords are never promised twice, whoever else is writing and whichever database keeps the books.
"""

from datetime import date, datetime
from fractions import Fraction
from typing import Any

from django.db import transaction
from django.db.models import F
from django.db.models.functions import Greatest

from inventory.core import InventoryError
from inventory.core.gaps import Cords
from inventory.core.references import named
from inventory.core.sentences import Sentence
from inventory.fields import UNITS_PER_CORD, cords_value, to_units
from inventory.models import Hold, Lot

PROMISED = F("firm_cords") + F("soft_cords") + F("kept_cords")
COLUMN = {Hold.Kind.FIRM: "firm_cords", Hold.Kind.SOFT: "soft_cords"}


class NoSuchLot(InventoryError):
    says = "There is no lot {lot}: choose one from the list."


class NothingToHold(InventoryError):
    """A hold of no wood, or of less than none."""

    says = "{cords} cannot be held: hold more than nothing."
    in_words = {"cords": Cords}


class NotEnoughOpen(InventoryError):
    """Less wood is open in the lot than was asked for."""

    says = "Lot {lot} has {left} not promised, and {wanted} was asked for: take less, or another lot."
    in_words = {"left": lambda cords: Cords(cords) if cords > 0 else Sentence("nothing"), "wanted": Cords}


class NoSuchHold(InventoryError):
    says = "There is no hold number {hold}: look at the lot again."


class HoldEnded(InventoryError):
    """A hold that no longer stands was to be drawn or firmed up."""

    says = "The hold on lot {lot} for {reference} is already {state}: hold the wood again if it is wanted."
    in_words = {"reference": named, "state": Sentence}


def take_open(
    lot_id: int, cords: Fraction, changes: dict[str, Any], *, while_: dict[str, Any] | None = None
) -> bool:
    """The one conditional UPDATE: change the lot only while so many cords are open, and only while the
    columns of `while_` are as they were read. True if it was done."""
    changed = Lot.objects.filter(
        pk=lot_id, on_hand_cords__gte=PROMISED + cords_value(cords), **(while_ or {})
    ).update(version=F("version") + 1, **changes)
    return changed == 1


def refuse_not_open(lot_id: int, wanted: Fraction) -> InventoryError:
    """The error that says what the lot has open now."""
    lot = Lot.objects.filter(pk=lot_id).first()
    if lot is None:
        return NoSuchLot(lot=lot_id)
    left = lot.on_hand_cords - lot.firm_cords - lot.soft_cords - lot.kept_cords
    return NotEnoughOpen(lot=lot.code, wanted=wanted, left=left)


def settle_short(lot_id: int) -> None:
    """After promises fell or wood came: what a short lot is still short of. In the caller's transaction."""
    Lot.objects.filter(pk=lot_id, short_cords__gt=cords_value(Fraction(0))).update(
        short_cords=Greatest(PROMISED - F("on_hand_cords"), cords_value(Fraction(0)))
    )


@transaction.atomic
def hold_wood(
    *,
    lot_id: int,
    cords: Fraction,
    kind: str,
    reference: str,
    made_at: datetime,
    lapses_on: date | None = None,
    note: str = "",
) -> int:
    """Promise wood of a lot; the number of the new hold.

    Shapes
        kind: "firm", or "soft" (give `lapses_on`, the first day it no longer stands).
        reference: whom it is for, "order 205".

    Errors
        NothingToHold, NoSuchLot
        NotEnoughOpen: less is open than asked for; nothing was held.
    """
    amount = Fraction(to_units(cords), UNITS_PER_CORD)  # what the column keeps is what the lot gives
    if amount <= 0:
        raise NothingToHold(cords=cords)
    column = COLUMN[Hold.Kind(kind)]
    if not take_open(lot_id, amount, {column: F(column) + cords_value(amount)}):
        raise refuse_not_open(lot_id, amount)
    hold = Hold(
        lot_id=lot_id,
        cords=amount,
        kind=kind,
        reference=reference,
        lapses_on=lapses_on,
        made_at=made_at,
        note=note,
    )
    hold.full_clean(exclude=["lot"])  # the UPDATE has just proved the lot is there
    hold.save()
    return hold.pk


@transaction.atomic
def release_hold(*, hold_id: int, at: datetime) -> bool:
    """Give held wood back to the open stock; False when it had ended already.

    Errors
        NoSuchHold
    """
    hold = _hold(hold_id)
    if not end_hold(hold, state=Hold.State.RELEASED, at=at):
        return False
    column = COLUMN[Hold.Kind(hold.kind)]
    Lot.objects.filter(pk=hold.lot_id).update(
        version=F("version") + 1, **{column: F(column) - cords_value(hold.cords)}
    )
    settle_short(hold.lot_id)
    return True


@transaction.atomic
def firm_up_hold(*, hold_id: int) -> bool:
    """Turn a soft hold firm; False when it was firm before.

    Errors
        NoSuchHold
        HoldEnded: it lapsed, was released or drawn.
    """
    changed = Hold.objects.filter(pk=hold_id, kind=Hold.Kind.SOFT, state=Hold.State.STANDING).update(
        kind=Hold.Kind.FIRM, lapses_on=None
    )
    hold = _hold(hold_id)
    if not changed:
        if hold.state != Hold.State.STANDING:
            raise HoldEnded(reference=hold.reference, lot=hold.lot.code, state=hold.get_state_display())
        return False
    amount = cords_value(hold.cords)
    Lot.objects.filter(pk=hold.lot_id).update(
        version=F("version") + 1, soft_cords=F("soft_cords") - amount, firm_cords=F("firm_cords") + amount
    )
    return True


def lapse_soft_holds(*, on: date, at: datetime) -> tuple[str, ...]:
    """Release the soft holds whose day has come; the references that lost their wood.

    Each hold is its own transaction: one that somebody firms up meanwhile is left alone.
    """
    due = Hold.objects.filter(kind=Hold.Kind.SOFT, state=Hold.State.STANDING, lapses_on__lte=on)
    lapsed = []
    for hold_id, reference in due.values_list("pk", "reference"):
        if _lapse(hold_id, on=on, at=at):
            lapsed.append(reference)
    return tuple(lapsed)


@transaction.atomic
def _lapse(hold_id: int, *, on: date, at: datetime) -> bool:
    changed = Hold.objects.filter(
        pk=hold_id, kind=Hold.Kind.SOFT, state=Hold.State.STANDING, lapses_on__lte=on
    ).update(state=Hold.State.RELEASED, ended_at=at)
    if changed:
        hold = _hold(hold_id)
        Lot.objects.filter(pk=hold.lot_id).update(
            version=F("version") + 1, soft_cords=F("soft_cords") - cords_value(hold.cords)
        )
        settle_short(hold.lot_id)
    return bool(changed)


def end_hold(hold: Hold, *, state: str, at: datetime) -> bool:
    """End a standing hold, once; the caller settles the lot. The kind read must still be the kind kept."""
    return bool(
        Hold.objects.filter(pk=hold.pk, kind=hold.kind, state=Hold.State.STANDING).update(
            state=state, ended_at=at
        )
    )


def _hold(hold_id: int) -> Hold:
    hold = Hold.objects.select_related("lot").filter(pk=hold_id).first()
    if hold is None:
        raise NoSuchHold(hold=hold_id)
    return hold

"""Wood promised: one conditional UPDATE on the lot, so that nothing is promised twice."""

from datetime import date, datetime
from fractions import Fraction

from django.db import transaction
from django.db.models import F

from inventory.core import InventoryError
from inventory.core.units import format_cords
from inventory.fields import cords_value
from inventory.models import Hold, Lot

COLUMN = {Hold.Kind.FIRM: "firm_cords", Hold.Kind.SOFT: "soft_cords"}


class NotEnoughOpen(InventoryError):
    """A lot has less open wood than was asked of it."""

    def __init__(self, *, lot: str, wanted: Fraction, open_cords: Fraction) -> None:
        self.lot = lot
        self.wanted = wanted
        self.open_cords = open_cords
        super().__init__(
            f"Lot {lot} has {format_cords(open_cords)} open, not {format_cords(wanted)}. "
            "Take another lot, or release a hold first."
        )


class NoStandingHold(InventoryError):
    """A hold that was released or drawn before, or never was."""

    def __init__(self, *, hold_id: int) -> None:
        self.hold_id = hold_id
        super().__init__(f"Hold {hold_id} does not stand any more: reload the page to see what is held.")


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
) -> Hold:
    """Promise cords of a lot.

    Errors
        NotEnoughOpen: less than that is open; nothing is changed.
    """
    column = COLUMN[Hold.Kind(kind)]
    taken = Lot.objects.filter(
        pk=lot_id,
        on_hand_cords__gte=F("firm_cords") + F("soft_cords") + F("kept_cords") + cords_value(cords),
    ).update(**{column: F(column) + cords_value(cords), "version": F("version") + 1})
    if not taken:
        lot = Lot.objects.get(pk=lot_id)
        left = lot.on_hand_cords - lot.firm_cords - lot.soft_cords - lot.kept_cords
        raise NotEnoughOpen(lot=lot.code, wanted=cords, open_cords=max(left, Fraction(0)))
    hold = Hold(
        lot_id=lot_id,
        cords=cords,
        kind=kind,
        reference=reference,
        made_at=made_at,
        lapses_on=lapses_on,
        note=note,
    )
    hold.full_clean()
    hold.save()
    return hold


@transaction.atomic
def release_hold(*, hold_id: int, at: datetime, note: str = "") -> None:
    """Give promised wood back to the open wood of its lot.

    Errors
        NoStandingHold
    """
    hold = _ended(hold_id, state=Hold.State.RELEASED, at=at, note=note)
    column = COLUMN[Hold.Kind(hold.kind)]
    Lot.objects.filter(pk=hold.lot_id).update(
        **{column: F(column) - cords_value(hold.cords), "version": F("version") + 1}
    )


@transaction.atomic
def firm_up_hold(*, hold_id: int) -> None:
    """Make a soft hold firm; a firm one stays as it is.

    Errors
        NoStandingHold
    """
    changed = Hold.objects.filter(pk=hold_id, state=Hold.State.STANDING, kind=Hold.Kind.SOFT).update(
        kind=Hold.Kind.FIRM, lapses_on=None
    )
    hold = Hold.objects.filter(pk=hold_id, state=Hold.State.STANDING).first()
    if hold is None:
        raise NoStandingHold(hold_id=hold_id)
    if changed:
        Lot.objects.filter(pk=hold.lot_id).update(
            soft_cords=F("soft_cords") - cords_value(hold.cords),
            firm_cords=F("firm_cords") + cords_value(hold.cords),
            version=F("version") + 1,
        )


@transaction.atomic
def lapse_soft_holds(*, on: date, at: datetime) -> int:
    """Release every soft hold whose last day is over; how many."""
    lapsed = Hold.objects.filter(state=Hold.State.STANDING, kind=Hold.Kind.SOFT, lapses_on__lt=on)
    for hold in list(lapsed):
        release_hold(hold_id=hold.pk, at=at, note="lapsed")
    return len(lapsed)


def _ended(hold_id: int, *, state: str, at: datetime, note: str = "") -> Hold:
    """Mark a standing hold as ended; only one of two people at once gets through."""
    values = {"state": state, "ended_at": at, **({"note": note} if note else {})}
    if not Hold.objects.filter(pk=hold_id, state=Hold.State.STANDING).update(**values):
        raise NoStandingHold(hold_id=hold_id)
    return Hold.objects.get(pk=hold_id)

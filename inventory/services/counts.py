"""A lot's count put right: a correction up or down, and wood lost in handling, always as a movement."""

from datetime import date, datetime
from fractions import Fraction

from django.db import transaction
from django.db.models import F

from inventory.core import InventoryError
from inventory.core.units import format_cords
from inventory.fields import cords_value
from inventory.models import Hold, Lot, Movement
from inventory.services.audit import note as audit_note
from inventory.services.holds import NothingToHold, take_open
from inventory.services.ledger import LotChanged, as_kept, lot_by_code, write_movement


class BelowPromises(InventoryError):
    """A count would fall below what is promised of the lot; the sentence names the holds."""

    def __init__(self, *, lot: str, counted: Fraction, promised: Fraction, holds: tuple[str, ...]) -> None:
        self.lot = lot
        self.counted = counted
        self.promised = promised
        self.holds = holds
        names = ", ".join(holds) if holds else "own use"
        super().__init__(
            f"Lot {lot} would hold {format_cords(counted)} and {format_cords(promised)} of it is promised "
            f"({names}): release or move a hold first."
        )


@transaction.atomic
def correct_count(
    *, code: str, counted: Fraction, on: date, at: datetime, who: str, reason: str = "",
    kind: str = Movement.Kind.CORRECTED,
) -> Fraction:  # fmt: skip
    """Set what a lot holds to what was counted, as a correcting movement; the difference.

    Units
        counted: cords in the lot now. 0 empties it.

    Errors
        NoSuchLot
        BelowPromises: less than is held or kept was counted.
    """
    lot = lot_by_code(code)
    now = as_kept(max(counted, Fraction(0)))
    change = now - lot.on_hand_cords
    if not change:
        return change
    if not _shift(lot, change):
        raise below_promises(lot, now)
    write_movement(lot=lot, kind=kind, cords=change, on=on, at=at, who=who, note=reason)
    audit_note(
        at=at, who=who, verb="corrected", thing=f"lot {code}", note=reason,
        before={"on_hand": str(lot.on_hand_cords)}, after={"on_hand": str(now)},
    )  # fmt: skip
    return change


@transaction.atomic
def write_off(*, code: str, cords: Fraction, on: date, at: datetime, who: str, reason: str = "") -> None:
    """Wood lost in handling: bark, breakage, rot.

    Errors
        NoSuchLot, NothingToHold
        BelowPromises
    """
    lot = lot_by_code(code)
    amount = as_kept(cords)
    if amount <= 0:
        raise NothingToHold(cords=cords)
    if not _shift(lot, -amount):
        raise below_promises(lot, lot.on_hand_cords - amount)
    write_movement(lot=lot, kind=Movement.Kind.LOST, cords=-amount, on=on, at=at, who=who, note=reason)
    audit_note(
        at=at, who=who, verb="wrote off", thing=f"lot {code}", note=reason, after={"cords": str(amount)}
    )


def below_promises(lot: Lot, counted: Fraction) -> InventoryError:
    """The refusal that names who was promised the wood; or says that the lot changed meanwhile."""
    fresh = Lot.objects.get(pk=lot.pk)
    if fresh.on_hand_cords != lot.on_hand_cords:
        return LotChanged(lot=lot.code)
    holds = Hold.objects.filter(lot=lot, state=Hold.State.STANDING)
    return BelowPromises(
        lot=lot.code,
        counted=max(counted, Fraction(0)),
        promised=fresh.firm_cords + fresh.soft_cords + fresh.kept_cords,
        holds=tuple(f"{format_cords(hold.cords)} for {hold.reference}" for hold in holds),
    )


def _shift(lot: Lot, change: Fraction) -> bool:
    """Add to what the lot holds, or take from it what is open; only while the count is the one read."""
    return take_open(
        lot.pk,
        max(-change, Fraction(0)),
        {"on_hand_cords": F("on_hand_cords") + cords_value(change)},
        while_={"on_hand_cords": lot.on_hand_cords},
    )

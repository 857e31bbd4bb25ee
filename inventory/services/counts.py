"""A lot's count put right: a correction up or down, and wood lost in handling, always as a movement."""

from datetime import date, datetime
from fractions import Fraction

from django.db import transaction
from django.db.models import F

from inventory.core import InventoryError
from inventory.core.gaps import Cords, joined
from inventory.core.sentences import Sentence
from inventory.core.stock import TooLittleThere
from inventory.fields import cords_value
from inventory.models import Hold, LoggedWork, Lot, Movement
from inventory.services.audit import note as audit_note
from inventory.services.holds import NothingToHold
from inventory.services.ledger import (
    LotChanged,
    as_kept,
    cords_on,
    lot_by_code,
    refuse_past,
    write_movement,
)


class BelowPromises(InventoryError):
    """A count would fall below what is promised of the lot; the sentence names the holds."""

    def __init__(
        self, *, lot: str, counted: Fraction, promised: Fraction, holds: tuple[Sentence, ...]
    ) -> None:
        self.lot = lot
        self.counted = counted
        self.promised = promised
        self.holds = holds
        names = joined(holds) if holds else Sentence("own use")
        super().__init__(
            "Lot {lot} would hold {counted} and {promised} of it is promised ({names}): "
            "release or move a hold first.",
            lot=lot,
            counted=Cords(counted),
            promised=Cords(promised),
            names=names,
        )


@transaction.atomic
def correct_count(
    *, code: str, counted: Fraction, on: date, at: datetime, who: str, reason: str = "",
    logged: LoggedWork | None = None,
) -> Fraction:  # fmt: skip
    """Set what a lot holds to what was counted, as a correcting movement; the difference.

    Units
        counted: cords in the lot at the end of that day; what came and went since stays. 0 empties it.

    Less than is promised may be counted: own use gives way first, the rest makes the lot short, and nothing
    more is promised of it.

    Errors
        NoSuchLot
    """
    lot = lot_by_code(code)
    change = as_kept(max(counted, Fraction(0))) - cords_on(lot, on)
    _book(lot, change, kind=Movement.Kind.CORRECTED, on=on, at=at, who=who, reason=reason, logged=logged)
    return change


@transaction.atomic
def add_wood(
    *, code: str, cords: Fraction, on: date, at: datetime, who: str, reason: str = "",
    logged: LoggedWork | None = None,
) -> Fraction:  # fmt: skip
    """More wood came to a lot: another load, another morning's rounds; what was added, as kept.

    Errors
        NoSuchLot
        NothingToHold: no wood.
    """
    lot = lot_by_code(code)
    amount = as_kept(cords)
    if amount <= 0:
        raise NothingToHold(cords=cords)
    _book(lot, amount, kind=Movement.Kind.MEASURED, on=on, at=at, who=who, reason=reason, logged=logged)
    return amount


def _book(
    lot: Lot, change: Fraction, *, kind: str, on: date, at: datetime, who: str, reason: str,
    logged: LoggedWork | None,
) -> None:  # fmt: skip
    if not change:
        return
    after = lot.on_hand_cords + change
    if change < 0:
        refuse_past(lot, on=on, leaving=-change)
    _set_count(lot, after)
    write_movement(lot=lot, kind=kind, cords=change, on=on, at=at, who=who, note=reason, logged=logged)
    audit_note(
        at=at, who=who, verb="added to" if kind == Movement.Kind.MEASURED else "corrected",
        thing=f"lot {lot.code}", note=reason,
        before={"on_hand": str(lot.on_hand_cords)}, after={"on_hand": str(after)},
    )  # fmt: skip


@transaction.atomic
def write_off(*, code: str, cords: Fraction, on: date, at: datetime, who: str, reason: str = "") -> None:
    """Wood lost in handling: bark, breakage, rot.

    Errors
        NoSuchLot, NothingToHold
        TooLittleThere: more than the lot holds.
    """
    lot = lot_by_code(code)
    amount = as_kept(cords)
    if amount <= 0:
        raise NothingToHold(cords=cords)
    if amount > lot.on_hand_cords:
        raise TooLittleThere(lot=code, on=on, there=lot.on_hand_cords, leaving=amount)
    _set_count(lot, lot.on_hand_cords - amount)
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
        holds=tuple(
            Sentence("{cords} for {order}", {"cords": Cords(hold.cords), "order": hold.reference})
            for hold in holds
        ),
    )


def _set_count(lot: Lot, after: Fraction) -> None:
    """What the lot truly holds, whatever is promised of it; only while all is as it was read."""
    kept = min(lot.kept_cords, max(after - lot.firm_cords - lot.soft_cords, Fraction(0)))
    short = max(lot.firm_cords + lot.soft_cords + kept - after, Fraction(0))
    read = {
        name: cords_value(getattr(lot, name))
        for name in ("on_hand_cords", "firm_cords", "soft_cords", "kept_cords")
    }
    changed = Lot.objects.filter(pk=lot.pk, **read).update(
        version=F("version") + 1,
        on_hand_cords=cords_value(after),
        kept_cords=cords_value(kept),
        short_cords=cords_value(short),
    )
    if not changed:
        raise LotChanged(lot=lot.code)

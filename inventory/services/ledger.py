"""What every service of the wood shares: finding a lot to write, and writing its movements."""

from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from string import ascii_lowercase
from typing import Any
from uuid import UUID, uuid4

from inventory.core import InventoryError
from inventory.fields import UNITS_PER_CORD, to_units
from inventory.models import Lot, Movement
from inventory.services.holds import NoSuchLot


class LotChanged(InventoryError):
    """Somebody else wrote the lot between our reading and our writing."""

    def __init__(self, *, lot: str) -> None:
        self.lot = lot
        super().__init__(
            f"Lot {lot} was changed by somebody else just now: look at it again, then repeat this."
        )


def lot_by_code(code: str) -> Lot:
    """The lot to write.

    Errors
        NoSuchLot
    """
    lot = Lot.objects.select_related("yard").filter(code=code).first()
    if lot is None:
        raise NoSuchLot(lot=code)
    return lot


def as_kept(cords: Fraction) -> Fraction:
    """The amount as the column keeps it, so that both sides of a move are the same."""
    return Fraction(to_units(cords), UNITS_PER_CORD)


def free_code(stem: str) -> str:
    """The first unused code made of a lot's own and a letter: K1b, K1c, then K1bb."""
    taken = set(Lot.objects.filter(code__startswith=stem[:10]).values_list("code", flat=True))
    letters = [
        *ascii_lowercase[1:],
        *(first + second for first in ascii_lowercase for second in ascii_lowercase),
    ]
    return next(code for letter in letters if (code := f"{stem[:10]}{letter}") not in taken)


def write_movement(
    *,
    lot: Lot,
    kind: str,
    on: date,
    at: datetime,
    who: str,
    cords: Fraction = Fraction(0),
    note: str = "",
    reference: str = "",
    peer: Lot | None = None,
    miles: Decimal | None = None,
    minutes: int | None = None,
    cost_dollars: Decimal | None = None,
    key: UUID | None = None,
    **yards: Any,
) -> Movement:
    """One row of the lot's ledger, inside the caller's transaction.

    Shapes
        yards: from_yard_id and to_yard_id of a move.
    """
    movement = Movement(
        lot=lot,
        kind=kind,
        cords=cords,
        on=on,
        made_at=at,
        who=who,
        note=note[:300],
        reference=reference,
        peer=peer,
        miles=miles,
        minutes=minutes,
        cost_dollars=cost_dollars,
        key=key or uuid4(),
        **yards,
    )
    movement.full_clean(exclude=["lot", "peer"])
    movement.save()
    return movement

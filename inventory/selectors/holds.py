"""Wood promised, as the pages of its lot and of its order read it."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from inventory.core.references import order_number
from inventory.core.rows import from_row
from inventory.models import Hold


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldRow:
    """Wood of one lot held for somebody. order_number: None when it is held by hand."""

    hold_id: int
    lot_code: str
    lot_name: str
    yard: str
    cords: Fraction
    kind: str
    state: str
    lapses_on: date | None
    reference: str
    order_number: int | None

    @classmethod
    def of(cls, hold: Hold) -> "HoldRow":
        """Of a hold read with its lot's yard."""
        lot = hold.lot
        return from_row(
            cls, hold,
            hold_id=hold.pk, lot_code=lot.code, lot_name=lot.name, yard=lot.yard.name,
            order_number=order_number(hold.reference),
        )  # fmt: skip

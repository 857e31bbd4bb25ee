"""What a customer's measured stack teaches: the heap number of the rig that brought it."""

from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from inventory.core import InventoryError
from inventory.core.references import order_reference
from inventory.core.units import CORD_FT3
from orders.selectors.claims import ClaimRow
from routing.selectors.rigs import is_taught_by, load_behind
from routing.services.rigs import learn_heap_number

SETTLED_BY_MEASURE = ("credited", "brought")


def learn_from_claim(row: ClaimRow | None, *, on: date, at: datetime, who: str) -> Decimal | None:
    """Teach the rig from a short claim that was put right; this load's own heap number.

    None where there is nothing to learn: not settled by the measure, no rig or more than one brought it,
    the order has taught it before, or no load of wood makes such a stack.
    """
    if row is None or row.claim.kind != "short" or row.claim.state not in SETTLED_BY_MEASURE:
        return None
    reference = order_reference(row.number)
    load = load_behind(row.number)
    if load is None or is_taught_by(reference):
        return None
    result = row.claim.result
    stacked = Fraction(result["stack_cords"]) * CORD_FT3
    try:
        return learn_heap_number(
            rig_name=load.rig,
            form=load.form,
            loose_ft3=Decimal(result["loaded_ft3"]),
            stacked_ft3=Decimal(stacked.numerator) / Decimal(stacked.denominator),
            on=on,
            at=at,
            who=who,
            reference=reference,
            note="measured by the customer",
        )
    except InventoryError:
        return None

"""An order's wood that came home from its run and lies elsewhere now: the books follow it."""

from datetime import date, datetime
from fractions import Fraction

from django.db import transaction

from inventory.models import Hold, Lot
from inventory.services.moves import bring_back, bring_back_held
from orders.models import OrderHold
from orders.services.asking import order_for_writing
from orders.services.held import standing_holds


@transaction.atomic
def bring_home(
    *,
    number: int,
    lot_id: int,
    cords: Fraction,
    yard_id: int,
    onto: str = "",
    on: date,
    at: datetime,
    who: str,
) -> str:
    """Move so much of an order's wood to the yard it came home to; the code of the lot it is in now.

    What is held for the order stays held. Wood nobody waits for any more, as of a canceled order, moves
    as open wood.

    Errors
        NoSuchOrder
        NoSuchYard, NotEnoughOpen, WillNotMerge, LotChanged (inventory)
    """
    order = order_for_writing(number)
    lot = Lot.objects.get(pk=lot_id)
    left, code = cords, onto
    for hold in standing_holds(order):
        if hold.lot_id != lot_id or left <= 0:
            continue
        held_id = bring_back_held(
            hold_id=hold.pk, cords=left, to_yard_id=yard_id, onto=code, on=on, at=at, who=who
        )
        OrderHold.objects.create(order=order, hold_id=held_id)
        left -= min(left, hold.cords)
        code = Hold.objects.get(pk=held_id).lot.code
    if left == cords and cords > 0:
        code = bring_back(
            code=lot.code, cords=cords, to_yard_id=yard_id, onto=onto, reference=order.reference,
            on=on, at=at, who=who,
        )  # fmt: skip
    return code

"""Wood the seller sets aside by hand, for somebody who phoned. Holds of orders are the orders' own."""

from datetime import date, datetime
from fractions import Fraction

from django.db import transaction

from inventory.core import InventoryError
from inventory.core.references import order_number
from inventory.core.sentences import Sentence
from inventory.models import Hold
from inventory.services.audit import note as audit_note
from inventory.services.holds import NoSuchHold, hold_wood, release_hold
from inventory.services.ledger import lot_by_code


class HeldForOrder(InventoryError):
    """A hold that belongs to an order was to be made or ended by hand."""

    says = "Order {number} holds its own wood: change the order instead."


@transaction.atomic
def hold_by_hand(
    *,
    code: str,
    cords: Fraction,
    for_whom: str,
    kind: str,
    at: datetime,
    who: str,
    lapses_on: date | None = None,
) -> int:
    """Set wood aside for somebody named; the hold's number.

    Errors
        NoSuchLot, NothingToHold, NotEnoughOpen
        HeldForOrder: the name is an order's.
    """
    if number := order_number(for_whom):
        raise HeldForOrder(number=number)
    lot = lot_by_code(code)
    hold_id = hold_wood(
        lot_id=lot.pk, cords=cords, kind=kind, reference=for_whom, made_at=at, lapses_on=lapses_on
    )
    audit_note(
        at=at,
        who=who,
        verb="set aside",
        thing=f"lot {code}",
        note=Sentence("for {whom}", {"whom": for_whom}),
        after={"cords": str(cords)},
    )
    return hold_id


@transaction.atomic
def release_by_hand(*, code: str, hold_id: int, at: datetime, who: str) -> None:
    """Give wood set aside by hand back to the open stock.

    Errors
        NoSuchHold: no such hold on this lot. HeldForOrder.
    """
    hold = Hold.objects.filter(pk=hold_id, lot__code=code).first()
    if hold is None:
        raise NoSuchHold(hold=hold_id)
    if number := order_number(hold.reference):
        raise HeldForOrder(number=number)
    if release_hold(hold_id=hold_id, at=at):
        audit_note(
            at=at,
            who=who,
            verb="gave back",
            thing=f"lot {code}",
            note=Sentence("held for {whom}", {"whom": hold.reference}),
        )

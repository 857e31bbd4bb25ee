"""A delivery that was marked by mistake: the wood is back in its lots and held, the order waits again."""

from datetime import date, datetime
from fractions import Fraction

from django.db import transaction

from inventory.models import Hold, Lot
from inventory.services import audit
from inventory.services.draws import undo_sale
from inventory.services.holds import hold_wood
from orders.core import OrdersError
from orders.core.lifecycle import State
from orders.models import Letter, Order, OrderHold
from orders.selectors.drawn import lots_drawn
from orders.services.asking import order_for_writing
from orders.services.held import cords_of_bundles


class NotToUndo(OrdersError):
    """The order was never marked delivered, or something rests on its delivery."""


@transaction.atomic
def undo_delivery(*, number: int, to: State, on: date, at: datetime, who: str) -> bool:
    """Take a delivery back: the order is confirmed, or planned where its truck is still out.

    Money that was recorded stays, as paid ahead; a ticket stays as given, until another replaces it. What
    was to be told of it and is not yet told is dropped. True when the customer was told already.

    Errors
        NoSuchOrder, NotToUndo
        NotEnoughOpen: less was left there than ordered, and the rest is promised to others since.
    """
    order = order_for_writing(number)
    if order.state not in (Order.State.DELIVERED, Order.State.SETTLED):
        raise NotToUndo("Order {number} is not marked delivered, so there is nothing to undo.", number=number)
    if order.claims.exists():
        raise NotToUndo(
            "Order {number} has a complaint about its delivery: answer that instead.", number=number
        )
    drawn = [(lot, cords) for lot, cords in lots_drawn(order) if cords > 0]
    if not drawn or not order.order_holds.exists():
        raise NotToUndo("Order {number} came from older books: no wood here went out for it.", number=number)
    for lot, cords in drawn:
        undo_sale(code=lot.code, cords=cords, reference=order.reference, on=on, at=at, who=who)
    for lot_id, cords in _held_again(order, drawn).items():
        hold_id = hold_wood(
            lot_id=lot_id, cords=cords, kind=Hold.Kind.FIRM, reference=order.reference, made_at=at
        )
        OrderHold.objects.create(order=order, hold_id=hold_id)
    before, order.state = order.state, to
    order.delivered_on = order.delivered_cords = None
    if to == State.CONFIRMED:
        order.promised_on = order.comes_from = order.comes_to = order.on_the_way_at = None
    order.save()
    letters = Letter.objects.filter(order=order, kind="delivered")
    letters.filter(sent_at__isnull=True).delete()
    others = Order.objects.filter(customer=order.customer, delivered_on__isnull=False)
    if order.customer.is_repeat and not others.exists():
        order.customer.is_repeat = False
        order.customer.save(update_fields=["is_repeat"])
    audit.note(
        at=at, who=who, verb="delivery undone", thing=order.reference, before={"state": before},
        after={"state": str(to), "lots": {lot.code: str(cords) for lot, cords in drawn}},
    )  # fmt: skip
    return letters.exists()


def _held_again(order: Order, drawn: list[tuple[Lot, Fraction]]) -> dict[int, Fraction]:
    """All the order wants, of the lots that gave its wood, whatever more or less was left there."""
    left = order.cords + cords_of_bundles(order.bundles, [lot for lot, _cords in drawn])
    held: dict[int, Fraction] = {}
    by_amount = sorted(drawn, key=lambda given: (-given[1], given[0].code))
    for lot, cords in by_amount:
        held[lot.pk] = min(cords, left)
        left -= held[lot.pk]
    held[by_amount[0][0].pk] += left
    return {lot_id: cords for lot_id, cords in held.items() if cords > 0}

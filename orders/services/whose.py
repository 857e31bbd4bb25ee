"""An order that stands under the wrong name goes to whoever it is for.

All of it runs inside the caller's transaction.
"""

from dataclasses import dataclass
from datetime import datetime
from uuid import uuid4

from orders.models import Customer, Order, Quote
from orders.services.customers import customer_of_order


@dataclass(frozen=True, slots=True, kw_only=True)
class Whose:
    """Whom an order is for, as the seller types it: somebody known by name and phone, or somebody new."""

    name: str
    phone: str


def hand_over(order: Order, whose: Whose, *, at: datetime) -> None:
    """The order, its place and its quote are theirs from now on. It is not saved here.

    Letters already written stay with the person they were written to; the link that person has opens the
    order no longer.

    Errors
        BadPhone
    """
    was = order.customer
    new = customer_of_order(
        name=whose.name, phone=whose.phone, at=at, language=was.language, typed_by_staff=True
    )
    if new.pk == was.pk:
        return
    order.customer, order.link_secret = new, uuid4()
    _take_place_along(order, new)
    if order.quote is not None:
        Quote.objects.filter(pk=order.quote.pk, customer=was).update(customer=new)
    order.letters.filter(
        sent_at__isnull=True
    ).delete()  # what nobody got yet told of the wrong person's order


def _take_place_along(order: Order, new: Customer) -> None:
    place = order.place
    if place is None:
        return
    if place.orders.exclude(pk=order.pk).exists():
        place.pk, place._state.adding = None, True  # the other keeps the place of their other orders
    place.customer = new
    place.save()
    order.place = place

"""Forget a person everywhere: the sale, what drivers wrote on the road, the photos taken at their door."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from inventory.services.photos import delete_photos
from orders.models import Order
from orders.services.customers import erase_customer
from routing.models import DriverEvent, Stop

WORDS = ("note",)  # of what a phone sent; figures and times stay


@transaction.atomic
def erase_person(*, customer_id: int, owed: Decimal, at: datetime, who: str) -> None:
    """Take a person out of the books; the figures of their orders and drives stay.

    Errors
        NoSuchCustomer
        StillOwing: an order is still open, or money is owed.
    """
    erase_customer(customer_id=customer_id, owed=owed, at=at, who=who)
    orders = list(Order.objects.filter(customer_id=customer_id))
    Stop.objects.filter(order__in=orders).update(note="")
    for event in DriverEvent.objects.filter(order__in=orders):
        event.input = {name: value for name, value in event.input.items() if name not in WORDS}
        event.message = ""
        event.save(update_fields=["input", "message"])
    delete_photos(order.reference for order in orders)

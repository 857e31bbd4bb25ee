"""A drop marked delivered by mistake: it is to come again, or on another day where its truck is home."""

from datetime import date, datetime
from uuid import uuid5

from django.db import transaction

from orders.core.lifecycle import State
from orders.models import Payment
from orders.services.payments import undo_booking
from orders.services.undelivering import undo_delivery
from routing.models import DriverEvent, Stop
from routing.services.driver_events.handover import short_key

MARKED_BY_MISTAKE = "marked delivered by mistake"


@transaction.atomic
def undo_drop(*, number: int, on: date, at: datetime, who: str) -> bool:
    """Take an order's delivery back, with its drops. True when the customer was told already.

    While the truck is out the drop is open again and the driver can mark it anew; once it is home, the drop
    counts as brought home and the order waits for another day.

    Errors
        NoSuchOrder, NotToUndo (orders)
    """
    drops = list(
        Stop.objects.filter(order__number=number, state=Stop.State.DELIVERED).select_related("load__run")
    )
    is_out = bool(drops) and all(drop.load.run.actual_home_at is None for drop in drops)
    to = State.PLANNED if is_out else State.CONFIRMED
    was_told = undo_delivery(number=number, to=to, on=on, at=at, who=who)
    _undo_short(number, drops, on=on, at=at, who=who)
    for drop in drops:
        drop.state = Stop.State.PLANNED if is_out else Stop.State.TROUBLE
        drop.done_at = None if is_out else drop.done_at
        drop.note = drop.note if is_out else MARKED_BY_MISTAKE
        drop.save(update_fields=["state", "done_at", "note"])
    return was_told


def _undo_short(number: int, drops: list[Stop], *, on: date, at: datetime, who: str) -> None:
    """What was taken off because less was left there goes back on the bill."""
    said = DriverEvent.objects.filter(stop__in=drops, kind="delivered").values_list("key", flat=True)
    keys = [short_key(key) for key in said]
    lines = Payment.objects.filter(key__in=keys, order__number=number, reversals__isnull=True)
    for line in lines:
        undo_booking(number=number, payment_id=line.pk, on=on, at=at, who=who, key=uuid5(line.key, "undone"))

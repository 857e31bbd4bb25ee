"""The waiting list: who is to be told when a wood can be had. Each entry is told once."""

from datetime import datetime, timedelta
from fractions import Fraction
from uuid import UUID

from django.db import transaction
from django.db.models import F

from inventory.services import audit
from orders.core import OrdersError
from orders.models import Customer, WaitingEntry
from orders.services.customers import customer_of_order

KEEP_TOLD = timedelta(days=60)


class NoSuchEntry(OrdersError):
    says = "This person was told already, or is on the waiting list no more."


@transaction.atomic
def wait_for_wood(
    *,
    key: UUID,
    name: str,
    phone: str,
    at: datetime,
    wood: str = "",
    dryness: str = "seasoned",
    cords: Fraction = Fraction(0),
    email: str = "",
    language: str = "en",
    proven: Customer | None = None,
    typed_by_staff: bool = False,
    who: str = "customer",
) -> int:
    """Put somebody on the list; the same key again changes nothing. Returns the entry's id.

    Units
        wood: empty for any that is dry. cords: the least that is of use to them, 0 for any amount.

    Errors
        BadPhone
    """
    known = WaitingEntry.objects.filter(key=key).first()
    if known is not None:
        return known.pk
    customer = customer_of_order(
        name=name,
        phone=phone,
        email=email,
        language=language,
        at=at,
        proven=proven,
        typed_by_staff=typed_by_staff,
    )
    entry = WaitingEntry(key=key, customer=customer, wood=wood, dryness=dryness, cords=cords, asked_at=at)
    entry.full_clean()
    entry.save()
    audit.note(at=at, who=who, verb="waits for wood", thing=f"customer {customer.pk}", note=wood)
    return entry.pk


def mark_waiting_told(*, entry_id: int, at: datetime) -> bool:
    """Note that somebody is told; False when they were before, or are not on the list any more."""
    return bool(WaitingEntry.objects.filter(pk=entry_id, told_at__isnull=True).update(told_at=at))


@transaction.atomic
def stop_waiting(*, entry_id: int, at: datetime, who: str) -> None:
    """Take somebody off the list untold.

    Errors
        NoSuchEntry
    """
    entry = WaitingEntry.objects.filter(pk=entry_id, told_at__isnull=True).first()
    if entry is None:
        raise NoSuchEntry
    audit.note(at=at, who=who, verb="waits no more", thing=f"customer {entry.customer_id}", note=entry.wood)
    entry.delete()


def forget_told(*, at: datetime) -> None:
    """Delete entries told long ago, and people of whom nothing else is known."""
    old = WaitingEntry.objects.filter(told_at__lt=at - KEEP_TOLD)
    came_for_it = [entry.customer_id for entry in old.filter(customer__made_at=F("asked_at"))]
    old.delete()
    Customer.objects.filter(
        pk__in=came_for_it, orders=None, quotes=None, places=None, waiting_entries=None, owed_before=0
    ).delete()

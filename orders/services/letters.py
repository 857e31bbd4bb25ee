"""Messages to customers as rows: written after the step they tell of, sent by a background task."""

from datetime import datetime

from django.db import transaction

from orders.models import Letter, Order


@transaction.atomic
def keep_letter(
    *,
    number: int | None,
    customer_id: int,
    kind: str,
    is_email: bool,
    to: str,
    subject: str,
    body: str,
    at: datetime,
) -> int:
    """Keep a letter that waits to be sent; returns its id."""
    order = Order.objects.filter(number=number).first() if number is not None else None
    letter = Letter(
        order=order,
        customer_id=customer_id,
        kind=kind,
        way=Letter.Way.EMAIL if is_email else Letter.Way.TEXT,
        to=to,
        subject=subject[:200],
        body=body,
        made_at=at,
    )
    letter.full_clean()
    letter.save()
    return letter.pk


@transaction.atomic
def mark_sent(*, letter_id: int, at: datetime) -> None:
    """The letter has gone out, or the seller says that they sent the text."""
    Letter.objects.filter(pk=letter_id, sent_at__isnull=True).update(sent_at=at, trouble="")


@transaction.atomic
def mark_trouble(*, letter_id: int, trouble: str) -> None:
    """The letter could not go out; the seller sees why and can send it by phone."""
    Letter.objects.filter(pk=letter_id).update(trouble=trouble[:300])

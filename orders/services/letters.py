"""The outbox: messages to customers are rows, written with the step they tell of and sent by the worker.

Each try takes the row by one conditional update that moves its next try ahead, so that no two workers send
it at once and a worker that is killed while sending leaves it due again. A letter keeps one Message-ID: where
a server took it and the worker died before noting so, the reader's mail program shows it once.
"""

import logging
from datetime import datetime, timedelta
from smtplib import SMTPException

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.utils import timezone

from inventory.core.sentences import Sentence
from inventory.services import audit
from orders.core import OrdersError
from orders.models import Letter, Order

LEASE = timedelta(minutes=10)  # longer than any try: the time limits of the mail server are far below it
WAITS = tuple(timedelta(minutes=minutes) for minutes in (1, 5, 15, 60, 180, 360, 720))
MOST_AT_ONCE = 50

logger = logging.getLogger(__name__)


class NoSuchLetter(OrdersError):
    says = "This letter is sent already, or is there no more."


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
    """Keep a letter in the transaction of the step it tells of; returns its id."""
    order = Order.objects.filter(number=number).first() if number is not None else None
    letter = Letter(
        order=order,
        customer_id=customer_id,
        kind=kind,
        way=Letter.Way.EMAIL if is_email else Letter.Way.TEXT,
        to=to,
        subject=" ".join(subject.split())[:200],
        body=body,
        made_at=at,
        due_at=timezone.now() if is_email else None,
    )
    letter.full_clean()
    letter.save()
    return letter.pk


def send_due(*, at: datetime) -> int:
    """Send e-mails whose time has come, each taken and marked in a transaction of its own; how many went.

    Units
        at: the wall clock, also where the seller's day is pinned.
    """
    if not settings.SENDS_EMAIL:
        return 0
    due = Letter.objects.filter(way=Letter.Way.EMAIL, sent_at__isnull=True, due_at__lte=at)
    return sum(_sent(letter, at=at) for letter in due.order_by("due_at", "id")[:MOST_AT_ONCE])


def _sent(letter: Letter, *, at: datetime) -> bool:
    taken = Letter.objects.filter(pk=letter.pk, sent_at__isnull=True, due_at=letter.due_at)
    if not taken.update(due_at=at + LEASE, tries=letter.tries + 1):
        return False  # another worker has it
    domain = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip("<> ") or "localhost"
    headers = {"Message-ID": f"<{letter.key}@{domain}>"}
    try:
        EmailMessage(subject=letter.subject, body=letter.body, to=[letter.to], headers=headers).send()
    except (OSError, SMTPException, ValueError) as error:
        wait = WAITS[letter.tries] if letter.tries < len(WAITS) else None
        said = Sentence("The mail server said: {error}", {"error": str(error)[:300]})
        problem = said if str(error) else Sentence("The mail server did not answer.")
        Letter.objects.filter(pk=letter.pk).update(due_at=at + wait if wait else None, problem=problem)
        logger.warning("Letter %s was not sent: %s", letter.pk, problem)
        return False
    Letter.objects.filter(pk=letter.pk).update(sent_at=timezone.now(), due_at=None, problem="")
    return True


def send_again(*, letter_id: int, number: int | None, as_text: bool = False) -> None:
    """Try a letter, of an order or of none, anew from the first wait, or leave it to the seller's phone.

    Errors
        NoSuchLetter: it has gone out meanwhile.
    """
    waiting = Letter.objects.filter(pk=letter_id, sent_at__isnull=True)
    waiting = waiting.filter(order=None) if number is None else waiting.filter(order__number=number)
    letter = waiting.select_related("customer").first()
    if letter is None:
        raise NoSuchLetter
    if as_text:
        phone = letter.customer.phone or letter.customer.phone_as_typed
        changed = waiting.update(way=Letter.Way.TEXT, to=phone or letter.to, due_at=None, problem="", tries=0)
    else:
        to = letter.customer.email or letter.to
        changed = waiting.update(way=Letter.Way.EMAIL, to=to, due_at=timezone.now(), problem="", tries=0)
    if not changed:
        raise NoSuchLetter


@transaction.atomic
def mark_told(*, letter_id: int, told: bool, at: datetime, who: str) -> None:
    """A message for the seller's phone was told, or was not after all.

    Errors
        NoSuchLetter
    """
    rows = Letter.objects.filter(pk=letter_id, way=Letter.Way.TEXT, sent_at__isnull=told)
    letter = rows.select_related("order").first()
    if letter is None or not rows.update(sent_at=at if told else None):
        raise NoSuchLetter
    if letter.order:
        verb = "told" if told else "not told after all"
        audit.note(at=at, who=who, verb=verb, thing=letter.order.reference, note=letter.kind)


@transaction.atomic
def leave_untold(*, letter_id: int, at: datetime, who: str) -> None:
    """A message that nobody needs any more is dropped; the trail keeps that it was never told.

    Errors
        NoSuchLetter
    """
    letter = Letter.objects.filter(pk=letter_id, way=Letter.Way.TEXT, sent_at__isnull=True).first()
    if letter is None:
        raise NoSuchLetter
    if letter.order:
        audit.note(at=at, who=who, verb="left untold", thing=letter.order.reference, note=letter.kind)
    letter.delete()

"""Letters on their way: how many wait, which could not be sent, and which the seller tells by phone."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet

from orders.models import Letter

MOST_SHOWN = 20
OF_THE_DAY = ("day_set", "day_moved", "day_off")  # a newer one of them says all an older one would
TELL_WITHIN = timedelta(days=21)  # older news is no news


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingLetters:
    """E-mails not sent yet, and those of them that were tried in vain."""

    unsent: int
    failing: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterLine:
    """A message in a list: to whom, about which order. id: 0 for one that nobody has written yet."""

    id: int = 0
    number: int | None
    customer: str
    kind: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FailedLetter(LetterLine):
    """An e-mail that was tried in vain; `is_given_up` when nothing tries it again by itself."""

    reason: str
    is_given_up: bool


def waiting_letters() -> WaitingLetters:
    unsent = Letter.objects.filter(way=Letter.Way.EMAIL, sent_at__isnull=True)
    return WaitingLetters(unsent=unsent.count(), failing=unsent.exclude(problem="").count())


def failed_letters() -> tuple[FailedLetter, ...]:
    """The newest e-mails that were tried in vain."""
    rows = Letter.objects.filter(way=Letter.Way.EMAIL, sent_at__isnull=True).exclude(problem="")
    return tuple(
        FailedLetter(
            id=row.pk,
            number=row.order.number if row.order else None,
            customer=row.customer.name,
            kind=row.kind,
            reason=row.problem,
            is_given_up=row.due_at is None,
        )
        for row in rows.select_related("order", "customer")[:MOST_SHOWN]
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ToTell(LetterLine):
    """A message that is ready for the seller's own phone; told_at: when somebody said it was told."""

    phone: str
    has_text: bool  # a phone that takes texts
    has_email: bool = False
    body: str
    language: str
    told_at: datetime | None = None


def to_tell(*, at: datetime) -> tuple[ToTell, ...]:
    """Messages nobody has told yet, oldest first; what a newer one about the day replaces is left out."""
    return _rows(_untold(at).order_by("made_at", "pk"))


def to_tell_count(*, at: datetime) -> int:
    return _untold(at).count()


def told_since(at: datetime) -> tuple[ToTell, ...]:
    """Messages marked as told from a moment on, newest first."""
    return _rows(Letter.objects.filter(way=Letter.Way.TEXT, sent_at__gte=at).order_by("-sent_at", "-pk"))


def _untold(at: datetime) -> QuerySet[Letter]:
    newer = Letter.objects.filter(order=OuterRef("order"), kind__in=OF_THE_DAY).filter(
        Q(made_at__gt=OuterRef("made_at")) | Q(made_at=OuterRef("made_at"), pk__gt=OuterRef("pk"))
    )
    rows = Letter.objects.filter(way=Letter.Way.TEXT, sent_at__isnull=True, made_at__gte=at - TELL_WITHIN)
    return rows.exclude(Q(kind__in=OF_THE_DAY, order__isnull=False) & Exists(newer))


def _rows(letters: QuerySet[Letter]) -> tuple[ToTell, ...]:
    return tuple(
        ToTell(
            id=row.pk,
            number=row.order.number if row.order else None,
            customer=row.customer.name,
            phone=row.customer.phone or row.customer.phone_as_typed,
            has_text=bool(row.customer.phone) and not row.customer.is_landline,
            has_email=bool(row.customer.email),
            kind=row.kind,
            body=row.body,
            language=row.customer.language,
            told_at=row.sent_at,
        )
        for row in letters.select_related("order", "customer")
    )


def told_of(kind: str, numbers: Iterable[int], *, since: datetime) -> set[int]:
    """Orders that were written to, or told, in this way from a moment on."""
    rows = Letter.objects.filter(kind=kind, order__number__in=list(numbers), made_at__gte=since)
    return set(rows.values_list("order__number", flat=True))

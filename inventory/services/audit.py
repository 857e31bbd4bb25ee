"""The trail of changes: one line for every price, lot and order that somebody touched."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db.models import QuerySet

from inventory.core.kept import at_most
from inventory.core.sentences import Sentence
from inventory.models import AuditEntry


def note(
    *,
    at: datetime,
    who: str,
    verb: str,
    thing: str,
    note: str | Sentence = "",
    before: dict[str, Any] | None = None,
    after: dict[str, Any] | None = None,
) -> None:
    """Write one line of the trail inside the caller's transaction.

    Shapes
        thing: "order 205", "lot K1", "yard Siding Yard".
        before, after: JSON values by field name; only what changed.
    """
    entry = AuditEntry(
        at=at,
        who=who[:80] or "system",
        verb=verb[:40],
        thing=thing[:40],
        note=at_most(300, note),
        before=before or {},
        after=after or {},
    )
    entry.full_clean()
    entry.save()


def forget(things: Iterable[str]) -> None:
    """Take words and values out of the lines about these things; who did what when stays.

    A trail is only added to, but for a person who asked to be forgotten and for old lines of the door.
    """
    lines: QuerySet[AuditEntry] = QuerySet(AuditEntry).filter(thing__in=list(things))
    lines.update(note="", before={}, after={})


def forget_door(verbs: Iterable[str], *, before: datetime) -> int:
    """Delete lines of the staff door that are older: strangers write them, as many as they like; how many."""
    lines: QuerySet[AuditEntry] = QuerySet(AuditEntry).filter(verb__in=list(verbs), at__lt=before)
    return lines.delete()[0]

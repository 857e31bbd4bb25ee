"""The trail of who changed what; every app writes into it."""

from datetime import datetime
from typing import Any

from inventory.models import AuditEntry


def note(
    *,
    at: datetime,
    who: str,
    verb: str,
    thing: str,
    note: str = "",
    before: dict[str, Any] | None = None,
    after: dict[str, Any] | None = None,
) -> None:
    """One entry. Runs inside the caller's transaction, so that what is undone leaves no trail."""
    AuditEntry.objects.create(
        at=at,
        who=who[:80],
        verb=verb[:40],
        thing=thing[:40],
        note=note[:300],
        before=before or {},
        after=after or {},
    )

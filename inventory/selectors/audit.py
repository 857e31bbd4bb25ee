"""Who changed what, newest first."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from inventory.core.rows import from_row
from inventory.models import AuditEntry

PAGE = 50
SAID = {  # a line of the trail reads "order 205: scheduled"; the others are said as they are kept
    "added to": "wood added",
    "asked": "placed",
    "brought forward": "totals added",
    "chosen": "changed",
    "cleared": "plan removed",
    "day set": "scheduled",
    "described": "name or note changed",
    "figures dropped": "back to the published figures",
    "figures kept": "figures changed",
    "forgot": "removed",
    "gave back": "given back",
    "guessed": "guesses changed",
    "joined": "signed in for the first time",
    "kept as is": "run kept as it is",
    "laid anew": "spread, stacked or covered",
    "laid out": "planned",
    "learned": "heap number learned",
    "left": "removed",
    "let go": "run open to the planner again",
    "loads roads": "loading",
    "logged work": "logged",
    "offered": "added",
    "opened": "added",
    "pay first": "pays first from now on",
    "pay first cleared": "no longer pays first",
    "posted": "saved",
    "put back": "back in service",
    "put right": "corrected",
    "read": "moisture read",
    "sells to": "added",
    "set the weather": "weather set",
    "shut": "closed",
    "spent": "recorded",
    "stopped": "removed",
    "swapped yard": "loading yard changed",
    "taken out": "out of service",
    "took back": "taken back",
    "took back an expense": "taken back",
    "took back work": "taken back",
    "unmarked": "mark removed",
    "unposted": "removed",
    "waits for wood": "on the waiting list",
    "waits no more": "off the waiting list",
    "wrote off": "written off",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditRow:
    at: datetime
    who: str
    verb: str
    thing: str
    note: str
    changes: tuple[tuple[str, str, str], ...]  # field, before, after


def _changes(before: dict[str, Any], after: dict[str, Any]) -> tuple[tuple[str, str, str], ...]:
    names = sorted({*before, *after})
    return tuple(
        (name.replace("_", " "), _said(before.get(name, "")), _said(after.get(name, "")))
        for name in names
        if before.get(name) != after.get(name)
    )


def _said(value: Any) -> str:
    """A value in words: lots with their amounts one after the other."""
    return (
        ", ".join(f"{key} {part}" for key, part in value.items()) if isinstance(value, dict) else str(value)
    )


def audit_trail(*, thing: str = "", page: int = 1) -> tuple[tuple[AuditRow, ...], bool]:
    """One page of entries, of one thing when named ("order 205", "lot K1"); and whether more follow."""
    entries = AuditEntry.objects.order_by("-at", "-id")
    if thing:
        entries = entries.filter(thing__icontains=thing)
    first = (max(page, 1) - 1) * PAGE
    rows = list(entries[first : first + PAGE + 1])
    shown = tuple(
        from_row(
            AuditRow,
            row,
            verb=SAID.get(row.verb, row.verb),
            changes=_changes(row.before, row.after),
        )
        for row in rows[:PAGE]
    )
    return shown, len(rows) > PAGE

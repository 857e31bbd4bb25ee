"""What was written down wrong about a lot, put right: wood, ground, days, how wet it began."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import F

from inventory.core.lot_days import check_days
from inventory.services.audit import note as audit_note
from inventory.services.ledger import lot_by_code
from inventory.services.lots import mix_as_kept


@transaction.atomic
def correct_facts(
    *,
    code: str,
    mix: dict[str, Decimal],
    unit_id: int | None,
    felled_on: date | None,
    bucked_on: date | None,
    split_on: date | None,
    drying_from: date,
    start_moisture_pct: Decimal,
    on: date,
    at: datetime,
    who: str,
) -> tuple[str, ...]:
    """Write what is true of a lot; the names of what changed. What was there before stays in the audit trail.

    Dryness, weight and tickets to come follow at once; tickets already given stay as they were.

    Errors
        NoSuchLot, BadMix, UnknownWood
        BadDay: a day to come, or days out of order.
    """
    lot = lot_by_code(code)
    days = {"felled_on": felled_on, "bucked_on": bucked_on, "split_on": split_on, "drying_from": drying_from}
    check_days(days, on=on)
    told: dict[str, Any] = {
        "mix": mix_as_kept(mix), "unit_id": unit_id, "start_moisture_pct": start_moisture_pct, **days
    }  # fmt: skip
    changed = tuple(name for name, value in told.items() if getattr(lot, name) != value)
    if not changed:
        return ()
    before = {name: str(getattr(lot, name)) for name in changed}
    for name in changed:
        setattr(lot, name, told[name])
    lot.full_clean()
    lot.version = F("version") + 1
    lot.save(update_fields=[*changed, "version"])
    audit_note(
        at=at, who=who, verb="put right", thing=f"lot {code}", before=before,
        after={name: str(told[name]) for name in changed},
    )  # fmt: skip
    return changed

"""Who sells: saved in one row, every change noted."""

from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.core import local
from inventory.models import Business
from inventory.services.audit import note

CHANGEABLE = (
    "name",
    "owner",
    "address",
    "phone",
    "email",
    "about",
    "place_key",
    "currency",
    "language",
    "picture_id",
    "target_wage",
    "production_hours_per_cord",
    "production_cash_per_cord",
    "first_rain_month",
    "first_rain_day",
    "change_cut_off_hour",
    "request_hours",
)


@transaction.atomic
def save_business(*, at: datetime, who: str, values: dict[str, Any]) -> None:
    """Write the seller's row, made on first use.

    Errors
        ValidationError: a value the columns refuse, such as month 13.
    """
    row = Business.objects.order_by("id").first() or Business()
    before = {name: str(getattr(row, name)) for name in CHANGEABLE if row.pk}
    for name in CHANGEABLE:
        if name in values:
            setattr(row, name, values[name])
    row.full_clean()
    row.save()
    local.forget()
    after = {name: str(getattr(row, name)) for name in CHANGEABLE}
    if before != after:
        note(at=at, who=who, verb="changed settings", thing="business", before=before, after=after)


@transaction.atomic
def tell_of_part(*, part: str, answer: str) -> None:
    """Keep that the seller was told of a part of the app: "shown", or "not_now" keeps it out of the tabs."""
    row = Business.objects.select_for_update().order_by("id").first() or Business(name="Firewood")
    row.parts_told = {**row.parts_told, part: answer}
    row.save()

"""The seller's own woods: a kind nobody printed, or a published figure put right, each with its source."""

from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.utils.text import slugify

from inventory.core import InventoryError
from inventory.core.moisture import most_water_pct
from inventory.core.species import published_woods, woods
from inventory.models import Lot, OwnSpecies
from inventory.selectors.species import OWN_COLUMNS, forget
from inventory.services.audit import note as audit_note


class BadSpecies(InventoryError):
    """Figures no wood can have, or a wood that is in use."""


@transaction.atomic
def save_species(*, key: str, values: dict[str, Any], on: date, at: datetime, who: str) -> str:
    """Keep a wood's own figures; a new wood without a key gets one from its name. Returns the key.

    Errors
        BadSpecies: a name that is taken, wetter than wood can be, no source.
    """
    if not key:
        key = slugify(values["name"]).replace("-", "_")[:40]
        if not key or key in woods():
            raise BadSpecies(
                "There is a wood named {name} already: correct its figures instead.",
                field="name",
                name=values["name"],
            )
    full = most_water_pct(float(values["specific_gravity"]))
    if float(values["green_high_pct"]) > full:
        raise BadSpecies(
            "Wood of that specific gravity holds at most {full:.0f}% water: look at both again.",
            field="green_high_pct",
            full=full,
        )
    if values["green_low_pct"] > values["green_high_pct"]:
        raise BadSpecies("Put the driest green wood first.", field="green_low_pct")
    row = OwnSpecies.objects.filter(key=key).first() or OwnSpecies(key=key)
    before = {name: str(getattr(row, name)) for name in OWN_COLUMNS} if row.pk else {}
    for name in OWN_COLUMNS:
        setattr(row, name, values[name])
    row.changed_on = on
    row.full_clean()
    row.save()
    forget()
    after = {name: str(values[name]) for name in OWN_COLUMNS}
    audit_note(at=at, who=who, verb="figures kept", thing=f"wood {key}", before=before, after=after)
    return key


@transaction.atomic
def drop_species(*, key: str, at: datetime, who: str) -> None:
    """Go back to the published figures; a wood only this seller has is dropped.

    Errors
        BadSpecies: a lot is of it and nothing is published about it.
    """
    if key not in published_woods():
        lots = [lot.code for lot in Lot.objects.all() if key in lot.mix]
        if lots:
            raise BadSpecies("{lots} is of this wood: change the lot's mix first.", lots=", ".join(lots))
    OwnSpecies.objects.filter(key=key).delete()
    forget()
    audit_note(at=at, who=who, verb="figures dropped", thing=f"wood {key}")

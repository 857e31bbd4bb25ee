"""What tape, meter and a customer's stack said: measurements, readings, restacks."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db import transaction

from inventory.core.heap_number import own_number
from inventory.core.measure import Volume, form_figure
from inventory.drying.calibration import forecast_before
from inventory.drying.dry_call import faces_read
from inventory.drying.history import FaceReading
from inventory.models import LoggedWork, Lot, Measurement, Reading, Restack
from inventory.selectors.histories import history_of
from inventory.services.audit import note as audit_note
from inventory.services.counts import add_wood, correct_count
from inventory.services.ledger import lot_by_code


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """An amount as a shape was measured or filled."""

    shape: str
    form: str
    sizes: dict[str, float]
    volume: Volume


@transaction.atomic
def save_measurement(
    *,
    code: str,
    measured: Measured,
    on: date,
    at: datetime,
    who: str,
    note: str = "",
    is_added: bool = False,
    logged: LoggedWork | None = None,
) -> Fraction:
    """Keep the numbers typed and the cords they gave; the likely cords become the lot's count, or are added
    to it where they came on top. How much that changed what the lot holds.

    Errors
        NoSuchLot
    """
    lot = lot_by_code(code)
    low, likely, high = measured.volume.in_cords()
    row = Measurement(
        lot=lot, on=on, shape=measured.shape, form=measured.form, sizes=measured.sizes, low_cords=low,
        likely_cords=likely, high_cords=high, is_added=is_added, who=who, note=note,
        solid_ft3=Decimal(str(round(measured.volume.solid_ft3, 2))),
    )  # fmt: skip
    row.full_clean(exclude=["lot"])
    row.save()
    told: dict[str, Any] = {"code": code, "on": on, "at": at, "who": who, "logged": logged}
    reason = f"Measured as a {measured.shape.replace('_', ' ')}"
    if is_added:
        return add_wood(cords=likely, reason=f"{reason}, added", **told)
    return correct_count(counted=likely, reason=reason, **told)


@transaction.atomic
def save_reading(
    *,
    code: str,
    faces: Sequence[float],
    basis: str,
    on: date,
    at: datetime,
    who: str,
    is_fresh_split: bool = True,
    note: str = "",
) -> None:
    """Keep the faces as read with the meter's basis; mean and worst on dry basis.

    Errors
        NoSuchLot
        BadFaces: none, too many, or no percent a meter shows.
    """
    lot = lot_by_code(code)
    read = faces_read(faces, basis=basis)
    row = Reading(
        lot=lot, on=on, faces=list(faces), basis=basis, is_fresh_split=is_fresh_split, who=who, note=note,
        worst_dry_pct=Decimal(str(round(read.worst_dry_pct, 1))),
        mean_dry_pct=Decimal(str(round(read.mean_dry_pct, 1))),
        **forecast_columns(lot, on=on, mean_pct=read.mean_dry_pct),
    )  # fmt: skip
    row.full_clean(exclude=["lot"])
    row.save()
    after: dict[str, Any] = {"faces": list(faces), "basis": basis}
    audit_note(at=at, who=who, verb="read", thing=f"lot {code}", after=after)


def forecast_columns(lot: Lot, *, on: date, mean_pct: float) -> dict[str, Decimal]:
    """What was forecast of a day before it was read, to score the forecasts by; nothing on the first day."""
    if on <= lot.drying_from:
        return {}
    reading = FaceReading(on=on, mean_pct=mean_pct, worst_pct=mean_pct)
    told = forecast_before(history_of(lot, on=on), reading)
    names = ("forecast_low_pct", "forecast_likely_pct", "forecast_high_pct")
    return {name: Decimal(str(round(value, 1))) for name, value in zip(names, told, strict=True)}


@transaction.atomic
def save_restack(
    *,
    rig_name: str,
    form: str,
    loose_ft3: Decimal,
    stacked_ft3: Decimal,
    on: date,
    at: datetime,
    who: str,
    reference: str = "",
    note: str = "",
) -> Decimal:
    """Keep what a loose load stacked to; this load's own heap number. The rig's is learned from all.

    Errors
        BadRestack: no load makes such a stack. UnknownForm.
    """
    form_figure(form)
    number = own_number(float(loose_ft3), float(stacked_ft3))
    row = Restack(
        on=on, rig_name=rig_name, form=form, loose_ft3=round(loose_ft3, 2),
        stacked_ft3=round(stacked_ft3, 2),
        reference=reference, note=note,
    )  # fmt: skip
    row.full_clean()
    row.save()
    kept = Decimal(str(round(number, 1)))
    audit_note(at=at, who=who, verb="restacked", thing=f"rig {rig_name}", after={"heap_number": str(kept)})
    return kept

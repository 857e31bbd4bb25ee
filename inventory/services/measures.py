"""What tape, meter and a customer's stack said: measurements, readings, restacks."""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.core.dry_call import faces_read
from inventory.core.heap_number import own_number
from inventory.core.measure import Volume, form_figure
from inventory.models import Measurement, Movement, Reading, Restack
from inventory.services.audit import note as audit_note
from inventory.services.counts import correct_count
from inventory.services.ledger import lot_by_code


@transaction.atomic
def save_measurement(
    *,
    code: str,
    shape: str,
    form: str,
    sizes: dict[str, float],
    volume: Volume,
    on: date,
    at: datetime,
    who: str,
    note: str = "",
    sets_count: bool = True,
) -> None:
    """Keep the numbers typed and the cords they gave; the likely cords become the lot's count.

    Errors
        NoSuchLot
        BelowPromises: the lot would hold less than is promised; nothing is saved.
    """
    lot = lot_by_code(code)
    low, likely, high = volume.in_cords()
    row = Measurement(
        lot=lot, on=on, shape=shape, form=form, sizes=sizes, low_cords=low, likely_cords=likely,
        high_cords=high, solid_ft3=Decimal(str(round(volume.solid_ft3, 2))), who=who, note=note,
    )  # fmt: skip
    row.full_clean(exclude=["lot"])
    row.save()
    if sets_count:
        correct_count(
            code=code, counted=likely, on=on, at=at, who=who, kind=Movement.Kind.CORRECTED,
            reason=f"Measured as a {shape.replace('_', ' ')}",
        )  # fmt: skip
    else:
        audit_note(at=at, who=who, verb="measured", thing=f"lot {code}", after={"cords": str(likely)})


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
    )  # fmt: skip
    row.full_clean(exclude=["lot"])
    row.save()
    after: dict[str, Any] = {"faces": list(faces), "basis": basis}
    audit_note(at=at, who=who, verb="read", thing=f"lot {code}", after=after)


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

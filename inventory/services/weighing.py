"""A load over a scale: it teaches what a cord of this wood weighs."""

from datetime import date, datetime
from fractions import Fraction

from django.db import transaction

from inventory.core.moisture import FIBER_SATURATION_PCT, on_dry_basis
from inventory.core.weighing import net_weight_lb
from inventory.models import ScaleTicket
from inventory.services.audit import note as audit_note
from inventory.services.ledger import lot_by_code


@transaction.atomic
def save_scale_ticket(
    *,
    code: str,
    gross_lb: int,
    tare_lb: int,
    cords: Fraction,
    on: date,
    at: datetime,
    who: str,
    note: str = "",
) -> int:
    """Keep a scale ticket of a load of one lot; pounds of wood on it.

    Errors
        NoSuchLot
        BadScaleTicket: weights or cords that cannot be.
    """
    lot = lot_by_code(code)
    wood_lb = net_weight_lb(gross_lb=gross_lb, tare_lb=tare_lb, cords=cords)
    read = lot.readings.filter(on__lte=on).order_by("-on", "-id").first()
    faces = [on_dry_basis(float(face), read.basis) for face in read.faces] if read else []
    row = ScaleTicket(
        lot=lot, on=on, gross_lb=gross_lb, tare_lb=tare_lb, cords=cords, who=who, note=note,
        is_green=not faces or max(faces) > FIBER_SATURATION_PCT, mix=lot.mix,
    )  # fmt: skip
    row.full_clean(exclude=["lot"])
    row.save()
    audit_note(
        at=at, who=who, verb="weighed", thing=f"lot {code}", after={"lb": wood_lb, "cords": str(cords)}
    )
    return wood_lb

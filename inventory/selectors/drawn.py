"""What lots gave to a sale, sales undone taken off."""

from fractions import Fraction

from inventory.models import Movement

OUT_AND_BACK = (Movement.Kind.SOLD, Movement.Kind.RETURNED)


def drawn_for(reference: str) -> dict[str, Fraction]:
    """Cords by lot code that went out to a sale; lots that got all of theirs back are left out."""
    gave: dict[str, Fraction] = {}
    rows = Movement.objects.filter(reference=reference, kind__in=OUT_AND_BACK).order_by("id")
    for code, cords in rows.values_list("lot__code", "cords"):
        gave[code] = gave.get(code, Fraction(0)) - cords
    return {code: cords for code, cords in gave.items() if cords}

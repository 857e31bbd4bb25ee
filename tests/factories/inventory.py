"""Rows of wood for tests. Plain functions with keyword defaults."""

from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from itertools import count
from typing import Any

from django.utils import timezone

from inventory.models import Hold, Lot, Movement, Reading, Unit, Yard

_numbers = count(1)


def an_instant(on: date = date(2026, 9, 18)) -> datetime:
    return timezone.make_aware(datetime(on.year, on.month, on.day, 9, 30))


def make_yard(**kwargs: Any) -> Yard:
    """Siding Yard unless told otherwise: at 44.0 N 150.0 W, in the open ocean."""
    fields = {"name": f"Yard {next(_numbers)}", "lat": 44.0, "lon": -150.0, "pick_up_here": True}
    return Yard.objects.create(**{**fields, **kwargs})


def make_unit(**kwargs: Any) -> Unit:
    fields = {"name": f"Unit {next(_numbers)}", "acres": Decimal("1.5")}
    return Unit.objects.create(**{**fields, **kwargs})


def make_lot(*, cords: Fraction | int | str = 6, **kwargs: Any) -> Lot:
    """A heap of seasoned fir splits for sale, its cords written as one measured movement."""
    amount = Fraction(cords)
    fields: dict[str, Any] = {
        "code": f"L{next(_numbers)}",
        "name": "Knob fir",
        "mix": {"fir": 100},
        "wood": "fir",
        "form": Lot.Form.SPLITS,
        "piling": Lot.Piling.HEAPED,
        "exposure": Lot.Exposure.LOW_HEAP,
        "felled_on": date(2026, 2, 20),
        "split_on": date(2026, 5, 12),
        "drying_from": date(2026, 5, 12),
        "start_moisture_pct": Decimal(60),
        "sale": Lot.Sale.FOR_SALE,
    }
    fields.update(kwargs)
    if "yard" not in fields:
        fields["yard"] = make_yard()
    lot = Lot.objects.create(**fields, on_hand_cords=amount)
    Movement.objects.create(
        lot=lot, kind=Movement.Kind.MEASURED, cords=amount, on=lot.drying_from, made_at=an_instant()
    )
    lot.refresh_from_db()
    return lot


def make_reading(lot: Lot, *faces: int, on: date = date(2026, 9, 12), basis: str = "dry") -> Reading:
    """Five fresh faces; worst and mean are kept on a dry basis."""
    read = faces or (17, 18, 19, 21, 18)
    dry = [face if basis == "dry" else 100 * face / (100 - face) for face in read]
    return Reading.objects.create(
        lot=lot,
        on=on,
        faces=list(read),
        basis=basis,
        worst_dry_pct=Decimal(str(round(max(dry), 1))),
        mean_dry_pct=Decimal(str(round(sum(dry) / len(dry), 1))),
    )


def make_hold(lot: Lot, *, cords: Fraction | int | str = 1, **kwargs: Any) -> Hold:
    """A standing hold, with the lot's promised columns raised as the service would."""
    amount = Fraction(cords)
    fields = {"kind": Hold.Kind.FIRM, "reference": f"order {900 + next(_numbers)}", "made_at": an_instant()}
    fields.update(kwargs)
    hold = Hold.objects.create(lot=lot, cords=amount, **fields)
    column = "firm_cords" if hold.kind == Hold.Kind.FIRM else "soft_cords"
    lot.refresh_from_db()
    setattr(lot, column, getattr(lot, column) + amount)
    lot.save(update_fields=[column])
    return hold

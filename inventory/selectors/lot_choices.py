"""Lots to choose from: by name, by code, or the last touched first."""

from dataclasses import dataclass

from django.db.models import Max, Q

from inventory.core.lots import ListedLot
from inventory.core.rows import from_row
from inventory.models import Lot


@dataclass(frozen=True, slots=True, kw_only=True)
class LotChoice(ListedLot):
    """A lot to choose or to look for. mix: percent by species."""

    yard: str
    form: str
    mix: dict[str, float]


def lots_named() -> tuple[LotChoice, ...]:
    """All lots by code, those that hold wood first."""
    rows = Lot.objects.select_related("yard").order_by("code")
    holding = sorted(rows, key=lambda row: row.on_hand_cords <= 0)
    return tuple(_choice(row) for row in holding)


def has_lot(code: str) -> bool:
    return Lot.objects.filter(code=code).exists()


def lot_choices(*, newest_first: bool = False, also: str = "") -> tuple[LotChoice, ...]:
    """Lots that hold wood, and the one named though it be empty; by code, or the last touched first."""
    rows = Lot.objects.select_related("yard").filter(Q(on_hand_cords__gt=0) | Q(code=also)).order_by("code")
    if newest_first:
        rows = rows.annotate(last_at=Max("movements__made_at")).order_by("-last_at", "code")
    return tuple(_choice(row) for row in rows)


def _choice(row: Lot) -> LotChoice:
    return from_row(LotChoice, row, yard=row.yard.name, cords=row.on_hand_cords)

"""Yards and ground, as lists and as values to fill their forms with."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db.models import Count, Q, Sum
from django.forms.models import model_to_dict

from inventory.core.climate import Climate, cities
from inventory.models import Unit, Yard
from inventory.selectors.drying import yard_climate


@dataclass(frozen=True, slots=True, kw_only=True)
class YardRow:
    yard_id: int
    name: str
    lat: float
    lon: float
    note: str
    lots: int
    cords: Fraction
    room_cords: Fraction | None
    rent_month: Decimal
    climate_name: str
    air_words: str  # "Eugene, OR" or the source of the seller's own values
    has_signal: bool
    takes_big_trailer: bool
    soft_when_wet: bool
    pick_up_here: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class YardPage:
    """A yard with its form's values and its air by month."""

    row: YardRow
    values: dict[str, Any]
    climate: Climate
    cities: tuple[str, ...]
    city: str


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitRow:
    unit_id: int
    name: str
    acres: Decimal
    started_on: date | None
    finished_on: date | None
    notified_on: date | None
    slash: str
    cords_now: Fraction
    hours: Decimal
    cost_share_dollars: Decimal
    cost_share_paid_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitPage:
    row: UnitRow
    values: dict[str, Any]


def yards() -> tuple[YardRow, ...]:
    """Every yard with what lies in it, by name."""
    return tuple(_yard_row(row) for row in _yards_with_wood())


def yard_page(yard_id: int) -> YardPage | None:
    row = _yards_with_wood().filter(pk=yard_id).first()
    if row is None:
        return None
    return YardPage(
        row=_yard_row(row),
        values=model_to_dict(row),
        climate=yard_climate(row),
        cities=cities(),
        city=row.climate_city,
    )


def yard_choices() -> tuple[tuple[int, str], ...]:
    return tuple(Yard.objects.order_by("name").values_list("pk", "name"))


def units() -> tuple[UnitRow, ...]:
    """Every patch of ground with the wood it still has in yards and the hours worked on it."""
    cords = dict(Unit.objects.annotate(now=Sum("lots__on_hand_cords")).values_list("pk", "now"))
    hours = dict(Unit.objects.annotate(all=Sum("work__hours_likely")).values_list("pk", "all"))
    return tuple(_unit_row(row, cords, hours) for row in Unit.objects.order_by("name"))


def unit_page(unit_id: int) -> UnitPage | None:
    model = Unit.objects.filter(pk=unit_id).first()
    if model is None:
        return None
    return UnitPage(row=next(row for row in units() if row.unit_id == unit_id), values=model_to_dict(model))


def unit_name(unit_id: int) -> str:
    """The name of a patch of ground; empty when there is none."""
    return Unit.objects.filter(pk=unit_id).values_list("name", flat=True).first() or ""


def unit_choices() -> tuple[tuple[int, str], ...]:
    return tuple(Unit.objects.order_by("name").values_list("pk", "name"))


def _yards_with_wood() -> Any:
    some = Q(lots__on_hand_cords__gt=0)
    return Yard.objects.annotate(
        lot_count=Count("lots", filter=some), wood=Sum("lots__on_hand_cords")
    ).order_by("name")


def _yard_row(row: Any) -> YardRow:
    climate = yard_climate(row)
    return YardRow(
        yard_id=row.pk,
        name=row.name,
        lat=row.lat,
        lon=row.lon,
        note=row.note,
        lots=row.lot_count,
        cords=row.wood or Fraction(0),
        room_cords=row.room_cords,
        rent_month=row.rent_month,
        climate_name=climate.name,
        air_words=climate.name if row.climate_city else climate.source,
        has_signal=row.has_signal,
        takes_big_trailer=row.takes_big_trailer,
        soft_when_wet=row.soft_when_wet,
        pick_up_here=row.pick_up_here,
    )


def _unit_row(row: Unit, cords: dict[int, Fraction | None], hours: dict[int, Decimal | None]) -> UnitRow:
    return UnitRow(
        unit_id=row.pk,
        name=row.name,
        acres=row.acres,
        started_on=row.started_on,
        finished_on=row.finished_on,
        notified_on=row.notified_on,
        slash=row.slash,
        cords_now=cords.get(row.pk) or Fraction(0),
        hours=hours.get(row.pk) or Decimal(0),
        cost_share_dollars=row.cost_share_dollars,
        cost_share_paid_on=row.cost_share_paid_on,
    )

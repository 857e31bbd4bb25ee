"""Yards and ground, as lists and as values to fill their forms with."""

from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db.models import Count, Q, Sum
from django.forms.models import model_to_dict

from inventory.core.rows import from_row
from inventory.core.stand import StandEstimate
from inventory.drying.places import cities
from inventory.models import Unit, Yard
from inventory.selectors.weather import StationRow, air_pct, stations, weather_words, yard_weather

SLASH_METHODS = tuple(Unit.Slash.choices)


@dataclass(frozen=True, slots=True, kw_only=True)
class YardPlace:
    """A yard as somebody finds it who fetches wood."""

    name: str
    note: str
    lat: float
    lon: float
    opens_at: time
    closes_at: time


@dataclass(frozen=True, slots=True, kw_only=True)
class YardRow(YardPlace):
    yard_id: int
    lots: int
    cords: Fraction
    room_cords: Fraction | None
    rent_month: Decimal
    weather_words: str  # "Eugene, OR: usual months, not this year's days"
    has_signal: bool
    takes_big_trailer: bool
    soft_when_wet: bool
    pick_up_here: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class YardPage:
    """A yard with its form's values and its weather: moisture wood comes to, month by month."""

    row: YardRow
    values: dict[str, Any]
    air_pct: tuple[float, ...]
    weather_source: str
    cities: tuple[str, ...]
    stations: tuple[StationRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitRow:
    """A patch of ground, as every page reads it."""

    unit_id: int
    name: str
    acres: Decimal
    acres_to_thin: Decimal
    started_on: date | None
    finished_on: date | None
    notified_on: date | None
    slash: str
    slash_words: str
    slash_by: date | None
    slash_done_on: date | None
    cords_now: Fraction
    hours: Decimal
    cost_share_dollars: Decimal
    cost_share_approved_on: date | None
    cost_share_paid_on: date | None
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitPage:
    row: UnitRow
    values: dict[str, Any]
    counted: StandEstimate | None


def pick_up_places() -> tuple[YardPlace, ...]:
    """Yards where customers may fetch wood, by name, with their hours."""
    columns = tuple(YardPlace.__dataclass_fields__)
    rows = Yard.objects.filter(pick_up_here=True).order_by("name").values(*columns)
    return tuple(YardPlace(**row) for row in rows)


def pick_up_yards() -> tuple[str, ...]:
    """Yards where customers may fetch wood, by name."""
    return tuple(Yard.objects.filter(pick_up_here=True).order_by("name").values_list("name", flat=True))


def has_yard() -> bool:
    return Yard.objects.exists()


def yards() -> tuple[YardRow, ...]:
    """Every yard with what lies in it, by name."""
    return tuple(_yard_row(row) for row in _yards_with_wood())


def yard_page(yard_id: int) -> YardPage | None:
    row = _yards_with_wood().filter(pk=yard_id).first()
    if row is None:
        return None
    source = yard_weather(row)
    return YardPage(
        row=_yard_row(row),
        values=model_to_dict(row),
        air_pct=tuple(air_pct(source, date(2000, month, 1)) for month in range(1, 13)),
        weather_source=source.description,
        cities=tuple(sorted({*cities(), row.climate_city} - {""})),
        stations=stations(),
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
    row = next(row for row in units() if row.unit_id == unit_id)
    return UnitPage(row=row, values=model_to_dict(model), counted=model.counted)


def unit_name(unit_id: int) -> str:
    """The name of a patch of ground; empty when there is none."""
    return Unit.objects.filter(pk=unit_id).values_list("name", flat=True).first() or ""


def unit_choices() -> tuple[tuple[int, str], ...]:
    return tuple(Unit.objects.order_by("name").values_list("pk", "name"))


def _yards_with_wood() -> Any:
    some = Q(lots__on_hand_cords__gt=0)
    return (
        Yard.objects.select_related("station")
        .annotate(lot_count=Count("lots", filter=some), wood=Sum("lots__on_hand_cords"))
        .order_by("name")
    )


def _yard_row(row: Any) -> YardRow:
    return from_row(
        YardRow,
        row,
        yard_id=row.pk,
        lots=row.lot_count,
        cords=row.wood or Fraction(0),
        weather_words=weather_words(yard_weather(row)),
    )


def _unit_row(row: Unit, cords: dict[int, Fraction | None], hours: dict[int, Decimal | None]) -> UnitRow:
    return from_row(
        UnitRow,
        row,
        slash_words=row.get_slash_method_display(),
        unit_id=row.pk,
        cords_now=cords.get(row.pk) or Fraction(0),
        hours=hours.get(row.pk) or Decimal(0),
    )

"""The price sheet of a day, the markets and the towns, as values the core can price with."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from inventory.core.gaps import ShortDay
from inventory.core.globe import great_circle_meters
from inventory.core.local import local
from inventory.core.once import once_a_page
from inventory.core.rows import from_row
from inventory.core.units import METERS_PER_MILE
from orders.core import CustomerRefusal, pricing
from orders.core import sheets as tariff
from orders.core.payments import CASH
from orders.models import Market, PaymentKind, PriceSheet, Town


class NoPriceSheet(CustomerRefusal):
    """Nothing can be priced: no sheet holds on the day."""

    says = "No prices are in effect on {day} yet: call us."
    in_words = {"day": ShortDay}


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetInForce:
    """The sheet of a day: its row and its value."""

    id: int
    sheet: tariff.PriceSheet
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetSummary:
    id: int
    from_on: date
    note: str
    is_in_force: bool
    is_ahead: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TownRow:
    id: int
    name: str
    lat: float
    lon: float
    market: str
    market_name: str
    is_far: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PayWay:
    """A way of paying."""

    id: int
    key: str
    name: str
    caution: str
    at_the_door: bool
    is_offered: bool
    instructions: str = ""  # how to pay ahead, as customers read it


CASH_UNTIL_SAID = PayWay(id=0, key=CASH, name="Cash", caution="", at_the_door=True, is_offered=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class AmountPrice:
    """What one amount of a wood costs before the drive. is_between: the sheet lists no share of its own."""

    cords: Fraction
    dollars: Decimal
    is_between: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodPrices(tariff.CordPrice):
    """A wood's prices in a market, whole cord first."""

    market_name: str
    amounts: tuple[AmountPrice, ...]


@once_a_page
def sheet_in_force(on: date) -> SheetInForce | None:
    """The newest sheet that is not in the future, as the core reads it."""
    row = PriceSheet.objects.filter(from_on__lte=on).order_by("-from_on").first()
    if row is None:
        return None
    following = PriceSheet.objects.filter(from_on__gt=row.from_on).order_by("from_on").first()
    return SheetInForce(id=row.pk, sheet=_value(row, following), note=row.note)


def sheet_by_id(sheet_id: int) -> SheetInForce | None:
    """One sheet, in force or not."""
    row = PriceSheet.objects.filter(pk=sheet_id).first()
    if row is None:
        return None
    following = PriceSheet.objects.filter(from_on__gt=row.from_on).order_by("from_on").first()
    return SheetInForce(id=row.pk, sheet=_value(row, following), note=row.note)


def required_sheet(on: date) -> SheetInForce:
    """The sheet of a day.

    Errors
        NoPriceSheet: none holds yet.
    """
    found = sheet_in_force(on)
    if found is None:
        raise NoPriceSheet(day=on)
    return found


def sheets(on: date) -> tuple[SheetSummary, ...]:
    """All sheets, newest first."""
    rows = list(PriceSheet.objects.order_by("-from_on"))
    current = next((row.pk for row in rows if row.from_on <= on), None)
    return tuple(
        SheetSummary(
            id=row.pk,
            from_on=row.from_on,
            note=row.note,
            is_in_force=row.pk == current,
            is_ahead=row.from_on > on,
        )
        for row in rows
    )


def usual_terms() -> dict[str, Any]:
    """The terms a first sheet starts from, by column."""
    usual = {
        field.name: field.get_default()
        for field in PriceSheet._meta.concrete_fields
        if field.has_default() and not field.primary_key
    }
    return usual | tariff.roads_in(usual, from_km=usual.pop("is_in_km"), to_km=local().is_metric)


@once_a_page
def markets() -> tuple[tariff.MarketTerms, ...]:
    """Near markets first."""
    return tuple(from_row(tariff.MarketTerms, row) for row in Market.objects.order_by("is_far", "name"))


@once_a_page
def towns() -> tuple[TownRow, ...]:
    """Where we deliver, near towns first."""
    rows = Town.objects.select_related("market").order_by("market__is_far", "name")
    return tuple(_town(row) for row in rows)


def town(town_id: int) -> TownRow | None:
    row = Town.objects.select_related("market").filter(pk=town_id).first()
    return None if row is None else _town(row)


def nearest_town(lat: float, lon: float, *, among: Iterable[TownRow]) -> TownRow | None:
    """The town a spot on the map belongs to: the nearest one as the crow flies."""
    return min(among, key=lambda row: miles_apart(lat, lon, row.lat, row.lon), default=None)


def miles_apart(lat: float, lon: float, other_lat: float, other_lon: float) -> float:
    """Great-circle miles between two spots."""
    return great_circle_meters(lat, lon, other_lat, other_lon) / float(METERS_PER_MILE)


def pay_ways() -> tuple[PayWay, ...]:
    """Ways of paying on offer, in the seller's order; cash where the seller named none."""
    return tuple(way for way in ways_kept() if way.is_offered) or (CASH_UNTIL_SAID,)


@once_a_page
def ways_kept() -> tuple[PayWay, ...]:
    """Every way of paying the seller named, those not offered any more included."""
    return tuple(from_row(PayWay, row) for row in PaymentKind.objects.all())


def price_table(sheet: tariff.PriceSheet, *, also: tuple[Fraction, ...] = ()) -> tuple[WoodPrices, ...]:
    """Every wood of a sheet with every fraction it lists and those asked for, rounded as the sheet rounds."""
    amounts = sorted(sheet.listed | set(also), reverse=True)
    rows = []
    for price in sheet.cord_prices:
        terms = sheet.market(price.market)
        rows.append(
            from_row(
                WoodPrices,
                price,
                market_name=terms.name,
                amounts=tuple(
                    AmountPrice(
                        cords=cords,
                        dollars=pricing.wood_price(
                            sheet, wood=price.wood, market=price.market, dryness=price.dryness, cords=cords
                        ),
                        is_between=cords not in sheet.listed,
                    )
                    for cords in amounts
                    if cords >= terms.minimum_cords
                ),
            )
        )
    return tuple(rows)


def draft_sheet(
    *,
    from_on: date,
    terms: Mapping[str, Any],
    lines: Iterable[tariff.CordPrice],
    uplifts: Mapping[Fraction, Decimal],
) -> tariff.PriceSheet:
    """A sheet as it would be read back, before it is kept.

    Errors
        BadPriceSheet: it contradicts itself.
    """
    figures: dict[str, Any] = {
        name: terms[name] if term.places or not term.unit else int(terms[name])
        for name, term in tariff.TERMS.items()
    }
    return tariff.PriceSheet(
        from_on=from_on,
        markets=markets(),
        cord_prices=tuple(lines),
        uplifts=tuple(tariff.Uplift(cords=cords, share=share) for cords, share in uplifts.items()),
        tax=tariff.tax_rule(percent=terms["tax_pct"], on=terms["tax_on"]),
        **figures,
    )


def _town(row: Town) -> TownRow:
    return from_row(
        TownRow,
        row,
        market=row.market.key,
        market_name=row.market.name,
        is_far=row.market.is_far,
    )


def _value(row: PriceSheet, following: PriceSheet | None) -> tariff.PriceSheet:
    road = {name: getattr(row, name) for name in tariff.ROAD_FIGURES}
    return from_row(
        tariff.PriceSheet,
        row,
        **tariff.roads_in(road, from_km=row.is_in_km, to_km=local().is_metric),
        ends_on=following.from_on - timedelta(days=1) if following else None,
        markets=markets(),
        cord_prices=tuple(
            tariff.CordPrice(
                wood=price.wood, market=price.market.key, dryness=price.dryness, dollars=price.cord_dollars
            )
            for price in row.wood_prices.select_related("market")
        ),
        uplifts=tuple(tariff.Uplift(cords=up.cords, share=up.share) for up in row.uplifts.all()),
        tax=tariff.tax_rule(percent=row.tax_pct, on=row.tax_on),
    )

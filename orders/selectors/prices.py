"""The price sheet of a day, the markets and the towns, as values the core can price with."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from math import asin, cos, radians, sin, sqrt

from orders.core import OrdersError, pricing
from orders.core import sheets as tariff
from orders.core.wants import KINDLING, LOGS
from orders.models import Market, PaymentKind, PriceSheet, Town

EARTH_MILES = 3958.8  # mean radius of the earth, 6,371.0 km


class NoPriceSheet(OrdersError):
    """Nothing can be priced: no sheet holds on the day."""

    def __init__(self, *, on: date) -> None:
        self.on = on
        super().__init__(f"No price sheet holds on {on}: the seller has to write one first.")


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
    """A way of paying on offer."""

    key: str
    name: str
    caution: str
    at_the_door: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AmountPrice:
    """What one amount of a wood costs before the drive."""

    cords: Fraction
    dollars: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodPrices:
    """A wood's prices in a market, whole cord first."""

    market: str
    market_name: str
    wood: str
    dryness: str
    cord_dollars: Decimal
    amounts: tuple[AmountPrice, ...]


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
        raise NoPriceSheet(on=on)
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


def markets() -> tuple[tariff.MarketTerms, ...]:
    """Near markets first."""
    return tuple(_terms(row) for row in Market.objects.order_by("is_far", "name"))


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
    half = (
        sin(radians(other_lat - lat) / 2) ** 2
        + cos(radians(lat)) * cos(radians(other_lat)) * sin(radians(other_lon - lon) / 2) ** 2
    )
    return 2 * EARTH_MILES * asin(min(1.0, sqrt(half)))


def pay_ways() -> tuple[PayWay, ...]:
    """Ways of paying on offer, in the seller's order."""
    return tuple(
        PayWay(key=row.key, name=row.name, caution=row.caution, at_the_door=row.at_the_door)
        for row in PaymentKind.objects.filter(is_offered=True)
    )


def price_table(sheet: tariff.PriceSheet) -> tuple[WoodPrices, ...]:
    """Every wood of a sheet with every fraction it lists, rounded as the sheet rounds."""
    amounts = sorted({Fraction(1), *(uplift.cords for uplift in sheet.uplifts)}, reverse=True)
    rows = []
    for price in sheet.cord_prices:
        terms = sheet.market(price.market)
        rows.append(
            WoodPrices(
                market=price.market,
                market_name=terms.name,
                wood=price.wood,
                dryness=price.dryness,
                cord_dollars=price.dollars,
                amounts=tuple(
                    AmountPrice(
                        cords=cords,
                        dollars=pricing.wood_price(
                            sheet, wood=price.wood, market=price.market, dryness=price.dryness, cords=cords
                        ),
                    )
                    for cords in amounts
                    if cords >= terms.minimum_cords
                ),
            )
        )
    return tuple(rows)


def woods_priced(sheet: tariff.PriceSheet) -> dict[str, tuple[str, ...]]:
    """Wood to the drynesses it has a price for, kindling and logs last."""
    found: dict[str, set[str]] = defaultdict(set)
    for price in sheet.cord_prices:
        found[price.wood].add(price.dryness)
    listed = {wood: tuple(sorted(dry, reverse=True)) for wood, dry in found.items()}
    return {**listed, KINDLING: ("seasoned",), LOGS: ("green",)}


def _terms(row: Market) -> tariff.MarketTerms:
    return tariff.MarketTerms(
        key=row.key,
        name=row.name,
        minimum_cords=row.minimum_cords,
        is_far=row.is_far,
        is_delivered_price=row.is_delivered_price,
    )


def _town(row: Town) -> TownRow:
    return TownRow(
        id=row.pk,
        name=row.name,
        lat=row.lat,
        lon=row.lon,
        market=row.market.key,
        market_name=row.market.name,
        is_far=row.market.is_far,
    )


def _value(row: PriceSheet, following: PriceSheet | None) -> tariff.PriceSheet:
    return tariff.PriceSheet(
        from_on=row.from_on,
        ends_on=following.from_on - timedelta(days=1) if following else None,
        markets=markets(),
        cord_prices=tuple(
            tariff.CordPrice(
                wood=price.wood, market=price.market.key, dryness=price.dryness, dollars=price.cord_dollars
            )
            for price in row.wood_prices.select_related("market")
        ),
        uplifts=tuple(tariff.Uplift(cords=up.cords, share=up.share) for up in row.uplifts.all()),
        free_miles=row.free_miles,
        per_mile=row.per_mile,
        longest_miles=row.longest_miles,
        stacking_per_cord=row.stacking_per_cord,
        stacking_within_ft=row.stacking_within_ft,
        access_charge=row.access_charge,
        pick_up_off=row.pick_up_off,
        two_cords_off_per_cord=row.two_cords_off_per_cord,
        bundle_price=row.bundle_price,
        bundle_price_many=row.bundle_price_many,
        bundles_for_many=row.bundles_for_many,
        log_cord_price=row.log_cord_price,
        round_to=row.round_to,
        deposit_pct=row.deposit_pct,
        deposit_round_to=row.deposit_round_to,
        deposit_new_customers_only=row.deposit_new_customers_only,
        quote_days=row.quote_days,
        floor_per_cord=row.floor_per_cord,
        tax=tariff.tax_rule(percent=row.tax_pct, on=row.tax_on),
    )

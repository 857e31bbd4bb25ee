"""What quotes need from the wood and from the road, as values the sale understands."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.models import Lot, Yard
from inventory.selectors.business import business
from orders.core.drives import Drive, NoDrive, estimated_drive, nearest_drive
from orders.core.floors import DayRoad, SellerCost
from orders.core.picking import OpenLot
from orders.core.wants import Want

WET_LIMIT_DRY_PCT = Decimal(25)


@dataclass(frozen=True, slots=True, kw_only=True)
class StreetSpot:
    lat: float
    lon: float
    label: str
    is_exact: bool


def open_lots(on: date) -> tuple[OpenLot, ...]:
    """Lots with open wood for sale."""
    rows = Lot.objects.filter(sale=Lot.Sale.FOR_SALE).select_related("yard").prefetch_related("readings")
    found = []
    for lot in rows:
        amount = lot.on_hand_cords - lot.firm_cords - lot.soft_cords - lot.kept_cords
        reading = next(iter(lot.readings.all()), None)
        is_dry = lot.wood == "kindling" or (
            reading is not None and reading.worst_dry_pct <= WET_LIMIT_DRY_PCT
        )
        found.append(
            OpenLot(
                lot=lot.code,
                wood=lot.wood,
                yard=lot.yard.name,
                open_cords=max(amount, Fraction(0)),
                since=lot.split_on or lot.felled_on or lot.drying_from,
                dry_on=on if is_dry else None,
                call="seasoned" if is_dry else "green",
            )
        )
    return tuple(found)


def road_to(*, lat: float, lon: float, yards: frozenset[str], on: date) -> tuple[Drive, int | None]:
    """The drive from the nearest yard that holds the wood, and that yard's id.

    Errors
        NoDrive
    """
    rows = {yard.name: yard for yard in Yard.objects.all()}
    drives = [
        estimated_drive(from_lat=yard.lat, from_lon=yard.lon, to_lat=lat, to_lon=lon, from_yard=name)
        for name, yard in rows.items()
    ]
    best = nearest_drive(drives, holding=yards or rows)
    return best, rows[best.from_yard].pk


def road_days(
    *, want: Want, lat: float, lon: float, drive: Drive, yard_id: int | None, first_on: date, count: int
) -> tuple[DayRoad, ...]:
    """What coming on each of the next days would add."""
    return ()


def street_spot(text: str, *, near: tuple[float, float] | None) -> StreetSpot | None:
    """A typed address on the loaded map."""
    return None


def pick_up_yards() -> tuple[str, ...]:
    return tuple(Yard.objects.filter(pick_up_here=True).order_by("name").values_list("name", flat=True))


def wood_cost(*, cords: Fraction, is_stacked: bool, drive: Drive, on: date) -> SellerCost | None:
    seller = business()
    wood = seller.production_cash_per_cord * Decimal(cords.numerator) / Decimal(cords.denominator)
    road = drive.miles * Decimal("1.40")
    return SellerCost(
        wood_dollars=wood.quantize(Decimal("0.01")), road_dollars=road.quantize(Decimal("0.01"))
    )


__all__ = [
    "NoDrive",
    "StreetSpot",
    "open_lots",
    "pick_up_yards",
    "road_days",
    "road_to",
    "street_spot",
    "wood_cost",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodEvidence:
    """A lot's last readings, fit to show to a buyer."""

    code: str
    faces: tuple[str, ...]
    basis: str
    read_on: date | None
    split_on: date | None
    is_dry: bool
    bundles: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DryingLot:
    name: str
    said_ready: str
    dry_on: date | None


def evidence_of(on: date) -> dict[tuple[str, str], tuple[WoodEvidence, ...]]:
    """Wood and dryness to its lots for sale with their readings, largest first."""
    dry = {lot.lot: lot for lot in open_lots(on)}
    found: dict[tuple[str, str], list[WoodEvidence]] = {}
    rows = Lot.objects.filter(sale=Lot.Sale.FOR_SALE).prefetch_related("readings").order_by("-on_hand_cords")
    for lot in rows:
        value = dry[lot.code]
        reading = next((row for row in lot.readings.all() if row.on <= on), None)
        each = Fraction(lot.bundle_ft3) / 128 if lot.bundle_ft3 else None
        found.setdefault((lot.wood, value.call), []).append(
            WoodEvidence(
                code=lot.code,
                faces=tuple(str(face) for face in reading.faces) if reading else (),
                basis=reading.basis if reading else "",
                read_on=reading.on if reading else None,
                split_on=lot.split_on,
                is_dry=value.call == "seasoned",
                bundles=int(value.open_cords / each) if each else 0,
            )
        )
    return {key: tuple(lots) for key, lots in found.items()}


def lots_drying(on: date) -> tuple[DryingLot, ...]:
    rows = Lot.objects.filter(on_hand_cords__gt=0).exclude(wood__in=["kindling", "logs"])
    dry = {lot.lot for lot in open_lots(on) if lot.call == "seasoned"}
    return tuple(
        DryingLot(name=lot.name, said_ready=lot.said_ready, dry_on=None)
        for lot in rows
        if lot.code not in dry
    )


def heat_of(wood: str, *, cord_dollars: object, on: date) -> Decimal | None:
    return None

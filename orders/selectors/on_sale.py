"""What can be bought today: the sheet in force, the lots as the picking sees them, the towns served."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from inventory.core.lots import SEASONED
from inventory.core.money import dollars as to_the_cent
from inventory.core.woods import Wood
from inventory.selectors.sale import lots_for_picking, lots_for_sale
from inventory.selectors.stock import LotRow
from orders.core import picking
from orders.selectors import prices
from orders.selectors.spoken_for import NOTHING, SpokenFor, held_for, left_open, spoken_for

SOON_DAYS = 45  # wood that will be dry so soon is offered now, with its day
MILLION = Decimal(1_000_000)


@dataclass(frozen=True, slots=True, kw_only=True)
class OnSale:
    """What a day's prices are made of: the sheet in force, lots for sale, towns delivered to.

    Units
        bundles: of kindling, all lots together.
        spoken_for: what others asked for first; lots and bundles are without it.
    """

    in_force: prices.SheetInForce | None
    lots: tuple[LotRow, ...]
    bundles: int
    towns: tuple[prices.TownRow, ...]
    spoken_for: SpokenFor = NOTHING


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodChoice:
    """A wood on the price form, with what is open of it."""

    wood: str
    dryness: str
    cord_dollars: Decimal | None
    open_cords: Fraction
    first_on: date | None
    amounts: tuple[str, ...]
    spoken_for: Fraction = Fraction(0)  # cords that others asked for first, unanswered

    @property
    def key(self) -> str:
        """How forms and links name it."""
        return f"{self.wood}:{self.dryness}"

    @property
    def is_seasoned(self) -> bool:
        return self.dryness == SEASONED

    @property
    def is_open(self) -> bool:
        return bool(self.open_cords)


def on_sale(on: date, *, at: datetime | None = None, apart_from: int | None = None) -> OnSale:
    """Read once by a page that lists the woods and then prices one.

    Shapes
        at: for a customer's eyes: less what others have asked for and wait to hear of.
        apart_from: the number of an order that is to change: what it asked for and holds is open to it.
    """
    rows = lots_for_picking(on)
    own = {} if apart_from is None else held_for(apart_from)
    lots = tuple(replace(row, open=row.open_cords + own.get(row.code, Fraction(0))) for row in rows)
    spoken = NOTHING if at is None else spoken_for(at, apart_from=apart_from)
    bundles = sum(row.bundles or 0 for row in rows if row.wood == Wood.KINDLING)
    return OnSale(
        in_force=prices.sheet_in_force(on),
        lots=left_open(lots, spoken, soon=_soon(on)),
        bundles=max(0, bundles - spoken.bundles),
        towns=prices.towns(),
        spoken_for=spoken,
    )


def wood_choices(on: date, *, sale: OnSale | None = None) -> tuple[WoodChoice, ...]:
    """Woods with a near price, dry ones first, each with its open amount and first honest day."""
    sale = sale or on_sale(on)
    if sale.in_force is None:
        return ()
    sheet, lots = sale.in_force.sheet, sale.lots
    near = next((terms for terms in sheet.markets if not terms.is_far), None)
    least = near.minimum_cords if near else Fraction(0)
    found = []
    for price in sheet.cord_prices:
        if near is None or price.market != near.key:
            continue
        amount = open_of(lots, price.wood, price.dryness, on=on)
        found.append(
            WoodChoice(
                wood=price.wood,
                dryness=price.dryness,
                cord_dollars=price.dollars,
                open_cords=amount,
                first_on=picking.first_day(lots, wood=price.wood, cords=least, on=on, dryness=price.dryness),
                amounts=tuple(str(size) for size in sheet.amounts if least <= size <= amount),
                spoken_for=sale.spoken_for.cords.get((price.wood, price.dryness), Fraction(0)),
            )
        )
    found.sort(key=lambda choice: (not choice.is_open, choice.dryness != "seasoned", choice.wood))
    for wood, dryness in ((Wood.KINDLING, "seasoned"), (Wood.LOGS, "green")):
        amount = sum((lot.open_cords for lot in lots if lot.wood == wood), Fraction(0))
        if amount and (wood == Wood.LOGS or sale.bundles):
            found.append(
                WoodChoice(
                    wood=wood,
                    dryness=dryness,
                    cord_dollars=sheet.log_cord_price if wood == Wood.LOGS else None,
                    open_cords=amount,
                    first_on=on,
                    amounts=tuple(
                        str(size) for size in sheet.amounts if wood == Wood.LOGS and 1 <= size <= amount
                    ),
                    spoken_for=sale.spoken_for.cords.get((wood, dryness), Fraction(0)),
                )
            )
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class SellableToday:
    """What may be sold today of one kind of wood.

    Units
        bundles: for wood sold by the bundle. asked: of it, cords (or bundles) that requests wait for, which
        customers are not offered.
    """

    wood: str
    dryness: str  # "" for logs and kindling
    cords: Fraction
    bundles: int | None
    asked: Fraction


def sellable_today(on: date, *, spoken: SpokenFor) -> tuple[SellableToday, ...]:
    """Wood for sale by kind, split wood by the word it may be sold under today; kinds are never summed."""
    kinds: dict[tuple[str, str], list[LotRow]] = {}
    for row in lots_for_sale(on):
        dryness = "" if row.wood in (Wood.LOGS, Wood.KINDLING) else row.call
        kinds.setdefault((row.wood, dryness), []).append(row)
    order = {"seasoned": 0, "part_seasoned": 1, "green": 2, "": 3}
    return tuple(
        SellableToday(
            wood=wood,
            dryness=dryness,
            cords=sum((row.open_cords for row in rows), Fraction(0)),
            bundles=sum(row.bundles or 0 for row in rows) if wood == Wood.KINDLING else None,
            asked=_asked_of(spoken, wood, dryness),
        )
        for (wood, dryness), rows in sorted(
            kinds.items(), key=lambda item: (order.get(item[0][1], 4), item[0])
        )
    )


def _asked_of(spoken: SpokenFor, wood: str, dryness: str) -> Fraction:
    if wood == Wood.KINDLING:
        return Fraction(spoken.bundles)
    return spoken.cords.get((wood, dryness or "green"), Fraction(0))


def dollars_per_million_btu(rows: Iterable[LotRow], *, cord_dollars: Decimal) -> Decimal | None:
    """What a million Btu of useful heat costs in this wood; the mean of its open lots by amount."""
    open_rows = [row for row in rows if row.open_cords > 0 and row.btu_per_cord > 0]
    cords = sum((row.open_cords for row in open_rows), Fraction(0))
    if not cords:
        return None
    heat = sum(Decimal(str(row.btu_per_cord)) * _decimal(row.open_cords / cords) for row in open_rows)
    return to_the_cent(cord_dollars / (Decimal(heat) / MILLION))


def open_of(lots: Iterable[LotRow], wood: str, dryness: str, *, on: date) -> Fraction:
    """Open cords sold under this word: dry now or within weeks, or green."""
    soon = _soon(on)
    of_wood = [lot for lot in lots if lot.wood == wood]
    return sum((lot.open_cords for lot in of_wood if lot.is_ready(dryness=dryness, on=soon)), Fraction(0))


def _soon(on: date) -> date:
    return on + timedelta(days=SOON_DAYS)


def _decimal(share: Fraction) -> Decimal:
    return Decimal(share.numerator) / Decimal(share.denominator)

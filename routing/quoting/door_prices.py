"""What wood costs at a door in each town, the drive in it, and how full a far town's load is."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from orders.core import OrdersError, pricing
from orders.core.order_request import How
from orders.core.sheets import PriceSheet
from orders.selectors.on_sale import OnSale, WoodChoice
from orders.selectors.prices import AmountPrice, TownRow
from routing.core import RoutingError
from routing.quoting.drives import Cargo, Roads, drive_to
from routing.quoting.prices import PriceInput, price_now
from routing.selectors.earned.pool import pools

CORD = Fraction(1)
FULL = Fraction(95, 100)  # less room than this is no room for an order


@dataclass(frozen=True, slots=True, kw_only=True)
class TownDrive:
    """A town as the first page offers it.

    Units
        miles: road miles from the nearest yard with wood; fee: dollars of the drive alone, None where it is
        in the price of the wood. is_estimate: a straight-line guess.
    """

    town: TownRow
    miles: Decimal
    fee: Decimal | None
    is_estimate: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PoolNow:
    """How far a far town's next load has come.

    Units
        share: of the load, 0 to 1; cords: spoken for; decide_by: the day we say whether it goes.
    """

    orders: int
    cords: Fraction
    share: Fraction
    decide_by: date | None

    @property
    def is_full(self) -> bool:
        return self.share >= FULL


def town_drives(sale: OnSale, *, on: date, roads: Roads) -> tuple[TownDrive, ...]:
    """Every town with what the drive there adds; towns no road leads to are left out."""
    if sale.in_force is None or not sale.lots:
        return ()
    sheet, found = sale.in_force.sheet, []
    for town in sale.towns:
        try:
            drive = drive_to(
                lat=town.lat,
                lon=town.lon,
                yards={lot.yard for lot in sale.lots},
                cargo=Cargo(cords=CORD, wood_lb=0),
                on=on,
                roads=roads,
            ).drive
            in_price = sheet.market(town.market).is_delivered_price
            fee = None if in_price else pricing.distance_fee(sheet, miles=drive.miles)
        except (OrdersError, RoutingError):
            continue
        found.append(TownDrive(town=town, miles=drive.miles, fee=fee, is_estimate=drive.estimated))
    return tuple(found)


def prices_at_door(
    choice: WoodChoice,
    amounts: Iterable[Fraction],
    *,
    town_id: int | None,
    sale: OnSale,
    on: date,
    roads: Roads,
) -> tuple[AmountPrice, ...]:
    """What amounts of a wood cost in a town, or at the yard without one; what is not sold so is left out."""
    found = []
    for cords in amounts:
        asked = PriceInput(
            wood=choice.wood,
            dryness=choice.dryness,
            cords=cords,
            how=How.PICK_UP if town_id is None else How.DELIVERED,
            town_id=town_id,
        )
        try:
            priced = price_now(asked, on=on, sale=sale, roads=roads)
        except (OrdersError, RoutingError):
            continue
        found.append(AmountPrice(cords=cords, dollars=priced.total_dollars))
    return tuple(found)


def drive_alone(sheet: PriceSheet, *, miles: Decimal) -> Decimal | None:
    """What the usual price a mile would ask for a truck with one order; None beyond where we drive."""
    try:
        return pricing.distance_fee(sheet, miles=miles)
    except pricing.TooFar:
        return None


def pool_now(town_id: int, *, on: date) -> PoolNow | None:
    """The load that waits for a town; None while nobody waits, or nothing can be said."""
    try:
        view = next((view for view in pools(on) if view.town.id == town_id), None)
    except RoutingError:
        return None
    if view is None or not view.answer.steps:
        return None
    last = view.answer.steps[-1]
    return PoolNow(
        orders=len(view.answer.steps),
        cords=view.cords,
        share=min(max(last.box_share, last.weight_share), Fraction(1)),
        decide_by=view.answer.decide_by,
    )

"""What a cord of a heap would bring: near and far, dry and green, and what delivering it costs."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.core.money import dollars
from inventory.core.woods import Wood, sold_as
from inventory.models import Lot
from orders.core import OrdersError
from orders.core.first_prices import figure
from orders.core.sheets import PriceSheet
from orders.selectors.prices import sheet_in_force
from routing.core import RoutingError
from routing.earned.costs import MINUTES_PER_HOUR
from routing.earned.guesses import Guess
from routing.earned.markets import Side
from routing.season.problem import GREEN, SEASONED
from routing.selectors.earned.market import HaulAsk, haul_view
from routing.selectors.season.season_problem import KEEPS

LATER = Decimal(str(float(KEEPS)))  # a dry cord sold a winter later, against now


@dataclass(frozen=True, slots=True, kw_only=True)
class HeapPrices:
    """Dollars a cord in the near market, and delivering a cord.

    Units
        dry, green: dollars a cord, None = not sold so; logs: dollars a log cord at the landing; road: dollars
        a cord to the near market; near, far: dollars a cord left of the dry price once the road is paid.
    """

    dry: Guess | None
    green: Guess | None
    logs: Decimal
    road: Decimal
    delivering: Guess | None
    near: Decimal | None
    far: Decimal | None
    far_name: str
    source: str


def heap_prices(lot: Lot, *, on: date) -> HeapPrices:
    """The price sheet's figures for a lot's wood; the seller's own guess for the heap comes first."""
    found, wood = sheet_in_force(on), _wood_of(lot)
    dry = near_price_of(found.sheet, wood, SEASONED) if found else None
    green = near_price_of(found.sheet, wood, GREEN) if found else None
    source = "your price sheet"
    asked = lot.guesses.get("price")
    if asked:
        low, likely, high = (dollars(Fraction(end)) for end in asked)
        dry_guess: Guess | None = Guess(name="price", low=low, likely=likely, high=high)
        source = "your guess for this heap"
        if dry and green:
            green = green * likely / dry
        dry = likely
    else:
        dry_guess = Guess.known("price", dry) if dry is not None else None
    if green is None and dry is not None:
        green = dry * Decimal(str(figure("green_share").low))
    near, far, far_name = _sides(lot, on=on)
    road = Decimal(near.cost) if near else Decimal(0)
    return HeapPrices(
        dry=dry_guess,
        green=Guess.known("price", green.quantize(Decimal("0.01"))) if green is not None else None,
        logs=found.sheet.log_cord_price if found else Decimal(0),
        road=road,
        delivering=Guess.known("loading and delivering", _hours(near)) if near else None,
        near=dry - road if dry is not None else None,
        far=far.revenue - far.cost if far else None,
        far_name=far_name,
        source=source,
    )


def _wood_of(lot: Lot) -> str:
    """What its splits would be sold as: logs by what is in them."""
    return sold_as(lot.mix) if lot.wood == Wood.LOGS else lot.wood


def near_price_of(sheet: PriceSheet, wood: str, dryness: str) -> Decimal | None:
    """The best near price of a wood; the best of all where no market is near."""
    near = {market.key for market in sheet.markets if not market.is_far}
    prices = [price for price in sheet.cord_prices if (price.wood, price.dryness) == (wood, dryness)]
    close = [price.dollars for price in prices if price.market in near]
    return max(close or [price.dollars for price in prices], default=None)


def _sides(lot: Lot, *, on: date) -> tuple[Side | None, Side | None, str]:
    try:
        view = haul_view(HaulAsk(wood=_wood_of(lot), cords=Fraction(1), yard_id=lot.yard_id), on=on)
    except (RoutingError, OrdersError):
        return None, None, ""  # no far or near town, no rig or no road yet: the usual figures stand in
    return view.answer.near, view.answer.far, view.far_town.name


def _hours(side: Side) -> Decimal:
    return Decimal(round(side.minutes / MINUTES_PER_HOUR * 100)) / 100

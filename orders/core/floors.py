"""What a day's road adds, and what the seller must keep: the two ends of a price that knows the road.

Road costs come in as numbers from whoever plans the days; nothing here knows a road.
"""

from dataclasses import dataclass
from datetime import date
from decimal import ROUND_CEILING, Decimal
from fractions import Fraction

from inventory.core.local import to_the_cent
from inventory.core.money import dollars
from inventory.core.sentences import Sentence
from orders.core.order_request import ImpossibleRequest
from orders.core.sheets import PriceSheet

NOTHING = Decimal("0.00")


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRoad:
    """What driving to the customer on a day would add to what is already planned.

    Units
        marginal_dollars: road and time cost added by fitting the drop in; 0 or more.
        drops_already: drops already planned that day on the run it joins; 0 is a run of its own.
    """

    on: date
    marginal_dollars: Decimal
    drops_already: int = 0

    def __post_init__(self) -> None:
        if not self.marginal_dollars.is_finite() or self.marginal_dollars < 0 or self.drops_already < 0:
            raise ImpossibleRequest(
                "The road cost worked out for {on} is below zero: plan that day again.", on=self.on
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class SellerCost:
    """What an order costs the seller: the wood at the yard, the road, unloading and stacking time."""

    wood_dollars: Decimal
    road_dollars: Decimal
    handling_dollars: Decimal = NOTHING


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorWarning:
    """For the seller's eyes: the price does not cover what the order costs, with the figures."""

    price_dollars: Decimal
    floor_dollars: Decimal
    short_dollars: Decimal
    sentence: Sentence


def drive_fee_on(
    sheet: PriceSheet, *, alone: Decimal, goods: Decimal, cords: Fraction, marginal: Decimal
) -> Decimal:
    """What the drive is charged on a day: what it adds to the planned runs, in whole dollars rounded up.

    Never above the fee of coming for this drop alone, and otherwise never so low that the seller
    keeps less than the sheet's floor per cord once the added road is paid.

    Units
        alone: the stand-alone distance fee; goods: wood and bundles; marginal: added road cost. Dollars.
    """
    keeps_floor = (
        sheet.floor_per_cord * Decimal(cords.numerator) / Decimal(cords.denominator) + marginal - goods
    )
    asked = max(marginal, keeps_floor, Decimal(0)).to_integral_value(rounding=ROUND_CEILING)
    return dollars(min(alone, asked))


def floor_of(*, cords: Fraction, sheet: PriceSheet, cost: SellerCost) -> Decimal:
    """The least price before tax that covers the wood or the seller's floor, the road and the hands."""
    set_floor = dollars(Fraction(sheet.floor_per_cord) * cords)
    return dollars(max(cost.wood_dollars, set_floor) + cost.road_dollars + cost.handling_dollars)


def floor_warning(
    *, price_dollars: Decimal, cords: Fraction, sheet: PriceSheet, cost: SellerCost
) -> FloorWarning | None:
    """A warning with figures when the price before tax covers less than cost, or than the seller's floor."""
    wood = max(cost.wood_dollars, dollars(Fraction(sheet.floor_per_cord) * cords))
    floor = floor_of(cords=cords, sheet=sheet, cost=cost)
    short = floor - price_dollars
    if short <= 0:
        return None
    return FloorWarning(
        price_dollars=price_dollars,
        floor_dollars=floor,
        short_dollars=short,
        sentence=Sentence(
            "This price of {price} is {short} short of {floor}: wood {wood}, road {road}, "
            "unloading and stacking {handling}.",
            {
                "price": to_the_cent(price_dollars),
                "short": to_the_cent(short),
                "floor": to_the_cent(floor),
                "wood": to_the_cent(wood),
                "road": to_the_cent(cost.road_dollars),
                "handling": to_the_cent(cost.handling_dollars),
            },
        ),
    )

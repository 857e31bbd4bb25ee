"""An order request, the price sheet and the drive become a quote with its reasons and its last day.

Order requests are in `order_request`; what a day's road adds and what the seller must keep are in `floors`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from inventory.core.sentences import ENGLISH
from orders.core import pricing
from orders.core.drives import Drive
from orders.core.figures import PriceSums
from orders.core.floors import DayRoad, FloorWarning, SellerCost, drive_fee_on, floor_warning
from orders.core.order_request import How, ImpossibleRequest, OrderRequest
from orders.core.places import PlaceRule, place_rule
from orders.core.reasons import (
    NOTHING,
    Reason,
    ReasonKind,
    Speech,
    drive_lines,
    goods_lines,
    reason_line,
    why_shared,
    why_stacking,
    why_tax,
)
from orders.core.sheets import PriceSheet

__all__ = [
    "DayOffer",
    "DayRoad",
    "FloorWarning",
    "How",
    "ImpossibleRequest",
    "OrderRequest",
    "Quote",
    "Reason",
    "ReasonKind",
    "SellerCost",
    "days_priced",
    "drive_fee_on",
    "floor_warning",
    "quote_for",
]

DELIVERY = frozenset({ReasonKind.DRIVE, ReasonKind.SHARED_DRIVE, ReasonKind.ACCESS})


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """Our price for an order request, line by line; the lines add up to `total_dollars`.

    Units
        price_dollars: before tax. wood_dollars: wood and bundles less what is taken off them.
        drive_dollars: distance fee less what sharing the road saves, without the access charge.
        last_day: the price stands through this day.
        day: the delivery day the price is for, when one was chosen.
    """

    order_request: OrderRequest
    on: date
    reasons: tuple[Reason, ...]
    wood_dollars: Decimal
    drive_dollars: Decimal
    access_dollars: Decimal
    stacking_dollars: Decimal
    tax_dollars: Decimal
    price_dollars: Decimal
    total_dollars: Decimal
    deposit_dollars: Decimal
    last_day: date
    drive: Drive | None = None
    day: date | None = None
    floor_warning: FloorWarning | None = None

    @property
    def balance_dollars(self) -> Decimal:
        """Due at the door once the deposit is in."""
        return self.total_dollars - self.deposit_dollars


@dataclass(frozen=True, slots=True, kw_only=True)
class DayOffer(PriceSums):
    """A delivery day with its price: what it saves against coming for this drop alone, and why."""

    on: date
    saved: Decimal
    why: str
    reasons: tuple[Reason, ...]

    @property
    def balance(self) -> Decimal:
        """Due at the door once the deposit is in."""
        return self.total - self.deposit


def quote_for(
    order_request: OrderRequest,
    *,
    sheet: PriceSheet,
    on: date,
    drive: Drive | None = None,
    is_new_customer: bool = True,
    rule: PlaceRule | None = None,
    day: DayRoad | None = None,
    cost: SellerCost | None = None,
    language: str = ENGLISH,
) -> Quote:
    """The price of an order request, with every line of it explained.

    A day that shares the road is charged what it adds (see `drive_fee_on`). Wood fetched at the yard
    has the yard's own market price, wherever the customer lives.

    Errors
        ImpossibleRequest: delivery with no drive.
        PriceMissing, BelowMinimum, TooLittleToBring, TooFar, CarryTooFar, BadPriceSheet: see `pricing`.
    """
    speech = Speech(rule=rule or place_rule(), language=language)
    lines = [*goods_lines(order_request, sheet, speech)]
    goods = sum((line.dollars for line in lines), NOTHING)
    if order_request.how is How.DELIVERED:
        if drive is None:
            raise ImpossibleRequest("Delivery needs a place: choose a town or a spot on the map.")
        if order_request.cords:
            pricing.check_deliverable(
                sheet, market=order_request.market, cords=order_request.cords, rule=speech.rule
            )
        pricing.check_worth_the_drive(sheet, goods=goods)
        lines += drive_lines(order_request, sheet, drive, day, goods, speech)
        if order_request.small_rig_only:
            why = speech.say("tight or steep access")
            lines.append(
                reason_line(ReasonKind.ACCESS, speech.say("Small trailer only"), sheet.access_charge, why)
            )
        if order_request.stacked:
            fee = pricing.stacking_fee(sheet, cords=order_request.cords, carry_ft=order_request.carry_ft)
            why = why_stacking(sheet.stacking_within_ft, speech)
            lines.append(reason_line(ReasonKind.STACKING, speech.say("Stacked for you"), fee, why))
    return _summed(order_request, sheet, on, tuple(lines), drive, is_new_customer, day, cost, speech)


def days_priced(
    order_request: OrderRequest,
    *,
    sheet: PriceSheet,
    on: date,
    drive: Drive | None,
    days: Iterable[DayRoad],
    is_new_customer: bool = True,
    rule: PlaceRule | None = None,
    language: str = ENGLISH,
) -> tuple[DayOffer, ...]:
    """Days on offer in date order, each at what it adds.

    Days that do not suit the request are left out.

    Errors
        as `quote_for`.
    """
    speech = Speech(rule=rule or place_rule(), language=language)

    def priced(road: DayRoad | None) -> Quote:
        return quote_for(
            order_request,
            sheet=sheet,
            on=on,
            drive=drive,
            is_new_customer=is_new_customer,
            rule=rule,
            day=road,
            language=language,
        )

    alone = priced(None)
    offers = []
    for road in sorted(days, key=lambda road: road.on):
        if road.on < (order_request.first_on or on) or (
            order_request.last_on and road.on > order_request.last_on
        ):
            continue
        shared = priced(road)
        saved = alone.total_dollars - shared.total_dollars
        why = _why_that_day(road, saved=saved, alone=alone, speech=speech)
        offers.append(DayOffer.of(shared, on=road.on, saved=saved, why=why, reasons=shared.reasons))
    return tuple(offers)


def _why_that_day(road: DayRoad, *, saved: Decimal, alone: Quote, speech: Speech) -> str:
    if saved > 0:
        return why_shared(road, speech)
    if not alone.drive_dollars:
        return speech.say("the price has no charge for the drive any day")
    return speech.say(
        "coming this day saves no driving" if road.drops_already else "a drive for this drop alone"
    )


def _summed(
    order_request: OrderRequest,
    sheet: PriceSheet,
    on: date,
    lines: tuple[Reason, ...],
    drive: Drive | None,
    is_new_customer: bool,
    day: DayRoad | None,
    cost: SellerCost | None,
    speech: Speech,
) -> Quote:
    delivery = sum((line.dollars for line in lines if line.kind in DELIVERY), NOTHING)
    access = sum((line.dollars for line in lines if line.kind is ReasonKind.ACCESS), NOTHING)
    stacking = sum((line.dollars for line in lines if line.kind is ReasonKind.STACKING), NOTHING)
    price = sum((line.dollars for line in lines), NOTHING)
    wood = price - delivery - stacking  # whatever a line is for, it is charged, and taxed as the wood is
    tax = pricing.tax(sheet.tax, wood=wood, delivery=delivery, stacking=stacking)
    if sheet.tax.percent and sheet.tax.parts:
        lines = (
            *lines,
            reason_line(ReasonKind.TAX, speech.say("Sales tax"), tax, why_tax(sheet.tax, speech)),
        )
    return Quote(
        order_request=order_request,
        on=on,
        reasons=lines,
        wood_dollars=wood,
        drive_dollars=delivery - access,
        access_dollars=access,
        stacking_dollars=stacking,
        tax_dollars=tax,
        price_dollars=price,
        total_dollars=price + tax,
        deposit_dollars=pricing.deposit(sheet, price=price, is_new_customer=is_new_customer),
        last_day=_last_day(order_request, sheet, on, day),
        drive=drive if order_request.how is How.DELIVERED else None,
        day=day.on if day else None,
        floor_warning=(
            floor_warning(price_dollars=price, cords=order_request.cords, sheet=sheet, cost=cost)
            if cost
            else None
        ),
    )


def _last_day(order_request: OrderRequest, sheet: PriceSheet, on: date, day: DayRoad | None) -> date:
    """The sheet's days for a quote, but not past the sheet, the days that suit, or the eve of its day."""
    ends = [on + timedelta(days=sheet.quote_days)]
    if sheet.ends_on:
        ends.append(sheet.ends_on)
    if order_request.last_on:
        ends.append(order_request.last_on)
    if day is not None:
        ends.append(day.on - timedelta(days=1))
    return max(on, min(ends))

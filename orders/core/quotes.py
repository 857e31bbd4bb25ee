"""A want, the price sheet and the drive become a quote with its reasons and its last day.

Wants are in `wants`; what a day's road adds and what the seller must keep are in `floors`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from orders.core import pricing
from orders.core.drives import Drive
from orders.core.floors import DayRoad, FloorWarning, SellerCost, drive_fee_on, floor_warning
from orders.core.places import PlaceRule, amount_words, place_rule
from orders.core.pricing import PriceSheet
from orders.core.wants import KINDLING, LOGS, How, ImpossibleWant, Want

__all__ = [
    "KINDLING",
    "LOGS",
    "DayOffer",
    "DayRoad",
    "FloorWarning",
    "How",
    "ImpossibleWant",
    "Quote",
    "Reason",
    "ReasonKind",
    "SellerCost",
    "Want",
    "day_offers",
    "drive_fee_on",
    "floor_warning",
    "quote_for",
]

NOTHING = Decimal("0.00")


class ReasonKind(StrEnum):
    """What a line of a quote is for; the word a page translates by."""

    WOOD = "wood"
    BUNDLES = "bundles"
    LOGS = "logs"
    TWO_CORDS = "two_cords"
    PICK_UP = "pick_up"
    DRIVE = "drive"
    SHARED_DRIVE = "shared_drive"
    STACKING = "stacking"
    ACCESS = "access"
    TAX = "tax"


GOODS = frozenset(
    {ReasonKind.WOOD, ReasonKind.BUNDLES, ReasonKind.LOGS, ReasonKind.TWO_CORDS, ReasonKind.PICK_UP}
)
DELIVERY = frozenset({ReasonKind.DRIVE, ReasonKind.SHARED_DRIVE, ReasonKind.ACCESS})


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One line of a quote: what for, how many dollars (below zero takes off), and why."""

    kind: ReasonKind
    label: str
    dollars: Decimal
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """Our price for a want, line by line; the lines add up to `total_dollars`.

    Units
        price_dollars: before tax. wood_dollars: wood and bundles less what is taken off them.
        drive_dollars: distance fee less what sharing the road saves, without the access charge.
        last_day: the price stands through this day.
        day: the delivery day the price is for, when one was chosen.
    """

    want: Want
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
class DayOffer:
    """A delivery day with its price: what it saves against coming for this drop alone, and why."""

    on: date
    price: Decimal
    drive_dollars: Decimal
    saved: Decimal
    why: str


def quote_for(
    want: Want,
    *,
    sheet: PriceSheet,
    on: date,
    drive: Drive | None = None,
    is_new_customer: bool = True,
    rule: PlaceRule | None = None,
    day: DayRoad | None = None,
    cost: SellerCost | None = None,
) -> Quote:
    """The price of a want, with every line of it explained.

    A day that shares the road is charged what it adds (see `drive_fee_on`). Wood fetched at the yard
    has the yard's own market price, wherever the customer lives.

    Errors
        ImpossibleWant: delivery with no drive.
        PriceMissing, BelowMinimum, TooFar, CarryTooFar, BadPriceSheet: see `pricing`.
    """
    words = rule or place_rule()
    lines = [*_goods_lines(want, sheet, words)]
    goods = sum((line.dollars for line in lines), NOTHING)
    if want.how is How.DELIVERED:
        if drive is None:
            raise ImpossibleWant(trouble="Delivery needs a place: choose a town or a spot on the map.")
        if want.cords:
            pricing.check_deliverable(sheet, market=want.market, cords=want.cords, rule=words)
        lines += _drive_lines(want, sheet, drive, day, goods)
        if want.small_rig_only:
            lines.append(
                _line(ReasonKind.ACCESS, "Small trailer only", sheet.access_charge, "tight or steep way in")
            )
        if want.is_stacked:
            fee = pricing.stacking_fee(sheet, cords=want.cords, carry_ft=want.carry_ft)
            why = f"within {sheet.stacking_within_ft} feet of the truck"
            lines.append(_line(ReasonKind.STACKING, "Stacked for you", fee, why))
    return _summed(want, sheet, on, tuple(lines), drive, is_new_customer, day, cost)


def day_offers(
    want: Want,
    *,
    sheet: PriceSheet,
    on: date,
    drive: Drive,
    days: Iterable[DayRoad],
    is_new_customer: bool = True,
    rule: PlaceRule | None = None,
) -> tuple[DayOffer, ...]:
    """Days on offer in date order, each at what it adds; days that do not suit the want are left out.

    Errors
        as `quote_for`.
    """
    alone = quote_for(want, sheet=sheet, on=on, drive=drive, is_new_customer=is_new_customer, rule=rule)
    offers = []
    for road in sorted(days, key=lambda road: road.on):
        if road.on < (want.first_on or on) or (want.last_on and road.on > want.last_on):
            continue
        shared = quote_for(
            want, sheet=sheet, on=on, drive=drive, is_new_customer=is_new_customer, rule=rule, day=road
        )
        saved = alone.total_dollars - shared.total_dollars
        offers.append(
            DayOffer(
                on=road.on,
                price=shared.total_dollars,
                drive_dollars=shared.drive_dollars,
                saved=saved,
                why=_why_that_day(road, saved=saved, alone=alone),
            )
        )
    return tuple(offers)


def _goods_lines(want: Want, sheet: PriceSheet, rule: PlaceRule) -> Iterable[Reason]:
    if want.cords:
        amount = amount_words(want.cords, rule=rule)
        whole = amount_words(Fraction(1), rule=rule)
        if want.wood == LOGS:
            yield _line(
                ReasonKind.LOGS,
                f"{amount} log length",
                pricing.log_price(sheet, want.cords),
                f"{sheet.log_cord_price:.2f} for {whole}, stacked at the landing",
            )
        else:
            market = _market_for(want, sheet)
            yield _line(
                ReasonKind.WOOD,
                f"{amount} {rule.dry_word(want.dryness)} {want.wood}",
                pricing.wood_price(
                    sheet, wood=want.wood, market=market, dryness=want.dryness, cords=want.cords
                ),
                _why_wood(want, sheet, rule, market),
            )
            off = pricing.two_cords_off(sheet, cords=want.cords)
            if off:
                why = f"{sheet.two_cords_off_per_cord:.2f} off each {whole} when two or more go the same day"
                yield _line(ReasonKind.TWO_CORDS, "Two or more together", -off, why)
    if want.bundles:
        each = sheet.bundle_price_many if want.bundles >= sheet.bundles_for_many else sheet.bundle_price
        yield _line(
            ReasonKind.BUNDLES,
            f"{want.bundles} kindling bundle{'' if want.bundles == 1 else 's'}",
            pricing.bundles_price(sheet, want.bundles),
            f"{each:.2f} each"
            + (f" for {sheet.bundles_for_many} or more" if each != sheet.bundle_price else ""),
        )
    if want.how is How.PICK_UP and want.wood != LOGS and sheet.pick_up_off:
        goods = pricing.bundles_price(sheet, want.bundles) if want.bundles else NOTHING
        least = goods if not want.cords else sheet.pick_up_off
        yield _line(ReasonKind.PICK_UP, "You fetch it", -min(sheet.pick_up_off, least), "no drive for us")


def _market_for(want: Want, sheet: PriceSheet) -> str:
    terms = sheet.market(want.market)
    if want.how is How.PICK_UP and terms.is_delivered_price:
        at_the_yard = [other.key for other in sheet.markets if not other.is_delivered_price]
        return at_the_yard[0] if at_the_yard else want.market
    return want.market


def _why_wood(want: Want, sheet: PriceSheet, rule: PlaceRule, market: str) -> str:
    cord = pricing.cord_dollars(sheet, wood=want.wood, market=market, dryness=want.dryness)
    why = f"{cord:.2f} for {amount_words(Fraction(1), rule=rule)}"
    share = pricing.uplift_share(sheet, want.cords)
    if share:
        percent = Decimal(share.numerator * 100) / Decimal(share.denominator)
        why += f", {percent.quantize(Decimal('0.1')).normalize():f}% more for its size in a smaller amount"
    if sheet.market(market).is_delivered_price:
        why += ", the drive included"
    return f"{why}, to the nearest {sheet.round_to.normalize():f}"


def _drive_lines(
    want: Want, sheet: PriceSheet, drive: Drive, day: DayRoad | None, goods: Decimal
) -> Iterable[Reason]:
    terms = sheet.market(want.market)
    alone = pricing.distance_fee(sheet, miles=drive.miles)
    guess = " (straight-line estimate)" if drive.estimated else ""
    miles = f"{drive.miles.normalize():f} miles from {drive.from_yard}{guess}"
    free = f"{sheet.free_miles.normalize():f}"
    if terms.is_delivered_price:
        yield _line(ReasonKind.DRIVE, "Delivery", NOTHING, f"included in the price; {miles}")
        return
    if not alone:
        yield _line(ReasonKind.DRIVE, "Delivery", NOTHING, f"{miles}; the first {free} are free")
        return
    beyond = pricing.charged_miles(sheet, miles=drive.miles)
    started = "1 started mile" if beyond == 1 else f"{beyond} started miles"
    why = f"{miles}; {started} beyond the first {free}, {sheet.per_mile:.2f} each"
    yield _line(ReasonKind.DRIVE, "Delivery", alone, why)
    if day is not None:
        charged = drive_fee_on(
            sheet, alone=alone, goods=goods, cords=want.cords, marginal=day.marginal_dollars
        )
        if charged < alone:
            yield _line(ReasonKind.SHARED_DRIVE, "Shared drive", charged - alone, _why_shared(day))


def _why_shared(road: DayRoad) -> str:
    if not road.drops_already:
        return "this day's drive costs us less"
    others = "another drop" if road.drops_already == 1 else f"{road.drops_already} other drops"
    return f"we are already coming your way with {others}"


def _why_that_day(road: DayRoad, *, saved: Decimal, alone: Quote) -> str:
    if saved > 0:
        return _why_shared(road)
    if not alone.drive_dollars:
        return "the price has no charge for the drive any day"
    if road.drops_already:
        return "coming this day saves no driving"
    return "a drive for this drop alone"


def _summed(
    want: Want,
    sheet: PriceSheet,
    on: date,
    lines: tuple[Reason, ...],
    drive: Drive | None,
    is_new_customer: bool,
    day: DayRoad | None,
    cost: SellerCost | None,
) -> Quote:
    wood = sum((line.dollars for line in lines if line.kind in GOODS), NOTHING)
    delivery = sum((line.dollars for line in lines if line.kind in DELIVERY), NOTHING)
    access = sum((line.dollars for line in lines if line.kind is ReasonKind.ACCESS), NOTHING)
    stacking = sum((line.dollars for line in lines if line.kind is ReasonKind.STACKING), NOTHING)
    price = wood + delivery + stacking
    tax = pricing.tax(sheet.tax, wood=wood, delivery=delivery, stacking=stacking)
    if sheet.tax.percent:
        label = sheet.tax.label
        lines = (*lines, _line(ReasonKind.TAX, "Sales tax", tax, label))
    return Quote(
        want=want,
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
        last_day=_last_day(want, sheet, on, day),
        drive=drive if want.how is How.DELIVERED else None,
        day=day.on if day else None,
        floor_warning=(
            floor_warning(price_dollars=price, cords=want.cords, sheet=sheet, cost=cost) if cost else None
        ),
    )


def _last_day(want: Want, sheet: PriceSheet, on: date, day: DayRoad | None) -> date:
    """The sheet's days for a quote, but not past the sheet, the days that suit, or the eve of its day."""
    ends = [on + timedelta(days=sheet.quote_days)]
    if sheet.ends_on:
        ends.append(sheet.ends_on)
    if want.last_on:
        ends.append(want.last_on)
    if day is not None:
        ends.append(day.on - timedelta(days=1))
    return max(on, min(ends))


def _line(kind: ReasonKind, label: str, dollars: Decimal, why: str) -> Reason:
    return Reason(kind=kind, label=label, dollars=pricing.to_the_cent(dollars), why=why)

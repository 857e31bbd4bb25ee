"""A want, the price sheet and the drive become a quote with its reasons and its last day.

Wants are in `wants`; what a day's road adds and what the seller must keep are in `floors`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum

from inventory.core.money import dollars
from orders.core import pricing
from orders.core.drives import Drive
from orders.core.floors import DayRoad, FloorWarning, SellerCost, drive_fee_on, floor_warning
from orders.core.languages import ENGLISH, bundle_words, local_amount, reason_words, wood_words
from orders.core.places import PlaceRule, place_rule
from orders.core.sheets import HUNDRED, WHOLE_CORD, PriceSheet, TaxRule
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
    "days_priced",
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Speech:
    """The place's units and the customer's language, which every line is said in."""

    rule: PlaceRule
    language: str

    def say(self, key: str, **gaps: object) -> str:
        return reason_words(key, language=self.language, **gaps)


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
    language: str = ENGLISH,
) -> Quote:
    """The price of a want, with every line of it explained.

    A day that shares the road is charged what it adds (see `drive_fee_on`). Wood fetched at the yard
    has the yard's own market price, wherever the customer lives.

    Errors
        ImpossibleWant: delivery with no drive.
        PriceMissing, BelowMinimum, TooFar, CarryTooFar, BadPriceSheet: see `pricing`.
    """
    speech = _Speech(rule=rule or place_rule(), language=language)
    lines = [*_goods_lines(want, sheet, speech)]
    goods = sum((line.dollars for line in lines), NOTHING)
    if want.how is How.DELIVERED:
        if drive is None:
            raise ImpossibleWant(trouble="Delivery needs a place: choose a town or a spot on the map.")
        if want.cords:
            pricing.check_deliverable(sheet, market=want.market, cords=want.cords, rule=speech.rule)
        lines += _drive_lines(want, sheet, drive, day, goods, speech)
        if want.small_rig_only:
            why = speech.say("access_why")
            lines.append(_line(ReasonKind.ACCESS, speech.say("access"), sheet.access_charge, why))
        if want.is_stacked:
            fee = pricing.stacking_fee(sheet, cords=want.cords, carry_ft=want.carry_ft)
            why = speech.say("stacking_why", feet=sheet.stacking_within_ft)
            lines.append(_line(ReasonKind.STACKING, speech.say("stacking"), fee, why))
    return _summed(want, sheet, on, tuple(lines), drive, is_new_customer, day, cost, speech)


def days_priced(
    want: Want,
    *,
    sheet: PriceSheet,
    on: date,
    drive: Drive,
    days: Iterable[DayRoad],
    is_new_customer: bool = True,
    rule: PlaceRule | None = None,
    language: str = ENGLISH,
) -> tuple[tuple[DayOffer, Quote], ...]:
    """Days on offer in date order, each at what it adds, with its whole quote.

    Days that do not suit the want are left out.

    Errors
        as `quote_for`.
    """
    speech = _Speech(rule=rule or place_rule(), language=language)

    def priced(road: DayRoad | None) -> Quote:
        return quote_for(
            want,
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
        if road.on < (want.first_on or on) or (want.last_on and road.on > want.last_on):
            continue
        shared = priced(road)
        saved = alone.total_dollars - shared.total_dollars
        offer = DayOffer(
            on=road.on,
            price=shared.total_dollars,
            drive_dollars=shared.drive_dollars,
            saved=saved,
            why=_why_that_day(road, saved=saved, alone=alone, speech=speech),
        )
        offers.append((offer, shared))
    return tuple(offers)


def _goods_lines(want: Want, sheet: PriceSheet, speech: _Speech) -> tuple[Reason, ...]:
    lines = []
    whole = local_amount(WHOLE_CORD, rule=speech.rule, language=speech.language)
    if want.cords:
        label = wood_words(want, rule=speech.rule, language=speech.language)
        if want.wood == LOGS:
            why = speech.say("log_length", price=f"{sheet.log_cord_price:.2f}", whole=whole)
            lines.append(_line(ReasonKind.LOGS, label, pricing.log_price(sheet, want.cords), why))
        else:
            market = _market_for(want, sheet)
            price = pricing.wood_price(
                sheet, wood=want.wood, market=market, dryness=want.dryness, cords=want.cords
            )
            lines.append(_line(ReasonKind.WOOD, label, price, _why_wood(want, sheet, speech, market, whole)))
            off = pricing.two_cords_off(sheet, cords=want.cords)
            if off:
                each = f"{sheet.two_cords_off_per_cord:.2f}"
                why = speech.say("two_cords_why", price=each, whole=whole)
                lines.append(_line(ReasonKind.TWO_CORDS, speech.say("two_cords"), -off, why))
    if want.bundles:
        many = want.bundles >= sheet.bundles_for_many
        each = f"{sheet.bundle_price_many if many else sheet.bundle_price:.2f}"
        why = speech.say(
            "bundles_many_why" if many else "bundles_why", price=each, count=sheet.bundles_for_many
        )
        label = bundle_words(want.bundles, language=speech.language)
        lines.append(_line(ReasonKind.BUNDLES, label, pricing.bundles_price(sheet, want.bundles), why))
    if want.how is How.PICK_UP and want.wood != LOGS and sheet.pick_up_off:
        off = min(sheet.pick_up_off, sum((line.dollars for line in lines), NOTHING))
        lines.append(_line(ReasonKind.PICK_UP, speech.say("pick_up"), -off, speech.say("pick_up_why")))
    return tuple(lines)


def _market_for(want: Want, sheet: PriceSheet) -> str:
    terms = sheet.market(want.market)
    if want.how is How.PICK_UP and terms.is_delivered_price:
        at_the_yard = [other.key for other in sheet.markets if not other.is_delivered_price]
        return at_the_yard[0] if at_the_yard else want.market
    return want.market


def _why_wood(want: Want, sheet: PriceSheet, speech: _Speech, market: str, whole: str) -> str:
    cord = pricing.cord_dollars(sheet, wood=want.wood, market=market, dryness=want.dryness)
    share = pricing.uplift_share(sheet, want.cords) * HUNDRED
    percent = (Decimal(share.numerator) / Decimal(share.denominator)).quantize(Decimal("0.1"))
    return speech.say(
        "wood",
        price=f"{cord:.2f}",
        whole=whole,
        uplift=speech.say("uplift", percent=f"{percent.normalize():f}") if share else "",
        drive=speech.say("drive_in_price") if sheet.market(market).is_delivered_price else "",
        step=f"{sheet.round_to.normalize():f}",
    )


def _drive_lines(
    want: Want, sheet: PriceSheet, drive: Drive, day: DayRoad | None, goods: Decimal, speech: _Speech
) -> Iterable[Reason]:
    terms = sheet.market(want.market)
    alone = pricing.distance_fee(sheet, miles=drive.miles)
    miles = speech.say(
        "miles_guessed" if drive.estimated else "miles",
        miles=f"{drive.miles.normalize():f}",
        yard=drive.from_yard,
    )
    free = f"{sheet.free_miles.normalize():f}"
    label = speech.say("drive")
    if terms.is_delivered_price:
        yield _line(ReasonKind.DRIVE, label, NOTHING, speech.say("drive_included", miles=miles))
        return
    if not alone:
        yield _line(ReasonKind.DRIVE, label, NOTHING, speech.say("drive_free", miles=miles, free=free))
        return
    beyond = pricing.charged_miles(sheet, miles=drive.miles)
    why = speech.say(
        "drive_beyond_one" if beyond == 1 else "drive_beyond",
        miles=miles,
        count=beyond,
        free=free,
        price=f"{sheet.per_mile:.2f}",
    )
    yield _line(ReasonKind.DRIVE, label, alone, why)
    if day is not None:
        charged = drive_fee_on(
            sheet, alone=alone, goods=goods, cords=want.cords, marginal=day.marginal_dollars
        )
        if charged < alone:
            why = _why_shared(day, speech)
            yield _line(ReasonKind.SHARED_DRIVE, speech.say("shared"), charged - alone, why)


def _why_shared(road: DayRoad, speech: _Speech) -> str:
    if not road.drops_already:
        return speech.say("shared_less")
    if road.drops_already == 1:
        return speech.say("shared_one")
    return speech.say("shared_many", count=road.drops_already)


def _why_that_day(road: DayRoad, *, saved: Decimal, alone: Quote, speech: _Speech) -> str:
    if saved > 0:
        return _why_shared(road, speech)
    if not alone.drive_dollars:
        return speech.say("day_no_charge")
    return speech.say("day_no_saving" if road.drops_already else "day_alone")


def _why_tax(rule: TaxRule, speech: _Speech) -> str:
    parts = [speech.say(f"tax_{part}") for part in rule.parts]
    listed = parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} {speech.say('and')} {parts[-1]}"
    return speech.say("tax_why", percent=f"{rule.percent.normalize():f}", parts=listed)


def _summed(
    want: Want,
    sheet: PriceSheet,
    on: date,
    lines: tuple[Reason, ...],
    drive: Drive | None,
    is_new_customer: bool,
    day: DayRoad | None,
    cost: SellerCost | None,
    speech: _Speech,
) -> Quote:
    wood = sum((line.dollars for line in lines if line.kind in GOODS), NOTHING)
    delivery = sum((line.dollars for line in lines if line.kind in DELIVERY), NOTHING)
    access = sum((line.dollars for line in lines if line.kind is ReasonKind.ACCESS), NOTHING)
    stacking = sum((line.dollars for line in lines if line.kind is ReasonKind.STACKING), NOTHING)
    price = wood + delivery + stacking
    tax = pricing.tax(sheet.tax, wood=wood, delivery=delivery, stacking=stacking)
    if sheet.tax.percent and sheet.tax.parts:
        lines = (*lines, _line(ReasonKind.TAX, speech.say("tax"), tax, _why_tax(sheet.tax, speech)))
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


def _line(kind: ReasonKind, label: str, amount: Decimal, why: str) -> Reason:
    return Reason(kind=kind, label=label, dollars=dollars(amount), why=why)

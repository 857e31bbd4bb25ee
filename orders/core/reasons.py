"""The lines of a quote: what each is for, how many dollars, and why, in the customer's language."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from inventory.core.local import local, money_words, road_figure
from inventory.core.money import dollars
from inventory.core.sentences import say
from inventory.core.units import by_the_unit, convert, cord_units
from inventory.core.woods import Wood
from orders.core import pricing
from orders.core.drives import Drive
from orders.core.floors import DayRoad, drive_fee_on
from orders.core.languages import bundle_words, wood_words
from orders.core.order_request import How, OrderRequest
from orders.core.places import PlaceRule, amount_words
from orders.core.sheets import HUNDRED, PriceSheet, TaxRule

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
    AGREED = "agreed"


ROAD_IN_MILES = {
    "estimated": "{miles} miles from {yard} (straight-line estimate)",
    "measured": "{miles} miles from {yard}",
    "one beyond": "{miles}; 1 mile or part of one beyond the first {free}, {price} each",
    "beyond": "{miles}; {count} miles or parts of one beyond the first {free}, {price} each",
}
ROAD_IN_KM = {
    "estimated": "{miles} km from {yard} (straight-line estimate)",
    "measured": "{miles} km from {yard}",
    "one beyond": "{miles}; 1 km or part of one beyond the first {free}, {price} each",
    "beyond": "{miles}; {count} km or parts of one beyond the first {free}, {price} each",
}


SAID_ALIKE: Mapping[str, str] = {
    ReasonKind.TWO_CORDS: "Two or more together",
    ReasonKind.PICK_UP: "Pickup",
    ReasonKind.DRIVE: "Delivery",
    ReasonKind.SHARED_DRIVE: "Shared drive",
    ReasonKind.STACKING: "Stacked for you",
    ReasonKind.ACCESS: "Small trailer only",
    ReasonKind.TAX: "Sales tax",
    ReasonKind.AGREED: "Price agreed with you",
}
WITH_A_NEIGHBOR = "Drive shared with a neighbor"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One line of a quote: what for, how many dollars (below zero takes off), and why."""

    kind: str  # a ReasonKind, or nothing in very old lines
    label: str
    dollars: Decimal
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Speech:
    """The place's units and the customer's language, which every line is said in."""

    rule: PlaceRule
    language: str

    def say(self, sentence: str, **gaps: object) -> str:
        return say(sentence, language=self.language, **gaps)


TAXED = {
    ("wood",): "sales tax {percent}% on wood",
    ("delivery",): "sales tax {percent}% on delivery",
    ("stacking",): "sales tax {percent}% on stacking",
    (
        "wood",
        "delivery",
    ): "sales tax {percent}% on wood and delivery",
    (
        "wood",
        "stacking",
    ): "sales tax {percent}% on wood and stacking",
    (
        "delivery",
        "stacking",
    ): "sales tax {percent}% on delivery and stacking",
    (
        "wood",
        "delivery",
        "stacking",
    ): "sales tax {percent}% on wood, delivery and stacking",
}
"""What the tax is on, by the parts of the rule in this order."""


def why_tax(rule: TaxRule, speech: Speech) -> str:
    parts = tuple(part for part in ("wood", "delivery", "stacking") if part in rule.parts)
    return speech.say(TAXED[parts], percent=f"{rule.percent.normalize():f}")


def why_stacking(within_ft: int, speech: Speech) -> str:
    if local().is_metric:
        return speech.say("within {meters} m of the truck", meters=round(convert(within_ft, "foot", "meter")))
    return speech.say("within {feet} feet of the truck", feet=within_ft)


def goods_lines(order_request: OrderRequest, sheet: PriceSheet, speech: Speech) -> tuple[Reason, ...]:
    lines = []
    whole = amount_words(1 / Fraction(cord_units()), rule=speech.rule, language=speech.language)
    if order_request.cords:
        label = wood_words(order_request, rule=speech.rule, language=speech.language)
        if order_request.wood == Wood.LOGS:
            why = speech.say(
                "{price} for {whole}, stacked at the landing",
                price=_each(sheet.log_cord_price),
                whole=whole,
            )
            lines.append(
                reason_line(ReasonKind.LOGS, label, pricing.log_price(sheet, order_request.cords), why)
            )
        else:
            market = _market_for(order_request, sheet)
            price = pricing.wood_price(
                sheet,
                wood=order_request.wood,
                market=market,
                dryness=order_request.dryness,
                cords=order_request.cords,
            )
            lines.append(
                reason_line(
                    ReasonKind.WOOD, label, price, _why_wood(order_request, sheet, speech, market, whole)
                )
            )
            off = pricing.two_cords_off(sheet, cords=order_request.cords)
            if off:
                said = (
                    "{price} off each {whole} when {amount} or more goes the same day"
                    if local().is_metric
                    else "{price} off each {whole} when two or more go the same day"
                )
                amount = amount_words(pricing.TWO_CORDS, rule=speech.rule, language=speech.language)
                why = speech.say(said, price=_each(sheet.two_cords_off_per_cord), whole=whole, amount=amount)
                lines.append(reason_line(ReasonKind.TWO_CORDS, speech.say("Two or more together"), -off, why))
    if order_request.bundles:
        many = order_request.bundles >= sheet.bundles_for_many
        each = money_words(sheet.bundle_price_many if many else sheet.bundle_price)
        why = speech.say(
            "{price} each for {count} or more" if many else "{price} each",
            price=each,
            count=sheet.bundles_for_many,
        )
        label = bundle_words(order_request.bundles, language=speech.language)
        lines.append(
            reason_line(ReasonKind.BUNDLES, label, pricing.bundles_price(sheet, order_request.bundles), why)
        )
    if order_request.how is How.PICK_UP and order_request.wood != Wood.LOGS and sheet.pick_up_off:
        off = min(sheet.pick_up_off, sum((line.dollars for line in lines), NOTHING))
        lines.append(
            reason_line(ReasonKind.PICK_UP, speech.say("Pickup"), -off, speech.say("no drive for us"))
        )
    return tuple(lines)


def _each(cord: Decimal) -> str:
    """A price by the cord as the place reads it."""
    return money_words(dollars(by_the_unit(cord)))


def _market_for(order_request: OrderRequest, sheet: PriceSheet) -> str:
    terms = sheet.market(order_request.market)
    if order_request.how is How.PICK_UP and terms.is_delivered_price:
        at_the_yard = [other.key for other in sheet.markets if not other.is_delivered_price]
        return at_the_yard[0] if at_the_yard else order_request.market
    return order_request.market


def _why_wood(order_request: OrderRequest, sheet: PriceSheet, speech: Speech, market: str, whole: str) -> str:
    cord = pricing.cord_dollars(sheet, wood=order_request.wood, market=market, dryness=order_request.dryness)
    share = pricing.uplift_share(sheet, order_request.cords) * HUNDRED
    percent = (Decimal(share.numerator) / Decimal(share.denominator)).quantize(Decimal("0.1"))
    gaps = {
        "price": _each(cord),
        "whole": whole,
        "percent": f"{percent.normalize():f}",
        "step": money_words(sheet.round_to),
    }
    if sheet.market(market).is_delivered_price:
        if share:
            return speech.say(
                "{price} for {whole}, {percent}% more for its size in a smaller amount, delivery included, "
                "to the nearest {step}",
                **gaps,
            )
        return speech.say("{price} for {whole}, delivery included, to the nearest {step}", **gaps)
    if share:
        return speech.say(
            "{price} for {whole}, {percent}% more for its size in a smaller amount, to the nearest {step}",
            **gaps,
        )
    return speech.say("{price} for {whole}, to the nearest {step}", **gaps)


def drive_lines(
    order_request: OrderRequest,
    sheet: PriceSheet,
    drive: Drive,
    day: DayRoad | None,
    goods: Decimal,
    speech: Speech,
) -> Iterable[Reason]:
    terms = sheet.market(order_request.market)
    alone = pricing.distance_fee(sheet, miles=drive.miles)
    said = ROAD_IN_KM if local().is_metric else ROAD_IN_MILES
    miles = speech.say(
        said["estimated" if drive.estimated else "measured"],
        miles=road_figure(drive.miles),
        yard=drive.from_yard,
    )
    free = f"{sheet.free_miles.normalize():f}"
    label = speech.say("Delivery")
    if terms.is_delivered_price:
        yield reason_line(
            ReasonKind.DRIVE, label, NOTHING, speech.say("included in the price; {miles}", miles=miles)
        )
        return
    if not alone:
        yield reason_line(
            ReasonKind.DRIVE,
            label,
            NOTHING,
            speech.say("{miles}; the first {free} are free", miles=miles, free=free),
        )
        return
    beyond = pricing.charged_miles(sheet, miles=drive.miles)
    why = speech.say(
        said["one beyond" if beyond == 1 else "beyond"],
        miles=miles,
        count=beyond,
        free=free,
        price=money_words(sheet.per_mile),
    )
    yield reason_line(ReasonKind.DRIVE, label, alone, why)
    if day is not None:
        charged = drive_fee_on(
            sheet, alone=alone, goods=goods, cords=order_request.cords, marginal=day.marginal_dollars
        )
        if charged < alone:
            why = why_shared(day, speech)
            yield reason_line(ReasonKind.SHARED_DRIVE, speech.say("Shared drive"), charged - alone, why)


def why_shared(road: DayRoad, speech: Speech) -> str:
    if not road.drops_already:
        return speech.say("this day's drive costs us less")
    if road.drops_already == 1:
        return speech.say("we are already coming your way with another drop")
    return speech.say("we are already coming your way with {count} other drops", count=road.drops_already)


def reason_line(kind: ReasonKind, label: str, amount: Decimal, why: str) -> Reason:
    return Reason(kind=kind, label=label, dollars=dollars(amount), why=why)

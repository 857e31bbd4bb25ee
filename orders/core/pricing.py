"""The price of each part of an order, exact to the cent, read off a price sheet (`sheets`).

Putting the parts together into a quote is `quotes`; what the wood cost the seller is `inventory`.
Fractions of a cord are dearer by the cord (the uplift): the trip, the loading and the talk are the same.
"""

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from math import ceil

from inventory.core.gaps import Measured
from inventory.core.local import local, money_words, road_figure
from inventory.core.money import dollars, round_to
from inventory.core.sentences import Sentence, say
from orders.core import CustomerRefusal, OrdersError
from orders.core.languages import wood_in_words
from orders.core.places import PlaceRule, amount_words
from orders.core.sheets import (
    HUNDRED,
    NO_TAX,
    WHOLE_CORD,
    BadPriceSheet,
    CordPrice,
    MarketTerms,
    PriceSheet,
    TaxRule,
    Uplift,
    tax_rule,
)

__all__ = [
    "NO_TAX",
    "BadAmount",
    "BadPriceSheet",
    "BelowMinimum",
    "CarryTooFar",
    "CordPrice",
    "MarketTerms",
    "PriceMissing",
    "PriceSheet",
    "TaxRule",
    "TooFar",
    "TooLittleToBring",
    "Uplift",
    "bundles_price",
    "charged_miles",
    "cheaper_bundles",
    "check_deliverable",
    "check_worth_the_drive",
    "cord_dollars",
    "deposit",
    "distance_fee",
    "log_price",
    "stacking_fee",
    "tax",
    "tax_rule",
    "two_cords_off",
    "uplift_share",
    "wood_price",
]

TWO_CORDS = Fraction(2)


class PriceMissing(CustomerRefusal):
    """The sheet has no price for this wood there."""

    says = "There is no price for {dryness} {wood} in the {market} market: choose another wood, or ask us."
    in_words = {"dryness": lambda word: Sentence(word.replace("_", " ")), "wood": wood_in_words}


class BadAmount(OrdersError):
    """An amount of wood that cannot be priced."""

    says = "{amount} {what} cannot be priced: ask for more than nothing, such as 1/2 cord."
    in_words = {"what": Sentence}


class BelowMinimum(CustomerRefusal):
    """Less wood than the seller brings to this market."""

    def __init__(self, *, cords: Fraction, minimum: Fraction, market: str, rule: PlaceRule) -> None:
        self.cords = cords
        self.minimum = minimum
        self.market = market
        self.rule = rule
        super().__init__()

    def text_in(self, language: str) -> str:
        return say(
            "The least we bring there is {least}, and you asked for {asked}: take a little more, or "
            "pick it up at the yard.",
            language=language,
            least=amount_words(self.minimum, rule=self.rule, language=language),
            asked=amount_words(self.cords, rule=self.rule, language=language),
        )


class TooLittleToBring(CustomerRefusal):
    """Goods worth less than the seller drives for."""

    says = (
        "We drive for {least} of wood or more, and this is {goods}: take a little more, or pick it up at "
        "the yard."
    )
    in_words = {"least": money_words, "goods": money_words}


class TooFar(CustomerRefusal):
    """Beyond the miles the seller drives."""

    def __init__(self, *, miles: Decimal, longest_miles: Decimal) -> None:
        self.miles = miles
        self.longest_miles = longest_miles
        super().__init__()

    def text_in(self, language: str) -> str:
        return say(
            "That is {miles} km away and we drive {most} at most: you are welcome to pick the "
            "wood up at the yard."
            if local().is_metric
            else "That is {miles} miles away and we drive {most} at most: you are welcome to pick the "
            "wood up at the yard.",
            language=language,
            miles=road_figure(self.miles),
            most=f"{self.longest_miles.normalize():f}",
        )


class CarryTooFar(CustomerRefusal):
    """Stacking asked for farther from the truck than the price covers."""

    says = (
        "Stacking is priced within {within} of the truck and this is {carry}: choose a "
        "nearer spot, have it dumped, or ask us for a price."
    )


def uplift_share(sheet: PriceSheet, cords: Fraction) -> Fraction:
    """How much dearer by the cord an amount is.

    A listed fraction has its own share. Between two listed ones the share runs in a straight line;
    below the smallest it stays the smallest one's; from a whole cord up it is nothing, odd parts of
    a second cord included, because the trip is already paid for.
    """
    if cords >= WHOLE_CORD or not sheet.uplifts:
        return Fraction(0)
    listed = sorted(
        (*((u.cords, Fraction(u.share)) for u in sheet.uplifts if u.cords < 1), (WHOLE_CORD, Fraction(0)))
    )
    if cords <= listed[0][0]:
        return listed[0][1]
    for (less, share_less), (more, share_more) in pairwise(listed):
        if cords <= more:
            return share_less + (share_more - share_less) * (cords - less) / (more - less)
    raise AssertionError("every amount below one cord lies under a listed one")


def wood_price(sheet: PriceSheet, *, wood: str, market: str, dryness: str, cords: Fraction) -> Decimal:
    """Dollars for the wood alone: cord price x amount x (1 + uplift), rounded to the sheet's step, half up.

    Errors
        BadAmount: no wood, or less than none.
        PriceMissing: the sheet does not sell this wood there.
    """
    if cords <= 0:
        raise BadAmount(amount=cords, what="cords")
    cord = cord_dollars(sheet, wood=wood, market=market, dryness=dryness)
    return round_to(Fraction(cord) * cords * (1 + uplift_share(sheet, cords)), sheet.round_to)


def cord_dollars(sheet: PriceSheet, *, wood: str, market: str, dryness: str) -> Decimal:
    """The sheet's price of a whole cord.

    Errors
        PriceMissing: the sheet does not sell this wood there.
    """
    for price in sheet.cord_prices:
        if (price.wood, price.market, price.dryness) == (wood, market, dryness):
            return price.dollars
    raise PriceMissing(wood=wood, market=market, dryness=dryness)


def log_price(sheet: PriceSheet, cords: Fraction) -> Decimal:
    """Dollars for stacked log-length cords at the landing, to the cent.

    Errors
        BadAmount: no wood, or less than none.
    """
    if cords <= 0:
        raise BadAmount(amount=cords, what="cords")
    return dollars(Fraction(sheet.log_cord_price) * cords)


def bundles_price(sheet: PriceSheet, bundles: int) -> Decimal:
    """Dollars for kindling bundles; all of them at the lower price from `bundles_for_many` on.

    Errors
        BadAmount: no bundles, or less than none.
    """
    if bundles <= 0:
        raise BadAmount(amount=bundles, what="bundles")
    each = sheet.bundle_price_many if bundles >= sheet.bundles_for_many else sheet.bundle_price
    return dollars(each * bundles)


def cheaper_bundles(sheet: PriceSheet, bundles: int) -> tuple[int, Decimal] | None:
    """More bundles that cost no more, with what they cost; None where there are none."""
    if not 0 < bundles < sheet.bundles_for_many:
        return None
    many = bundles_price(sheet, sheet.bundles_for_many)
    return (sheet.bundles_for_many, many) if many <= bundles_price(sheet, bundles) else None


def distance_fee(sheet: PriceSheet, *, miles: Decimal) -> Decimal:
    """Dollars for the miles beyond the free ones, every started mile counting whole.

    The sheet's figures are in the unit of the place, as `orders.core.sheets.roads_in` gave them.

    Errors
        TooFar: beyond the miles the seller drives.
    """
    if local().distance(miles) > sheet.longest_miles:
        raise TooFar(miles=miles, longest_miles=sheet.longest_miles)
    return dollars(charged_miles(sheet, miles=miles) * sheet.per_mile)


def charged_miles(sheet: PriceSheet, *, miles: Decimal) -> int:
    """Started miles, or km, beyond the free ones."""
    return max(0, ceil(local().distance(miles) - sheet.free_miles))


def stacking_fee(sheet: PriceSheet, *, cords: Fraction, carry_ft: int = 0) -> Decimal:
    """Dollars for stacking within the carry the price covers, to the cent.

    Errors
        CarryTooFar: the spot is farther from the truck than that.
    """
    if carry_ft > sheet.stacking_within_ft:
        raise CarryTooFar(
            carry=Measured(carry_ft, "ft", 0), within=Measured(sheet.stacking_within_ft, "ft", 0)
        )
    return dollars(Fraction(sheet.stacking_per_cord) * cords)


def two_cords_off(sheet: PriceSheet, *, cords: Fraction) -> Decimal:
    """Dollars taken off when two or more cords go on the same day: so much for each cord."""
    if cords < TWO_CORDS:
        return Decimal("0.00")
    return dollars(Fraction(sheet.two_cords_off_per_cord) * cords)


def waives_deposit(*, new_customers_only: bool, is_new_customer: bool) -> bool:
    """Whether this customer is asked for nothing ahead: the sheet wants deposits of new ones only."""
    return new_customers_only and not is_new_customer


def deposit(sheet: PriceSheet, *, price: Decimal, is_new_customer: bool) -> Decimal:
    """Dollars asked ahead: a share of the price before tax, rounded up to a step, never above the price."""
    if waives_deposit(new_customers_only=sheet.deposit_new_customers_only, is_new_customer=is_new_customer):
        return Decimal("0.00")
    steps = ceil(Fraction(price) * Fraction(sheet.deposit_pct) / HUNDRED / Fraction(sheet.deposit_round_to))
    return min(dollars(steps * sheet.deposit_round_to), dollars(price))


def tax(rule: TaxRule, *, wood: Decimal, delivery: Decimal, stacking: Decimal) -> Decimal:
    """Sales tax in dollars on the taxed parts together, rounded half up once."""
    taxed = (
        (wood if rule.on_wood else Decimal(0))
        + (delivery if rule.on_delivery else Decimal(0))
        + (stacking if rule.on_stacking else Decimal(0))
    )
    return dollars(Fraction(taxed) * Fraction(rule.percent) / HUNDRED)


def check_worth_the_drive(sheet: PriceSheet, *, goods: Decimal) -> None:
    """Refuse goods worth less than the seller drives for.

    Errors
        TooLittleToBring: names the least.
    """
    if goods < sheet.least_delivery:
        raise TooLittleToBring(goods=goods, least=sheet.least_delivery)


def check_deliverable(sheet: PriceSheet, *, market: str, cords: Fraction, rule: PlaceRule) -> None:
    """Refuse an amount of cordwood smaller than the seller brings to this market.

    Errors
        BelowMinimum: names the least that is brought there.
    """
    terms = sheet.market(market)
    if cords < terms.minimum_cords:
        raise BelowMinimum(cords=cords, minimum=terms.minimum_cords, market=terms.name, rule=rule)

"""The price sheet: what the seller asks from a date on; a sheet that contradicts itself is refused."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Annotated, get_type_hints

from inventory.core.local import METERS_PER_MILE, local
from inventory.core.sentences import FramedRefusal
from inventory.core.units import cords_of_m3
from orders.core import OrdersError

WHOLE_CORD = Fraction(1)
HUNDRED = 100
USUAL_UPLIFTS = {  # what a first sheet starts from: smaller amounts cost more by the cord (estimate)
    Fraction(3, 4): Decimal("0.04"),
    Fraction(2, 3): Decimal("0.05"),
    Fraction(1, 2): Decimal("0.10"),
    Fraction(1, 3): Decimal("0.15"),
    Fraction(1, 4): Decimal("0.20"),
}
AMOUNTS = tuple(Fraction(text) for text in ("1/4", "1/3", "1/2", "2/3", "3/4", "1", "3/2", "2", "3"))
AMOUNTS_M3 = tuple(cords_of_m3(cubic) for cubic in (1, 2, 3, 4, 5, 6, 8, 10))
USUAL_UPLIFTS_M3 = dict(zip(AMOUNTS_M3, (Decimal("0.18"), Decimal("0.08"), Decimal("0.03")), strict=False))


class BadPriceSheet(FramedRefusal, OrdersError):
    """A price sheet that contradicts itself; names the line to mend."""

    frame = "The price sheet's {line} {problem}."
    of = ("line", "problem")


@dataclass(frozen=True, slots=True, kw_only=True)
class CordPrice:
    """Dollars for a whole cord of a wood in a market, dry or green."""

    wood: str
    market: str
    dryness: str
    dollars: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class MarketTerms:
    """How a set of places is sold to.

    is_delivered_price: the cord price includes the drive, so there is no distance fee.
    """

    key: str
    name: str
    minimum_cords: Fraction
    is_far: bool = False
    is_delivered_price: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Uplift:
    """How much dearer by the cord this amount is: share 0.10 means a tenth more."""

    cords: Fraction
    share: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxRule:
    """Sales tax at the place: a percent, and which parts of the price it falls on.

    A seller sets this; it is never guessed from a place.
    """

    percent: Decimal = Decimal(0)
    on_wood: bool = False
    on_delivery: bool = False
    on_stacking: bool = False

    def __post_init__(self) -> None:
        if not 0 <= self.percent < HUNDRED:
            raise BadPriceSheet("sales tax", "is {percent} percent; use 0 to 99", percent=self.percent)

    @property
    def parts(self) -> tuple[str, ...]:
        """What the tax falls on: "wood", "delivery", "stacking"; nothing when there is no tax."""
        if not self.percent:
            return ()
        taxed = {"wood": self.on_wood, "delivery": self.on_delivery, "stacking": self.on_stacking}
        return tuple(part for part, is_taxed in taxed.items() if is_taxed)

    @property
    def label(self) -> str:
        """What the tax falls on, in English words for the ticket and the seller."""
        if not self.parts:
            return "no sales tax"
        first, last = self.parts[:-1], self.parts[-1]
        listed = f"{', '.join(first)} and {last}" if first else last
        return f"sales tax {self.percent.normalize():f}% on {listed}"


NO_TAX = TaxRule()


def tax_rule(*, percent: Decimal, on: str) -> TaxRule:
    """The tax rule named by a price sheet's choice: "none", "wood" or "all" (wood, delivery, stacking).

    Errors
        BadPriceSheet: another word, or a percent out of range.
    """
    if on == "none":
        return NO_TAX
    if on == "wood":
        return TaxRule(percent=percent, on_wood=True)
    if on == "all":
        return TaxRule(percent=percent, on_wood=True, on_delivery=True, on_stacking=True)
    raise BadPriceSheet("sales tax", "says {on!r}; use none, wood or all", on=on)


@dataclass(frozen=True, slots=True)
class Term:
    """How the seller's form asks for a line of the price sheet, and how the Prices page shows it.

    Units
        unit: $, %, miles, feet, bundles, days; "" is a yes or no. places: decimals that may be written.
        is_by_wood: dollars for each cord, asked for by the cubic meter where the place counts those.
    """

    label: str
    unit: str = "$"
    high: int = 9_999
    low: Decimal = Decimal(0)
    places: int = 2
    is_of_drive: bool = False
    is_by_wood: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceSheet:
    """The tariff that holds from a date on.

    Units
        dollars throughout; `round_to` is the step wood prices are rounded to, half up;
        `floor_per_cord` is the least the seller means to keep of a cord once the drive is paid;
        `least_delivery` is the least worth of goods that is driven for; `stacking_within_ft` is the carry in
        the price.
        ends_on: the last day before a newer sheet holds, when there is one.
    """

    from_on: date
    markets: tuple[MarketTerms, ...]
    cord_prices: tuple[CordPrice, ...]
    uplifts: tuple[Uplift, ...]
    free_miles: Annotated[Decimal, Term("Free miles", "miles", high=999, places=1, is_of_drive=True)]
    per_mile: Annotated[Decimal, Term("Each mile or part of one beyond", high=999, is_of_drive=True)]
    longest_miles: Annotated[
        Decimal, Term("Farthest we drive", "miles", low=Decimal(1), high=999, places=1, is_of_drive=True)
    ]
    stacking_per_cord: Annotated[Decimal, Term("Stacking a cord", is_of_drive=True, is_by_wood=True)]
    stacking_within_ft: Annotated[int, Term("Stacking within", "feet", high=1000, places=0, is_of_drive=True)]
    access_charge: Annotated[Decimal, Term("Small trailer only", is_of_drive=True)]
    pick_up_off: Annotated[Decimal, Term("Off for pickup", is_of_drive=True)]
    two_cords_off_per_cord: Annotated[Decimal, Term("Off a cord from two cords on", is_by_wood=True)]
    bundle_price: Annotated[Decimal, Term("Kindling bundle", high=999)]
    bundle_price_many: Annotated[Decimal, Term("Bundle, for many", high=999)]
    bundles_for_many: Annotated[int, Term("Bulk price from", "bundles", low=Decimal(1), high=500, places=0)]
    log_cord_price: Annotated[Decimal, Term("Log length, a stacked cord", is_by_wood=True)]
    round_to: Annotated[Decimal, Term("Round prices to", low=Decimal("0.01"), high=100)]
    deposit_pct: Annotated[Decimal, Term("Deposit", "%", high=100, places=1)]
    deposit_round_to: Annotated[Decimal, Term("Round deposit up to", low=Decimal("0.01"), high=100)]
    deposit_new_customers_only: Annotated[bool, Term("Deposit from new customers only", "")]
    quote_days: Annotated[int, Term("A quote holds", "days", low=Decimal(1), high=90, places=0)]
    floor_per_cord: Annotated[Decimal, Term("Least you want left per cord", is_by_wood=True)] = Decimal(0)
    least_delivery: Annotated[Decimal, Term("Least order we drive for", is_of_drive=True)] = Decimal(0)
    tax: TaxRule = NO_TAX
    ends_on: date | None = None

    def __post_init__(self) -> None:
        for name, term in TERMS.items():
            line, value = name.replace("_", " "), getattr(self, name)
            if value < 0:
                raise BadPriceSheet(line, "is below zero")
            if term.low and term.unit == "$" and not value:
                raise BadPriceSheet(line, "must be above zero, such as 5")
        if self.deposit_pct > HUNDRED:
            raise BadPriceSheet("deposit pct", "is more than the whole price")
        if self.quote_days < 1:
            raise BadPriceSheet("quote days", "must be at least one")
        if self.bundle_price_many > self.bundle_price:
            raise BadPriceSheet("bundle price for many", "is more than for one")
        if any(price.dollars <= 0 for price in self.cord_prices):
            raise BadPriceSheet("cord prices", "must all be above zero")
        if any(self.two_cords_off_per_cord > price.dollars for price in self.cord_prices):
            raise BadPriceSheet("two cords off per cord", "is more than a cord costs")
        keys = [(price.wood, price.market, price.dryness) for price in self.cord_prices]
        if len(set(keys)) < len(keys):
            raise BadPriceSheet("cord prices", "name the same wood, market and dryness twice")
        amounts = [uplift.cords for uplift in self.uplifts]
        if len(set(amounts)) < len(amounts):
            raise BadPriceSheet("uplifts", "name the same fraction twice")
        if any(not 0 < cords <= WHOLE_CORD for cords in amounts):
            raise BadPriceSheet("uplifts", "belong to fractions of a cord, up to one whole")
        if any(uplift.share < 0 for uplift in self.uplifts):
            raise BadPriceSheet("uplifts", "cannot be below zero")

    @property
    def amounts(self) -> tuple[Fraction, ...]:
        """Amounts to tap: whole m³ where the place and the sheet count in them, else fractions of a cord."""
        return AMOUNTS_M3 if self.is_by_m3 else AMOUNTS

    @property
    def listed(self) -> frozenset[Fraction]:
        """The amounts whose prices are listed: those with a share of their own, and what has none."""
        most = AMOUNTS_M3[len(USUAL_UPLIFTS_M3)] if self.is_by_m3 else WHOLE_CORD
        return frozenset({most, *(up.cords for up in self.uplifts if up.cords < WHOLE_CORD)})

    @property
    def is_by_m3(self) -> bool:
        """Whether its smaller amounts are whole m³, in a place that counts those."""
        sizes = {up.cords for up in self.uplifts if up.cords < WHOLE_CORD}
        return local().is_metric and bool(sizes) and sizes <= set(AMOUNTS_M3)

    def market(self, key: str) -> MarketTerms:
        """The terms of a market.

        Errors
            BadPriceSheet: no such market on this sheet.
        """
        for terms in self.markets:
            if terms.key == key:
                return terms
        raise BadPriceSheet("markets", "do not name {key!r}; add it or choose another", key=key)


TERMS = {
    name: hint.__metadata__[0]
    for name, hint in get_type_hints(PriceSheet, include_extras=True).items()
    if hasattr(hint, "__metadata__")
}
"""The columns of a sheet by name, in order: its form, its row and its page are made of this one list."""


def usual_uplifts() -> dict[Fraction, Decimal]:
    """What a first sheet starts from: parts of a cord, or whole m³ where those count."""
    return USUAL_UPLIFTS_M3 if local().is_metric else USUAL_UPLIFTS


ROAD_FIGURES = {"free_miles": False, "per_mile": True, "longest_miles": False}  # True: dollars for one


def roads_in(figures: Mapping[str, Decimal], *, from_km: bool, to_km: bool) -> dict[str, Decimal]:
    """The road figures of a sheet in the other unit, each to its own decimals; as they are in the same one.

    >>> roads_in({"free_miles": Decimal(12), "per_mile": Decimal("2.75"), "longest_miles": Decimal(90)},
    ...     from_km=False, to_km=True)
    {'free_miles': Decimal('19.3'), 'per_mile': Decimal('1.71'), 'longest_miles': Decimal('144.8')}
    """
    km = Decimal(METERS_PER_MILE.numerator) / METERS_PER_MILE.denominator / 1000
    found = {}
    for name, is_rate in ROAD_FIGURES.items():
        times = Decimal(1) if from_km == to_km else 1 / km if is_rate == to_km else km
        step = Decimal(1).scaleb(-TERMS[name].places)
        figure = figures[name] * times
        found[name] = figure if times == 1 else figure.quantize(step, ROUND_HALF_UP)
    return found

"""The price sheet: what the seller asks from a date on; a sheet that contradicts itself is refused."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from orders.core import OrdersError

WHOLE_CORD = Fraction(1)
HUNDRED = 100


class BadPriceSheet(OrdersError):
    """A price sheet that contradicts itself; names the line to mend."""

    def __init__(self, *, line: str, trouble: str) -> None:
        self.line = line
        self.trouble = trouble
        super().__init__(f"The price sheet's {line} {trouble}.")


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
            raise BadPriceSheet(line="sales tax", trouble=f"is {self.percent} percent; use 0 to 99")

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
    raise BadPriceSheet(line="sales tax", trouble=f"says {on!r}; use none, wood or all")


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceSheet:
    """The tariff that holds from a date on.

    Units
        dollars throughout; `round_to` is the step wood prices are rounded to, half up;
        `quote_days` is how long a quote stands; `floor_per_cord` is the least the seller means to
        keep of a cord once the drive is paid; `stacking_within_ft` is the carry in the price.
        ends_on: the last day before a newer sheet holds, when there is one.
    """

    from_on: date
    markets: tuple[MarketTerms, ...]
    cord_prices: tuple[CordPrice, ...]
    uplifts: tuple[Uplift, ...]
    free_miles: Decimal
    per_mile: Decimal
    longest_miles: Decimal
    stacking_per_cord: Decimal
    stacking_within_ft: int
    access_charge: Decimal
    pick_up_off: Decimal
    two_cords_off_per_cord: Decimal
    bundle_price: Decimal
    bundle_price_many: Decimal
    bundles_for_many: int
    log_cord_price: Decimal
    round_to: Decimal
    deposit_pct: Decimal
    deposit_round_to: Decimal
    deposit_new_customers_only: bool
    quote_days: int
    floor_per_cord: Decimal = Decimal(0)
    tax: TaxRule = NO_TAX
    ends_on: date | None = None

    def __post_init__(self) -> None:
        for name in (
            "free_miles",
            "per_mile",
            "longest_miles",
            "stacking_per_cord",
            "access_charge",
            "pick_up_off",
            "two_cords_off_per_cord",
            "bundle_price",
            "bundle_price_many",
            "log_cord_price",
            "deposit_pct",
            "floor_per_cord",
        ):
            if getattr(self, name) < 0:
                raise BadPriceSheet(line=name.replace("_", " "), trouble="is below zero")
        for name in ("round_to", "deposit_round_to"):
            if getattr(self, name) <= 0:
                raise BadPriceSheet(line=name.replace("_", " "), trouble="must be above zero, such as 5")
        if self.deposit_pct > HUNDRED:
            raise BadPriceSheet(line="deposit pct", trouble="is more than the whole price")
        if self.quote_days < 1:
            raise BadPriceSheet(line="quote days", trouble="must be at least one")
        if self.bundle_price_many > self.bundle_price:
            raise BadPriceSheet(line="bundle price for many", trouble="is dearer than for one")
        if any(price.dollars <= 0 for price in self.cord_prices):
            raise BadPriceSheet(line="cord prices", trouble="must all be above zero")
        if any(self.two_cords_off_per_cord > price.dollars for price in self.cord_prices):
            raise BadPriceSheet(line="two cords off per cord", trouble="is more than a cord costs")
        keys = [(price.wood, price.market, price.dryness) for price in self.cord_prices]
        if len(set(keys)) < len(keys):
            raise BadPriceSheet(line="cord prices", trouble="name the same wood, market and dryness twice")
        amounts = [uplift.cords for uplift in self.uplifts]
        if len(set(amounts)) < len(amounts):
            raise BadPriceSheet(line="uplifts", trouble="name the same fraction twice")
        if any(not 0 < cords <= WHOLE_CORD for cords in amounts):
            raise BadPriceSheet(line="uplifts", trouble="belong to fractions of a cord, up to one whole")
        if any(uplift.share < 0 for uplift in self.uplifts):
            raise BadPriceSheet(line="uplifts", trouble="cannot be below zero")

    def market(self, key: str) -> MarketTerms:
        """The terms of a market.

        Errors
            BadPriceSheet: no such market on this sheet.
        """
        for terms in self.markets:
            if terms.key == key:
                return terms
        raise BadPriceSheet(line="markets", trouble=f"do not name {key!r}; add it or choose another")

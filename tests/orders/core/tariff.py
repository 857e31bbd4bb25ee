"""The invented seller's price sheet as a core value."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from orders.core.pricing import CordPrice, MarketTerms, PriceSheet, Uplift

TODAY = date(2026, 9, 18)

CORD_PRICES = {
    ("near", "fir", "seasoned"): 260,
    ("near", "hardwood", "seasoned"): 350,
    ("near", "mixed", "seasoned"): 300,
    ("near", "fir", "green"): 205,
    ("far", "fir", "seasoned"): 375,
    ("far", "hardwood", "seasoned"): 540,
    ("far", "mixed", "seasoned"): 440,
}
UPLIFTS = {"1": "0", "3/4": ".04", "2/3": ".05", "1/2": ".10", "1/3": ".15", "1/4": ".20"}

SHEET = PriceSheet(
    from_on=date(2026, 8, 1),
    markets=(
        MarketTerms(key="near", name="local", minimum_cords=Fraction(1, 3)),
        MarketTerms(
            key="far", name="coast", minimum_cords=Fraction(1, 2), is_far=True, is_delivered_price=True
        ),
    ),
    cord_prices=tuple(
        CordPrice(market=market, wood=wood, dryness=dryness, dollars=Decimal(dollars))
        for (market, wood, dryness), dollars in CORD_PRICES.items()
    ),
    uplifts=tuple(Uplift(cords=Fraction(cords), share=Decimal(share)) for cords, share in UPLIFTS.items()),
    free_miles=Decimal(12),
    per_mile=Decimal("2.75"),
    longest_miles=Decimal(90),
    stacking_per_cord=Decimal(60),
    stacking_within_ft=30,
    access_charge=Decimal(20),
    pick_up_off=Decimal(5),
    two_cords_off_per_cord=Decimal(10),
    bundle_price=Decimal(7),
    bundle_price_many=Decimal(5),
    bundles_for_many=20,
    log_cord_price=Decimal(110),
    round_to=Decimal(5),
    deposit_pct=Decimal(20),
    deposit_round_to=Decimal(5),
    deposit_new_customers_only=True,
    quote_days=10,
)


def make_tariff(**changes: Any) -> PriceSheet:
    return replace(SHEET, **changes)

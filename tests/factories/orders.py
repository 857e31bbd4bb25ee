"""Customers, prices and orders for tests; prices are those of the invented seller."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import count
from typing import Any

from orders.models import Customer, Market, Order, PaymentKind, Place, PriceSheet, Town, Uplift, WoodPrice
from tests.factories.inventory import an_instant

_numbers = count(500)

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


def make_market(key: str = "near") -> Market:
    is_far = key == "far"
    return Market.objects.get_or_create(
        key=key,
        defaults={
            "name": "Coast" if is_far else "Local",
            "is_far": is_far,
            "is_delivered_price": is_far,
            "minimum_cords": Fraction(1, 2) if is_far else Fraction(1, 3),
        },
    )[0]


def make_town(name: str = "Marrow Bridge", *, market: str = "near", **kwargs: Any) -> Town:
    spots = {
        "Marrow Bridge": (44.00868, -150.06038),
        "Larch Prairie": (43.7974, -150.161),
        "Fennick": (44.1158, -149.8189),
        "Sandhook": (43.6816, -151.167),
    }
    lat, lon = spots.get(name, (44.0, -150.0))
    defaults = {"market": make_market(market), "lat": lat, "lon": lon, **kwargs}
    return Town.objects.get_or_create(name=name, defaults=defaults)[0]


def make_sheet(from_on: date = date(2026, 8, 1), **kwargs: Any) -> PriceSheet:
    """The invented seller's price sheet with its woods and fractions."""
    sheet = PriceSheet.objects.create(from_on=from_on, **kwargs)
    markets = {key: make_market(key) for key in ("near", "far")}
    WoodPrice.objects.bulk_create(
        WoodPrice(sheet=sheet, market=markets[key], wood=wood, dryness=dryness, cord_dollars=Decimal(price))
        for (key, wood, dryness), price in CORD_PRICES.items()
    )
    Uplift.objects.bulk_create(
        Uplift(sheet=sheet, cords=Fraction(fraction), share=Decimal(share))
        for fraction, share in UPLIFTS.items()
    )
    ways = [("cash", "cash"), ("check", "check"), ("transfer", "bank transfer")]
    PaymentKind.objects.bulk_create(
        (PaymentKind(key=key, name=name, order_by=place) for place, (key, name) in enumerate(ways)),
        ignore_conflicts=True,
    )
    return sheet


def make_customer(name: str = "Greta Sool", **kwargs: Any) -> Customer:
    fields = {"phone": f"+1541555{next(_numbers):04d}", "made_at": an_instant()}
    return Customer.objects.create(name=name, **{**fields, **kwargs})


def make_place(customer: Customer | None = None, *, town: str = "Marrow Bridge", **kwargs: Any) -> Place:
    row = make_town(town)
    fields = {"address": f"{next(_numbers)} Mill Street, {town}", "lat": row.lat, "lon": row.lon}
    return Place.objects.create(customer=customer, town=row, **{**fields, **kwargs})


def make_order(**kwargs: Any) -> Order:
    """A third of a cord of fir to Marrow Bridge for 100.00, asked for and not yet confirmed."""
    fields: dict[str, Any] = {
        "number": next(_numbers),
        "wood": "fir",
        "dryness": "seasoned",
        "cords": Fraction(1, 3),
        "total_dollars": Decimal("100.00"),
        "wood_dollars": Decimal("100.00"),
        "first_on": date(2026, 9, 18),
        "last_on": date(2026, 9, 26),
        "asked_at": an_instant(),
        "asked_on": date(2026, 9, 18),
    }
    fields.update(kwargs)
    if "customer" not in fields:
        fields["customer"] = make_customer()
    if "place" not in fields:
        fields["place"] = make_place(fields["customer"])
    if "market" not in fields:
        fields["market"] = make_market("near")
    order = Order.objects.create(**fields)
    order.refresh_from_db()
    return order

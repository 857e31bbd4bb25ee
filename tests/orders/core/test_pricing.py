"""Prices of the parts of an order, to the cent."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core import pricing
from orders.core.pricing import CordPrice, Uplift
from tests.orders.core.tariff import SHEET, make_tariff

CENTS = st.integers(min_value=0, max_value=10**7).map(lambda cents: Decimal(cents) / 100)
AMOUNTS = st.fractions(min_value=Fraction(1, 12), max_value=6, max_denominator=24)


@pytest.mark.parametrize(
    ("wood", "market", "dryness", "cords", "printed"),
    [
        ("fir", "near", "seasoned", "2/3", "180.00"),  # 182.00 before rounding
        ("hardwood", "near", "seasoned", "1/2", "195.00"),  # 192.50: a half goes up
        ("fir", "near", "seasoned", "1/2", "145.00"),  # 143.00
        ("fir", "near", "seasoned", "1/3", "100.00"),  # 99.67
        ("fir", "near", "green", "1/4", "60.00"),  # 61.50: below the half goes down
        ("hardwood", "far", "seasoned", "1/2", "295.00"),  # 297.00
        ("fir", "far", "seasoned", "1", "375.00"),
        ("mixed", "near", "seasoned", "1", "300.00"),
        ("fir", "near", "seasoned", "3/4", "205.00"),  # 202.80
        ("fir", "far", "seasoned", "2", "750.00"),
    ],
)
def test_wood_is_priced_by_cord_uplift_and_step(wood, market, dryness, cords, printed):
    price = pricing.wood_price(SHEET, wood=wood, market=market, dryness=dryness, cords=Fraction(cords))

    assert price == Decimal(printed)
    assert price.as_tuple().exponent == -2


@pytest.mark.parametrize(
    ("cords", "share"),
    [
        ("1/4", "1/5"),
        ("1/8", "1/5"),  # below the smallest listed: the smallest one's share
        ("5/12", "1/8"),  # halfway between a third (.15) and a half (.10)
        ("7/8", "1/50"),  # halfway between three quarters (.04) and a whole (0)
        ("1", "0"),
        ("3/2", "0"),  # beyond a whole cord nothing is added, odd parts included
        ("7/3", "0"),
    ],
)
def test_the_uplift_runs_straight_between_listed_fractions(cords, share):
    assert pricing.uplift_share(SHEET, Fraction(cords)) == Fraction(share)


def test_a_sheet_without_uplifts_sells_every_amount_at_the_cord_price():
    assert pricing.uplift_share(make_tariff(uplifts=()), Fraction(1, 4)) == 0


@given(less=AMOUNTS, more=AMOUNTS)
def test_more_wood_never_costs_less(less, more):
    low, high = sorted((less, more))

    low_price = pricing.wood_price(SHEET, wood="fir", market="near", dryness="seasoned", cords=low)
    high_price = pricing.wood_price(SHEET, wood="fir", market="near", dryness="seasoned", cords=high)

    assert low_price <= high_price


@pytest.mark.parametrize(
    ("miles", "printed"),
    [
        ("0", "0.00"),
        ("3.8", "0.00"),
        ("12", "0.00"),
        ("12.01", "2.75"),  # a started mile counts whole
        ("13.0", "2.75"),
        ("19.1", "22.00"),
        ("19.5", "22.00"),
        ("73.0", "167.75"),
    ],
)
def test_the_distance_fee_counts_started_miles_beyond_the_free_ones(miles, printed):
    assert pricing.distance_fee(SHEET, miles=Decimal(miles)) == Decimal(printed)


def test_a_place_beyond_the_longest_drive_is_refused_with_its_miles():
    with pytest.raises(pricing.TooFar, match=r"118 miles away and we drive 90 at most") as refusal:
        pricing.distance_fee(SHEET, miles=Decimal("118.0"))

    assert refusal.value.miles == Decimal("118.0")


@pytest.mark.parametrize(("cords", "printed"), [("2/3", "40.00"), ("1/3", "20.00"), ("1", "60.00")])
def test_stacking_is_charged_by_the_cord(cords, printed):
    assert pricing.stacking_fee(SHEET, cords=Fraction(cords), carry_ft=30) == Decimal(printed)


def test_stacking_beyond_the_carry_is_refused():
    with pytest.raises(pricing.CarryTooFar, match="within 30 ft of the truck and this is 45 ft"):
        pricing.stacking_fee(SHEET, cords=Fraction(1), carry_ft=45)


@pytest.mark.parametrize(
    ("bundles", "printed"), [(1, "7.00"), (19, "133.00"), (20, "100.00"), (40, "200.00")]
)
def test_bundles_are_cheaper_from_twenty_on(bundles, printed):
    assert pricing.bundles_price(SHEET, bundles) == Decimal(printed)


def test_log_length_is_priced_at_the_landing_without_uplift():
    assert pricing.log_price(SHEET, Fraction(5, 2)) == Decimal("275.00")


@pytest.mark.parametrize(
    ("cords", "printed"), [("1", "0.00"), ("23/12", "0.00"), ("2", "20.00"), ("5/2", "25.00")]
)
def test_two_cords_the_same_day_take_ten_off_each(cords, printed):
    assert pricing.two_cords_off(SHEET, cords=Fraction(cords)) == Decimal(printed)


@pytest.mark.parametrize(
    ("price", "printed"),
    [("242.00", "50.00"), ("300.00", "60.00"), ("250.00", "50.00"), ("250.01", "55.00"), ("3.00", "3.00")],
)
def test_the_deposit_is_a_fifth_rounded_up_to_five_and_never_above_the_price(price, printed):
    assert pricing.deposit(SHEET, price=Decimal(price), is_new_customer=True) == Decimal(printed)


def test_a_repeat_customer_pays_no_deposit_unless_the_seller_wants_one():
    everybody = make_tariff(deposit_new_customers_only=False)

    assert pricing.deposit(SHEET, price=Decimal(242), is_new_customer=False) == 0
    assert pricing.deposit(everybody, price=Decimal(242), is_new_customer=False) == Decimal("50.00")


@given(price=CENTS, percent=st.integers(min_value=0, max_value=100))
def test_a_deposit_never_exceeds_the_price(price, percent):
    asked = pricing.deposit(make_tariff(deposit_pct=Decimal(percent)), price=price, is_new_customer=True)

    assert 0 <= asked <= price


@pytest.mark.parametrize(("on", "printed"), [("none", "0.00"), ("wood", "9.90"), ("all", "13.31")])
def test_sales_tax_falls_on_what_the_place_says(on, printed):
    rule = pricing.tax_rule(percent=Decimal("5.5"), on=on)

    tax = pricing.tax(rule, wood=Decimal(180), delivery=Decimal(22), stacking=Decimal(40))

    assert tax == Decimal(printed)


def test_a_tax_says_what_it_falls_on():
    assert pricing.tax_rule(percent=Decimal("5.50"), on="all").label == (
        "sales tax 5.5% on wood, delivery and stacking"
    )
    assert pricing.tax_rule(percent=Decimal("5.5"), on="wood").label == "sales tax 5.5% on wood"
    assert pricing.NO_TAX.label == "no sales tax"


def test_a_tax_on_something_else_is_refused():
    with pytest.raises(pricing.BadPriceSheet, match="use none, wood or all"):
        pricing.tax_rule(percent=Decimal(5), on="hay")


def test_wood_without_a_price_is_refused_by_name():
    with pytest.raises(pricing.PriceMissing, match="no price for green hardwood in the near market"):
        pricing.wood_price(SHEET, wood="hardwood", market="near", dryness="green", cords=Fraction(1))


@pytest.mark.parametrize("cords", [Fraction(0), Fraction(-1, 2)])
def test_no_wood_has_no_price(cords):
    with pytest.raises(pricing.BadAmount):
        pricing.wood_price(SHEET, wood="fir", market="near", dryness="seasoned", cords=cords)
    with pytest.raises(pricing.BadAmount):
        pricing.log_price(SHEET, cords)
    with pytest.raises(pricing.BadAmount):
        pricing.bundles_price(SHEET, int(cords))


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        ({"per_mile": Decimal(-1)}, "per mile"),
        ({"round_to": Decimal(0)}, "round to"),
        ({"deposit_pct": Decimal(120)}, "deposit pct"),
        ({"quote_days": 0}, "quote days"),
        ({"two_cords_off_per_cord": Decimal(206)}, "two cords off per cord"),
        ({"bundle_price_many": Decimal(8)}, "bundle price for many"),
        ({"cord_prices": SHEET.cord_prices + SHEET.cord_prices[:1]}, "cord prices"),
        (
            {"cord_prices": (CordPrice(wood="fir", market="near", dryness="green", dollars=Decimal(0)),)},
            "cord prices",
        ),
        ({"uplifts": (Uplift(cords=Fraction(3, 2), share=Decimal(0)),)}, "uplifts"),
        ({"uplifts": (Uplift(cords=Fraction(1, 2), share=Decimal(-1)),)}, "uplifts"),
        ({"uplifts": SHEET.uplifts + SHEET.uplifts[:1]}, "uplifts"),
    ],
)
def test_a_sheet_that_contradicts_itself_names_the_line(changes, line):
    with pytest.raises(pricing.BadPriceSheet, match="The price sheet's") as refusal:
        make_tariff(**changes)

    assert refusal.value.line == line


def test_an_unknown_market_is_refused():
    with pytest.raises(pricing.BadPriceSheet, match="do not name 'moon'"):
        SHEET.market("moon")


def test_a_tax_of_a_hundred_percent_is_refused():
    with pytest.raises(pricing.BadPriceSheet, match="100 percent"):
        pricing.TaxRule(percent=Decimal(100), on_wood=True)

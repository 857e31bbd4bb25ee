"""Quotes with their reasons, day offers, floors; the orders of the invented seller to the cent."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from orders.core import pricing
from orders.core.drives import Drive
from orders.core.places import place_rule
from orders.core.quotes import (
    DayOffer,
    DayRoad,
    How,
    ImpossibleRequest,
    OrderRequest,
    Quote,
    ReasonKind,
    SellerCost,
    days_priced,
    drive_fee_on,
    floor_warning,
    quote_for,
)
from tests.orders.core.tariff import SHEET, TODAY, make_tariff

LARCH = Drive(miles=Decimal("19.5"), minutes=29, from_yard="Siding")
MARROW = Drive(miles=Decimal("3.8"), minutes=8, from_yard="Siding")
MARROW_FROM_CREEK = Drive(miles=Decimal("3.0"), minutes=7, from_yard="Creek")
FENNICK_FROM_CREEK = Drive(miles=Decimal("19.1"), minutes=37, from_yard="Creek")
SANDHOOK = Drive(miles=Decimal("73.0"), minutes=112, from_yard="Siding")

EXAMPLE_3 = OrderRequest(wood="fir", market="near", cords=Fraction(2, 3), stacked=True, place="Larch Prairie")


def quoted(order_request: OrderRequest, drive: Drive | None = None, **kwargs: Any) -> Quote:
    return quote_for(order_request, **{"sheet": SHEET, "on": TODAY, "drive": drive, **kwargs})


def day_offers(order_request, **asked):
    return days_priced(order_request, **asked)


def test_example_3_comes_out_line_by_line():
    quote = quoted(EXAMPLE_3, LARCH)

    assert [(line.kind, line.dollars) for line in quote.reasons] == [
        (ReasonKind.WOOD, Decimal("180.00")),
        (ReasonKind.DRIVE, Decimal("22.00")),
        (ReasonKind.STACKING, Decimal("40.00")),
    ]
    assert quote.total_dollars == Decimal("242.00")
    assert quote.deposit_dollars == Decimal("50.00")
    assert quote.balance_dollars == Decimal("192.00")
    assert quote.reasons[0].label == "2/3 cord seasoned fir"
    assert quote.reasons[0].why == (
        "$260 for 1 cord, 5% more for its size in a smaller amount, to the nearest $5"
    )
    assert (
        quote.reasons[1].why
        == "19.5 miles from Siding; 8 miles or parts of one beyond the first 12, $2.75 each"
    )


@pytest.mark.parametrize(("on", "tax", "total"), [("wood", "9.90", "251.90"), ("all", "13.31", "255.31")])
def test_example_3_is_taxed_as_the_place_says_and_its_deposit_stays(on, tax, total):
    sheet = make_tariff(tax=pricing.tax_rule(percent=Decimal("5.5"), on=on))

    quote = quoted(EXAMPLE_3, LARCH, sheet=sheet)

    assert quote.tax_dollars == Decimal(tax)
    assert quote.total_dollars == Decimal(total)
    assert quote.price_dollars == Decimal("242.00")
    assert quote.deposit_dollars == Decimal("50.00")
    assert quote.reasons[-1].kind is ReasonKind.TAX


ORDERS = {
    201: (OrderRequest(wood="mixed", market="near", cords=Fraction(1)), MARROW_FROM_CREEK, "300.00"),
    202: (OrderRequest(wood="fir", market="near", cords=Fraction(1, 3)), MARROW, "100.00"),
    203: (EXAMPLE_3, LARCH, "242.00"),
    204: (
        OrderRequest(wood="hardwood", market="near", cords=Fraction(1, 2), small_rig_only=True),
        FENNICK_FROM_CREEK,
        "237.00",
    ),
    205: (OrderRequest(wood="hardwood", market="far", cords=Fraction(1, 2)), SANDHOOK, "295.00"),
    206: (OrderRequest(wood="hardwood", market="far", cords=Fraction(1, 2)), SANDHOOK, "295.00"),
    207: (OrderRequest(wood="fir", market="far", cords=Fraction(1)), SANDHOOK, "375.00"),
    208: (OrderRequest(wood="fir", market="near", cords=Fraction(1)), LARCH, "282.00"),
    209: (OrderRequest(wood="fir", market="near", cords=Fraction(1, 4), how=How.PICK_UP), None, "75.00"),
    210: (OrderRequest(wood="fir", market="near", cords=Fraction(2), dryness="green"), MARROW, "390.00"),
    211: (OrderRequest(wood="kindling", market="far", bundles=40), SANDHOOK, "200.00"),
    212: (OrderRequest(wood="fir", market="near", cords=Fraction(1, 2)), MARROW, "145.00"),
}


@pytest.mark.parametrize("number", ORDERS)
def test_every_order_of_the_invented_seller_is_priced_to_the_cent(number):
    order_request, drive, total = ORDERS[number]

    assert quoted(order_request, drive).total_dollars == Decimal(total)


def test_deposits_of_the_invented_orders_follow_the_rule():
    assert quoted(ORDERS[201][0], MARROW_FROM_CREEK).deposit_dollars == Decimal("60.00")
    assert quoted(ORDERS[208][0], LARCH, is_new_customer=False).deposit_dollars == 0


def test_order_204_shows_wood_drive_and_access_apart():
    quote = quoted(ORDERS[204][0], FENNICK_FROM_CREEK)

    assert (quote.wood_dollars, quote.drive_dollars, quote.access_dollars) == (195, 22, 20)


def test_a_delivered_price_names_the_drive_and_charges_nothing_for_it():
    quote = quoted(ORDERS[205][0], SANDHOOK)

    assert quote.drive_dollars == 0
    assert "included in the price" in quote.reasons[1].why
    assert "delivery included" in quote.reasons[0].why


def test_a_coast_customer_who_fetches_pays_the_yard_price():
    order_request = OrderRequest(wood="fir", market="far", cords=Fraction(1), how=How.PICK_UP)

    assert quoted(order_request).total_dollars == Decimal("255.00")


def test_bundles_ride_along_with_a_cord():
    order_request = OrderRequest(wood="fir", market="near", cords=Fraction(1, 2), bundles=5)

    assert quoted(order_request, MARROW).total_dollars == Decimal("180.00")


def test_fetching_a_bundle_never_costs_below_nothing():
    sheet = make_tariff(pick_up_off=Decimal(50))
    order_request = OrderRequest(wood="kindling", market="near", bundles=1, how=How.PICK_UP)

    assert quoted(order_request, sheet=sheet).total_dollars == 0


def test_log_length_is_fetched_at_the_landing_at_its_own_price():
    order_request = OrderRequest(wood="logs", market="near", cords=Fraction(2), how=How.PICK_UP)

    assert quoted(order_request).total_dollars == Decimal("220.00")


def test_an_estimated_drive_says_so_wherever_it_is_charged():
    guess = Drive(miles=Decimal("19.5"), minutes=33, from_yard="Siding", estimated=True)

    assert "straight-line estimate" in quoted(EXAMPLE_3, guess).reasons[1].why


@pytest.mark.parametrize(
    ("market", "cords", "least"), [("near", "1/4", "1/3 cord"), ("far", "1/3", "1/2 cord")]
)
def test_less_than_the_minimum_is_not_delivered(market, cords, least):
    with pytest.raises(pricing.BelowMinimum, match=least):
        quoted(OrderRequest(wood="fir", market=market, cords=Fraction(cords)), MARROW)


def test_massachusetts_never_reads_the_word_cord():
    rule = place_rule("massachusetts")
    quote = quoted(OrderRequest(wood="fir", market="near", cords=Fraction(2), stacked=True), LARCH, rule=rule)
    with pytest.raises(pricing.BelowMinimum) as refusal:
        quoted(OrderRequest(wood="fir", market="near", cords=Fraction(1, 4)), LARCH, rule=rule)

    said = " ".join(f"{line.label} {line.why}" for line in quote.reasons) + str(refusal.value)
    assert "cord" not in said
    assert "256 cubic feet seasoned fir" in said


@pytest.mark.parametrize(
    "fields",
    [
        {"wood": "fir"},
        {"wood": "fir", "cords": Fraction(-1)},
        {"wood": "fir", "bundles": 3},
        {"wood": "kindling", "cords": Fraction(1)},
        {"wood": "logs", "cords": Fraction(1)},
        {"wood": "fir", "cords": Fraction(1), "how": "pick_up", "stacked": True},
        {"wood": "kindling", "bundles": 3, "stacked": True},
        {"wood": "fir", "cords": Fraction(1), "how": "by drone"},
        {"wood": "fir", "cords": Fraction(1), "carry_ft": -1},
        {"wood": "fir", "cords": Fraction(1), "first_on": TODAY, "last_on": TODAY - timedelta(days=1)},
    ],
)
def test_a_want_that_contradicts_itself_is_refused_in_a_sentence(fields):
    with pytest.raises(ImpossibleRequest) as refusal:
        OrderRequest(market="near", **fields)

    assert str(refusal.value).endswith(".")


def test_delivery_without_a_place_is_refused():
    with pytest.raises(ImpossibleRequest, match="Delivery needs a place"):
        quoted(EXAMPLE_3)


def test_a_quote_stands_for_the_days_of_the_sheet():
    assert quoted(EXAMPLE_3, LARCH).last_day == date(2026, 9, 28)


def test_a_quote_ends_with_its_sheet_its_wanted_days_and_the_eve_of_its_day():
    short_sheet = make_tariff(ends_on=date(2026, 9, 22))
    hurried = OrderRequest(wood="fir", market="near", cords=Fraction(1), last_on=date(2026, 9, 20))
    road = DayRoad(on=date(2026, 9, 24), marginal_dollars=Decimal(9), drops_already=1)

    assert quoted(EXAMPLE_3, LARCH, sheet=short_sheet).last_day == date(2026, 9, 22)
    assert quoted(hurried, LARCH).last_day == date(2026, 9, 20)
    assert quoted(EXAMPLE_3, LARCH, day=road).last_day == date(2026, 9, 23)
    assert quoted(EXAMPLE_3, LARCH, day=DayRoad(on=TODAY, marginal_dollars=Decimal(9))).last_day == TODAY


def test_a_day_already_on_the_road_is_offered_at_what_it_adds():
    shared = DayRoad(on=date(2026, 9, 22), marginal_dollars=Decimal("6.40"), drops_already=2)
    alone = DayRoad(on=date(2026, 9, 21), marginal_dollars=Decimal("27.30"))
    unwanted = DayRoad(on=TODAY - timedelta(days=1), marginal_dollars=Decimal(1))

    offers = day_offers(EXAMPLE_3, sheet=SHEET, on=TODAY, drive=LARCH, days=[shared, alone, unwanted])

    assert [(offer.on, offer.total, offer.drive, offer.saved) for offer in offers] == [
        (date(2026, 9, 21), Decimal("242.00"), Decimal("22.00"), Decimal("0.00")),
        (date(2026, 9, 22), Decimal("227.00"), Decimal("7.00"), Decimal("15.00")),
    ]
    assert offers[0].why == "a drive for this drop alone"
    assert offers[1].why == "we are already coming your way with 2 other drops"


def test_each_day_on_offer_has_the_price_of_that_day():
    roads = [
        DayRoad(on=TODAY + timedelta(days=ahead), marginal_dollars=Decimal(ahead)) for ahead in (1, 2, 3)
    ]

    priced = days_priced(EXAMPLE_3, sheet=SHEET, on=TODAY, drive=LARCH, days=roads)

    for road, offer in zip(roads, priced, strict=True):
        quote = quote_for(EXAMPLE_3, sheet=SHEET, on=TODAY, drive=LARCH, day=road)
        assert offer == DayOffer.of(
            quote, on=road.on, saved=offer.saved, why=offer.why, reasons=quote.reasons
        )


def test_a_shared_day_has_its_own_line_in_the_quote():
    road = DayRoad(on=date(2026, 9, 22), marginal_dollars=Decimal("6.40"), drops_already=1)

    quote = quoted(EXAMPLE_3, LARCH, day=road)

    assert [line.dollars for line in quote.reasons] == [180, 22, Decimal("-15.00"), 40]
    assert quote.day == road.on


def test_the_sellers_floor_holds_up_a_shared_price():
    fee = drive_fee_on(
        make_tariff(floor_per_cord=Decimal(265)),
        alone=Decimal("22.00"),
        goods=Decimal("180.00"),
        cords=Fraction(2, 3),
        marginal=Decimal("6.40"),
    )

    assert fee == Decimal("7.00")  # 176.67 + 6.40 - 180 = 3.07 is below what the day adds

    dear = drive_fee_on(
        make_tariff(floor_per_cord=Decimal(280)),
        alone=Decimal("22.00"),
        goods=Decimal("180.00"),
        cords=Fraction(2, 3),
        marginal=Decimal("6.40"),
    )

    assert dear == Decimal("14.00")  # 186.67 + 6.40 - 180 = 13.07, in whole dollars rounded up


def test_days_near_by_say_there_is_nothing_to_save():
    road = DayRoad(on=TODAY, marginal_dollars=Decimal(1), drops_already=1)

    offers = day_offers(ORDERS[202][0], sheet=SHEET, on=TODAY, drive=MARROW, days=[road])

    assert offers[0].saved == 0
    assert offers[0].why == "the price has no charge for the drive any day"


def test_a_road_cost_below_nothing_is_refused():
    with pytest.raises(ImpossibleRequest, match="plan that day again"):
        DayRoad(on=TODAY, marginal_dollars=Decimal(-1))


def test_a_price_below_cost_warns_the_seller_with_figures():
    cost = SellerCost(wood_dollars=Decimal("112.17"), road_dollars=Decimal("102.20"))
    cheap = SellerCost(wood_dollars=Decimal("56.08"), road_dollars=Decimal("5.32"))

    warning = quoted(ORDERS[212][0], MARROW, cost=cost).floor_warning

    assert warning is not None
    assert warning.short_dollars == Decimal("69.37")
    assert "$145.00 is $69.37 short of $214.37: wood $112.17, road $102.20" in str(warning.sentence)
    assert quoted(ORDERS[212][0], MARROW, cost=cheap).floor_warning is None


def test_the_sellers_own_floor_counts_where_it_is_above_the_cost_of_the_wood():
    warning = floor_warning(
        price_dollars=Decimal(145),
        cords=Fraction(1, 2),
        sheet=make_tariff(floor_per_cord=Decimal(300)),
        cost=SellerCost(wood_dollars=Decimal(56), road_dollars=Decimal("5.32")),
    )

    assert warning is not None
    assert warning.floor_dollars == Decimal("155.32")


def test_a_quote_in_spanish_says_every_line_of_example_3():
    road = DayRoad(on=date(2026, 9, 22), marginal_dollars=Decimal("6.40"), drops_already=1)

    quote = quoted(EXAMPLE_3, LARCH, language="es", day=road)

    assert [line.label for line in quote.reasons] == [
        "2/3 cuerda de leña de abeto de Douglas, seca",
        "Entrega",
        "Viaje compartido",
        "Apilada para usted",
    ]
    assert quote.reasons[0].why == (
        "$260 por 1 cuerda, 5% más por ser una cantidad menor, al múltiplo de $5 más cercano"
    )
    assert quote.reasons[2].why == "ya vamos hacia allá con otra entrega"
    assert quote.total_dollars == Decimal("227.00")


def test_a_tax_line_says_what_it_falls_on_in_both_languages():
    sheet = make_tariff(tax=pricing.tax_rule(percent=Decimal("5.50"), on="all"))

    assert quoted(EXAMPLE_3, LARCH, sheet=sheet).reasons[-1].why == (
        "sales tax 5.5% on wood, delivery and stacking"
    )
    assert quoted(EXAMPLE_3, LARCH, sheet=sheet, language="es").reasons[-1].why == (
        "impuesto de venta del 5.5% sobre leña, entrega y apilado"
    )

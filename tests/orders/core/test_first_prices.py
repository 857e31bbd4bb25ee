"""Estimates to begin with: what a first cord has to bring, and the range they rest on."""

from decimal import Decimal

import pytest

from orders.core.first_prices import figure, first_cord_prices


def test_green_wood_brings_half_to_four_fifths_of_dry():
    share = figure("green_share")

    assert (share.low, share.high) == (0.5, 0.8)


@pytest.mark.parametrize(
    ("hours", "cash", "wage", "dry", "green"),
    [("5.45", 32, 25, 220, 175), ("5.45", 0, 25, 185, 150), (3, 20, 40, 220, 175), (0, 0, 0, 0, 0)],
)
def test_a_first_cord_pays_its_hours_and_green_asks_four_fifths(hours, cash, wage, dry, green):
    prices = first_cord_prices(hours_per_cord=Decimal(hours), cash_per_cord=Decimal(cash), wage=Decimal(wage))

    assert prices == (dry, green)

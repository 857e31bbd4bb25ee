"""The first prices of a place that counts in meters: whole figures, and whole m³ to tap for who buys."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from inventory.core import local
from inventory.models import Business
from orders.models import Market, PriceSheet
from tests.factories.inventory import make_lot

NEW = "/seller/set-up/prices/new"


@pytest.fixture
def rhine(business, seller_client):
    """A seller who has only said where they sell, and to one town."""
    Business.objects.update(currency="CHF", place_key="metric")
    local.forget()
    seller_client.post(
        reverse("set-up-add", args=["town"]),
        {"name": "Vaduz", "market": "near", "lat": "47.14", "lon": "9.52"},
    )
    return seller_client


def first_sheet(seller):
    page = seller.get(NEW).context["form"]
    return {name: page[name].value() for name in page.fields if page[name].value() not in (None, "", False)}


def test_what_a_first_sheet_starts_from_is_whole(rhine):
    """It began with CHF 60.70 a m³, 19.3 km free, CHF 1.71 a km, and shares for 2.72 m³."""
    filled = first_sheet(rhine)

    assert filled["drive"] == "20 / 1.7 / 145"
    assert filled["stacking"].startswith("17 / ")
    assert [filled[f"price-near-fir-{dryness}"] for dryness in ("seasoned", "green")] == [61, 48]
    words = rhine.get(NEW).text
    for shown in ("3.00 m³", "2.00 m³", "1.00 m³", "4.00 m³"):
        assert shown in words
    assert "3.62 m³" not in words


def test_buyers_tap_whole_cubic_meters(rhine):
    assert rhine.post(NEW, first_sheet(rhine) | {"price-near-fir-seasoned": "95"}).status_code == 302
    make_lot(cords=4, sale="for_sale")
    assert Market.objects.get().minimum_cords == PriceSheet.objects.get().uplifts.order_by("cords")[0].cords

    buyer = Client()
    prices = re.findall(r"(\d[\d.]*) m³ stacked", buyer.get("/").text)
    chips = re.findall(r"<span>(\d[\d.]*) m³ stacked</span>", buyer.get("/price").text)

    assert {"1", "2", "3", "4"} <= {figure.removesuffix(".00") for figure in prices}
    assert [figure.removesuffix(".00") for figure in chips] == ["1", "2", "3", "4", "5", "6", "8", "10"]


def test_what_an_amount_may_look_like_is_shown_in_cubic_meters(rhine):
    page = rhine.get("/seller/log?wood=new&steps=measure").text

    assert 'placeholder="2"' in page
    assert "1/3, 5/6" not in page

"""A price sheet says what it comes to while it is typed: every amount, and one order 14 miles away."""

from decimal import Decimal

import pytest

from orders.models import PriceSheet
from orders.services.markets import save_town
from tests.factories.inventory import an_instant
from tests.factories.orders import make_sheet
from tests.pages.seller.test_price_sheet import sheet_form

NEW = "/seller/set-up/prices/new"
HTMX = {"HX-Request": "true"}


@pytest.fixture
def near(business):
    save_town(name="Marrow", lat=44, lon=-150, market="near", at=an_instant(), who="ruth")


def typed(client, **changes):
    answer = client.post(NEW, sheet_form(**changes), headers=HTMX)
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def test_a_first_sheet_starts_from_hours_and_costs_and_shows_every_amount(seller_client, near):
    answer = seller_client.get(NEW)

    page = " ".join(answer.content.decode().split())
    # 5.45 hours to make it, 2 to bring it, at 25 an hour, and 32 in cash: 218.25
    assert answer.context["form"].initial["price-near-fir-seasoned"] == 220
    assert answer.context["form"].initial["price-near-fir-green"] == 175
    assert "<span>1/3 cord</span> <b>$85</b>" in page  # 220 / 3 and 15 % more, to the nearest 5
    assert "A third of a cord to somebody 14 miles away" in page
    assert not PriceSheet.objects.exists()


def test_each_price_typed_changes_the_example_and_keeps_nothing(seller_client, near):
    make_sheet()

    page = typed(seller_client, **{"price-near-fir-seasoned": "300", "size-1_3": "15"})

    assert "<span>1/3 cord</span> <b>$115</b>" in page
    assert "$6.00" in page  # two miles beyond the twelve free ones, at 3.00
    assert "<b>$121.00</b>" in page or "<b>$121</b>" in page
    assert PriceSheet.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"price-near-fir-seasoned": ""}, "Write a price a cord"),
        ({"price-near-fir-seasoned": "x"}, "They pay"),
        ({"longest_miles": "10"}, "14 miles"),
        ({"bundle_price_many": "9"}, "is more than for one"),
        ({"per_mile": "-1"}, "They pay"),
        ({"least_delivery": "900"}, "900"),
        ({"tax": "8 / moon"}, "They pay"),
        ({"round_to": "0"}, "They pay"),
    ],
)
def test_what_cannot_be_priced_is_said_while_it_is_typed(seller_client, near, changes, said):
    make_sheet()

    assert said in typed(seller_client, **{"size-1_3": "15", **changes})


def test_without_javascript_a_button_shows_the_same(seller_client, near):
    page = seller_client.post(NEW, {**sheet_form(**{"size-1_3": "15"}), "look": ""}).content.decode()

    assert "They pay" in page
    assert not PriceSheet.objects.filter(deposit_pct=Decimal(20)).exists()

"""A new price sheet: the old one stays, and what cannot be is refused with the line to mend."""

from datetime import date

import pytest

from orders.models import PriceSheet

pytestmark = pytest.mark.django_db


def sheet_form(**changes):
    return {
        "from_on": "2026-10-01", "free_miles": "12", "per_mile": "3.00", "longest_miles": "90",
        "stacking_per_cord": "60", "stacking_within_ft": "30", "access_charge": "20", "pick_up_off": "5",
        "two_cords_off_per_cord": "10", "bundle_price": "7", "bundle_price_many": "5",
        "bundles_for_many": "20", "price-logs": "110", "round_to": "5", "deposit_pct": "20",
        "deposit_round_to": "5", "tax": "0", "quote_days": "10", "floor_per_cord": "0",
        "least_delivery": "50",
        "price-near-fir-seasoned": "270",
        "size-1_2": "10", **changes,
    }  # fmt: skip


def test_new_prices_make_a_new_sheet_and_leave_the_old_one(seller_client, fir):
    answer = seller_client.post("/seller/set-up/prices/new", sheet_form())

    assert answer.status_code == 302
    sheet = PriceSheet.objects.get(from_on=date(2026, 10, 1))
    assert sheet.wood_prices.get().cord_dollars == 270
    assert sheet.log_cord_price == 110
    assert PriceSheet.objects.count() == 2


@pytest.mark.parametrize(
    ("typed", "kept", "shown"),
    [
        ({"tax": "8.5 / 0", "deposit": "25 / 0"}, ("wood", True), ("8.5 / 0", "25 / 0")),
        ({"tax": "8.5 / 8.5", "deposit": "25 / 25"}, ("all", False), ("8.5 / 8.5", "25 / 25")),
        ({"tax": "8.5", "deposit": "25"}, ("all", False), ("8.5 / 8.5", "25 / 25")),
        ({"tax": "0", "deposit": "25"}, ("none", False), ("0 / 0", "25 / 25")),
    ],
)
def test_two_percents_say_what_is_taxed_and_who_pays_a_deposit(seller_client, fir, typed, kept, shown):
    PriceSheet.objects.all().delete()
    form = {name: text for name, text in sheet_form().items() if name != "deposit_pct"}

    seller_client.post("/seller/set-up/prices/new", form | typed | {"from_on": "2026-09-18"})

    sheet = PriceSheet.objects.get()
    assert (sheet.tax_on, sheet.deposit_new_customers_only) == kept
    asked = seller_client.get("/seller/set-up/prices/new").context["form"]
    assert (asked["tax"].value(), asked["deposit"].value()) == shown


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"from_on": "2026-01-01"}, "before today"),
        ({"bundle_price_many": "9"}, "more than for one"),
        ({"tax": "8.5 / 3"}, "same percent twice, or 0"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused_with_the_line_to_mend(seller_client, fir, changes, words):
    answer = seller_client.post("/seller/set-up/prices/new", sheet_form(**changes))

    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert PriceSheet.objects.count() == 1

"""A lot's dryness asked of its ends, its sound and a scale, on the lot's page."""

from datetime import date

import pytest
from django.urls import reverse

from inventory.models import DrySign
from inventory.selectors.business import business as seller
from inventory.selectors.drying import lot_forecast
from inventory.selectors.stock import lots_with_history
from tests.factories.inventory import make_lot
from tests.pages.seller.sheets import log

pytestmark = pytest.mark.django_db
TODAY = date(2026, 9, 18)


@pytest.fixture
def heap(business, siding):
    """Fir split in June, nobody read it."""
    return make_lot(
        code="F1", yard=siding, form="splits", drying_from=date(2026, 6, 10), split_on=date(2026, 6, 10),
        start_moisture_pct=None,
    )  # fmt: skip


def say(client, **said):
    answer = client.post(reverse("lot-change", args=["F1", "sign"]), said, follow=True)
    return " ".join(answer.text.split())


def known(on=TODAY):
    return lot_forecast(lots_with_history().get(code="F1"), seller(), on=on)


def test_a_weighed_piece_says_its_moisture_with_its_error_and_is_kept(seller_client, heap):
    text = say(seller_client, now_lb="7.5", then_lb="10", on="2026-06-10")

    row = DrySign.objects.get()
    then = known(date(2026, 6, 10)).median_on(date(2026, 6, 10))
    assert float(row.likely_dry_pct) == pytest.approx((100 + then) * 0.75 - 100, abs=1.5)
    assert row.low_dry_pct < row.likely_dry_pct < row.high_dry_pct
    assert f"Saved: {row.likely_dry_pct:.0f}% on the pin, likely" in text
    assert "It may not be called dry by that" in text
    assert "a marked piece weighed, 7.5 lb of 10 lb" in text


def test_a_weighed_piece_moves_the_forecast_and_narrows_it(seller_client, heap):
    before = known()
    wide = before.band_on(TODAY)

    say(seller_client, now_lb="8.6", then_lb="10", on="2026-06-10")

    after = known()
    wet = float(DrySign.objects.get().likely_dry_pct)
    assert abs(after.median_on(TODAY) - wet) < abs(before.median_on(TODAY) - wet)
    assert after.band_on(TODAY)[1] - after.band_on(TODAY)[0] < wide[1] - wide[0]


def test_ends_and_sound_are_kept_and_never_make_wood_dry(seller_client, heap):
    text = say(seller_client, ends="ends_middle", sound="rings")

    assert {row.how for row in DrySign.objects.all()} == {"ends_middle", "rings"}
    assert "25% on the pin, likely 17 to 38; 22% on the pin, likely 14 to 32" in text
    assert "No fresh split tested yet." in text


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"note": ""}, "Say how the ends look"),
        ({"weighed": "8"}, "A weighed piece needs both weights"),
        ({"weighed": "4 / 10", "on": "2026-06-10"}, "lighter than its own dry wood"),
        ({"now_lb": "8", "then_lb": "10", "on": "2026-01-10"}, "before this lot&#x27;s drying began"),
        ({"now_lb": "8", "then_lb": "10", "on": "2026-09-18"}, "the earlier day"),
        ({"now_lb": "light", "then_lb": "10", "on": "2026-06-10"}, 'value="light / 10"'),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_kept(seller_client, heap, said, sentence):
    answer = seller_client.post(reverse("lot-change", args=["F1", "sign"]), said)

    assert answer.status_code == 422
    assert sentence in answer.text
    assert not DrySign.objects.exists()


def test_what_was_seen_before_a_part_was_split_off_holds_for_both(seller_client, heap):
    say(seller_client, ends="ends_fine")

    seller_client.post(
        reverse("lot-change", args=["F1", "sort"]),
        {"cords": "1/2", "wood_1": "oak", "percent_1": "100", "wood": "hardwood", "on": "2026-09-18"},
    )
    answer = log(seller_client, "stack", wood="F1", cords="1/2", on="2026-09-18")
    assert answer.status_code == 302, answer.context["form"].errors

    kept = {row.lot.code: row.how for row in DrySign.objects.select_related("lot")}
    assert kept["F1"] == "ends_fine"
    assert len(kept) == 2  # the part stacked; the oak sorted out is another wood

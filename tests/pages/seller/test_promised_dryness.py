"""The chance that wood is dry by its promised day, and how far such chances have come true."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from inventory.models import Reading
from inventory.selectors.readiness import dry_chances
from orders.models import OrderHold
from tests.conftest import A_DAY
from tests.factories.inventory import make_hold, make_lot, make_reading, make_yard
from tests.factories.orders import make_order, make_sheet

pytestmark = pytest.mark.django_db


def held(lot, **fields):
    order = make_order(number=202, state="confirmed", **fields)
    OrderHold.objects.create(order=order, hold=make_hold(lot, cords="1/3", reference=order.reference))
    return order


def test_an_order_says_how_likely_its_wood_is_dry_on_the_promised_day(seller_client, business):
    make_sheet()
    wet = make_lot(code="W1", split_on=date(2026, 9, 1), drying_from=date(2026, 9, 1),
                   start_moisture_pct=Decimal(90), yard=make_yard())  # fmt: skip
    held(wet, first_on=A_DAY, last_on=date(2026, 10, 2), promised_on=date(2026, 10, 2))

    order, lot = (seller_client.get(address).text for address in ("/seller/orders/202", "/seller/lots/W1"))

    (chance,) = dry_chances("W1", [(date(2026, 10, 2), date(2026, 10, 2))], on=A_DAY)
    assert chance.through < 0.2
    for page in (order, lot):
        assert f"{chance.through * 100:.0f} of 100 such lots are dry on Fri, Oct 2" in page


def test_a_window_asks_for_wood_dry_and_still_dry(seller_client, business):
    """Bare wood read dry in September is dry on the first day promised, less surely once the rain came."""
    make_sheet()
    bare = make_lot(code="K1", yard=make_yard())
    make_reading(bare, 17, 18, 19, 21, 18)
    held(bare, first_on=A_DAY, last_on=date(2026, 12, 20))

    page = seller_client.get("/seller/lots/K1").text

    (window,) = dry_chances("K1", [(A_DAY, date(2026, 12, 20))], on=A_DAY)
    assert window.through < window.at_end < 1
    told = f"{window.through * 100:.0f} of 100 such lots are dry on every day from Fri, Sep 18 to Sun, Dec 20"
    assert f"{told}; {window.at_end * 100:.0f} on the last" in page


def test_a_window_that_has_begun_counts_from_today_and_one_gone_by_not_at_all(business):
    make_lot(code="W1", yard=make_yard())
    begun, gone = (date(2026, 9, 1), date(2026, 10, 2)), (date(2026, 8, 1), date(2026, 8, 9))

    first, second = dry_chances("W1", [begun, gone], on=A_DAY)

    assert first.first == A_DAY
    assert second is None


def test_wood_read_dry_that_stays_so_needs_no_chance(seller_client, business):
    make_sheet()
    dry = make_lot(code="K1", yard=make_yard())
    make_reading(dry, 17, 18, 19, 21, 18)
    held(dry, first_on=A_DAY, last_on=A_DAY, promised_on=A_DAY)

    assert "such lots are dry" not in seller_client.get("/seller/orders/202").text
    november = date(2026, 11, 20)
    now, rained = dry_chances("K1", [(A_DAY, A_DAY), (november, november)], on=A_DAY)
    assert now is None
    assert rained is not None  # bare, and the rain has come


def test_green_wood_is_not_asked_whether_it_is_dry(seller_client, business):
    make_sheet()
    held(make_lot(code="W1", yard=make_yard()), dryness="green", first_on=A_DAY, last_on=A_DAY)

    assert "such lots are dry" not in seller_client.get("/seller/orders/202").text


def read_with_forecast(lot, *, days_ago, read, low, likely, high):
    Reading.objects.create(
        lot=lot, on=A_DAY - timedelta(days=days_ago), faces=[read] * 5, basis="dry", worst_dry_pct=read,
        mean_dry_pct=read, forecast_low_pct=low, forecast_likely_pct=likely, forecast_high_pct=high,
    )  # fmt: skip


def test_the_diagram_shows_what_each_range_promised_and_what_came_true(seller_client, business):
    lot = make_lot(code="K1", yard=make_yard())
    for days_ago, read in ((50, 30), (40, 31), (30, 27), (20, 22), (10, 40)):
        read_with_forecast(lot, days_ago=days_ago, read=read, low=24, likely=30, high=36)

    page = seller_client.get("/seller/readiness", follow=True).text

    assert "How often readings fell inside the range told before" in page
    assert "3 of 5 later readings fell inside" in page
    assert "80% range" in page
    assert "3 of 5, 60%" in page


def test_too_few_readings_draw_no_diagram(seller_client, business):
    lot = make_lot(code="K1", yard=make_yard())
    read_with_forecast(lot, days_ago=10, read=30, low=24, likely=30, high=36)

    page = seller_client.get("/seller/readiness", follow=True).text

    assert "How often readings fell inside the range told before" not in page
    assert "1 of 1 later readings" in page


@pytest.mark.parametrize("shape", ["stack", "windrow", "cone", "trailer", "deck", "log"])
def test_the_sheet_draws_where_the_tape_goes(seller_client, business, shape):
    page = seller_client.get("/seller/log").text

    drawing = page.split(f'class="shape shape-{shape}"')[1].split("</figure>")[0]
    assert "aria-label=" in drawing
    assert "length" in drawing or "width" in drawing

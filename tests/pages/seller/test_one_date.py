"""When a lot is dry: one date on every page, and one chance before the rain."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.core.dates import day_ahead
from inventory.selectors.lot import lot_page
from tests.factories.inventory import make_lot, make_reading
from tests.factories.orders import make_sheet

pytestmark = pytest.mark.django_db
ON = date(2026, 9, 18)


@pytest.fixture
def oak(business, upper):
    make_sheet()
    lot = make_lot(
        code="O1", wood="hardwood", mix={"oak": 100}, piling="stacked", exposure="sun_row", yard=upper,
        cords="1.25", start_moisture_pct=Decimal(75), drying_from=date(2026, 5, 12), said_ready="fall 2027",
    )  # fmt: skip
    make_reading(lot, 36, 38, 40, 41, 47)
    return lot


def text_of(client, page, *args):
    return " ".join(client.get(reverse(page, args=args)).text.split())


def test_list_verdict_and_fold_name_the_same_day_with_its_year(seller_client, oak):
    dry = lot_page("O1", ON).row.dry
    assert dry.likely.year > ON.year
    day = day_ahead(dry.likely, ON)

    page, stock = text_of(seller_client, "lot", "O1"), text_of(seller_client, "stock")

    verdict = page.split("verdict")[1].split("</section>")[0]
    assert f"<dd><b>{day}</b><small>left as is</small>" in verdict
    leave = next(row for row in heap_of(seller_client).rows if row.earned.way.key == "leave")
    assert leave.dry == day
    assert f"<b>Likely dry {day}</b>" in page
    assert f"Safe to promise from <b>{day_ahead(dry.honest_on, ON)}</b>" in page
    assert dry.honest_on > dry.likely
    assert f"likely dry {day}; customers read “fall 2027”" in stock


def test_the_chance_before_the_rain_is_the_same_in_the_choices_and_below(seller_client, oak):
    page = lot_page("O1", ON)

    leave = next(row for row in heap_of(seller_client).rows if row.earned.way.key == "leave")

    assert leave.earned.way.chance == page.row.dry.rain_chance


def test_dry_is_the_worst_face_whatever_the_mean_of_the_lot(seller_client, oak):
    text = text_of(seller_client, "lot", "O1")

    assert "Dashed: dry, the worst face at 25% on the pin, at a mean of " in text


@pytest.mark.parametrize(("days", "words"), [(20, "Oct 8"), (200, "Apr 6, 2027"), (-20, "Aug 29")])
def test_a_day_to_come_has_its_year_unless_it_is_this_year_and_ahead(days, words):
    assert day_ahead(ON + timedelta(days), ON).startswith(words)


def heap_of(client):
    class Rows:
        rows = client.get(reverse("lot", args=["O1"])).context["heap"]["rows"]

    return Rows

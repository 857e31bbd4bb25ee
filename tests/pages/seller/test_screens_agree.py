"""What two screens say of one thing agrees, word for word and figure for figure."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from orders.models import Order
from routing.models import Day, RoadLimit
from routing.selectors.runs.runs import due_at_the_door
from routing.services import commits
from tests.factories.day import FRIDAY, drive_by_the_job, lay_out, make_friday
from tests.factories.inventory import make_unit
from tests.factories.orders import make_customer, make_order, make_sheet
from tests.pages.seller.figures import main_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def friday(business, monkeypatch):
    drive_by_the_job(monkeypatch)
    return make_friday()


def told(client, address: str) -> str:
    """A page's words in one line."""
    return main_of(client.get(address).content.decode()).text


def test_a_day_that_can_be_driven_and_its_bridge_do_not_contradict_each_other(
    seller_client, friday, an_instant
):
    lay_out(friday, an_instant)
    Day.objects.filter(on=FRIDAY).update(proof="hand", is_estimate=False)
    RoadLimit.objects.create(name="Old Mill Bridge", whole_rig_lb=11_000, note="By way of Siding.")

    day = told(seller_client, f"/seller/days/{FRIDAY}")
    sheet = told(seller_client, f"/seller/days/{FRIDAY}/load-sheet")

    assert (
        "Checked: it can be driven, by a way round Old Mill Bridge where a load is too heavy for it." in day
    )
    for page in (day, sheet):
        assert "Old Mill Bridge is posted 11,000 lb; loaded you weigh" in page
        assert "Do not cross it loaded: go around it" in page


def test_the_ground_to_thin_next_leads_to_its_own_sheet_that_says_nothing_is_done_there(
    seller_client, business
):
    """It led to the busiest ground's sheet; its own said that the wood had paid for the thinning."""
    make_sheet()
    make_unit(name="Knob", started_on=date(2026, 5, 1), finished_on=date(2026, 6, 1))
    slope = make_unit(name="East slope", acres=3)

    worth = main_of(seller_client.get("/seller/worth").content.decode())
    link = next(a for a in worth.all("a") if a.text == "East slope")
    sheet = main_of(seller_client.get(link.attrs["href"]).content.decode())

    assert link.attrs["href"] == f"{reverse('acre-sheet')}?unit={slope.pk}"
    assert "Acre sheet: East slope" in sheet.text
    assert "Nothing is done here yet." in sheet.text
    assert "3 ac not begun" in sheet.text
    assert "paid for the thinning" not in sheet.text
    fold = next(node for node in sheet.all("details") if "Ground not yet thinned" in node.text)
    assert "open" in fold.attrs


def test_a_days_page_names_the_pickups_the_list_of_days_counts(seller_client, friday):
    who = make_customer("Otis Ray")
    saturday = FRIDAY + timedelta(1)
    make_order(
        number=209, customer=who, how=Order.How.PICK_UP, state=Order.State.CONFIRMED,
        first_on=saturday, last_on=saturday,
    )  # fmt: skip

    days = told(seller_client, "/seller/days")
    page = told(seller_client, f"/seller/days/{saturday}")

    assert "1 pickup" in days
    assert "Pickup: 209 Otis Ray" in page
    assert "Nothing to haul on this day: no run is planned." in page
    assert "Otis Ray" not in told(seller_client, f"/seller/days/{FRIDAY}")


def test_a_day_with_an_order_that_waits_for_a_plan_does_not_say_there_is_nothing_to_haul(
    seller_client, friday
):
    saturday = FRIDAY + timedelta(1)
    make_order(number=210, state=Order.State.CONFIRMED, first_on=saturday, last_on=saturday)

    page = told(seller_client, f"/seller/days/{saturday}")

    assert "Nothing to haul" not in page
    assert "Plan the day" in page


def test_money_due_is_told_alike_on_today_the_orders_list_the_load_sheet_and_money(
    seller_client, friday, an_instant, business
):
    lay_out(friday, an_instant)
    commits.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    make_order(
        number=153, customer=make_customer("Gus Morrow"), state=Order.State.DELIVERED,
        delivered_on=FRIDAY - timedelta(255), total_dollars=Decimal(165),
    )  # fmt: skip

    due = due_at_the_door(FRIDAY)
    sheet = told(seller_client, f"/seller/days/{FRIDAY}/load-sheet")
    orders = told(seller_client, "/seller/orders")

    assert set(due) == {201, 202, 203}
    for dollars in due.values():
        assert f"${dollars}" in sheet
        assert f"due ${dollars}" in orders
    assert f"To collect at today’s drops: ${sum(due.values())}" in told(seller_client, "/seller/money")
    assert "now Gus Morrow owes $165.00 Order 153: late, 255 days." in told(seller_client, "/seller/")

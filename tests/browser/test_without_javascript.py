"""Every step of the chain with scripts switched off, as plain links and forms."""

import pytest
from playwright.sync_api import expect

from inventory.models import Lot, Measurement
from orders.models import Order, Payment
from routing.models import Day, Stop
from tests.browser.conftest import DESK, chip, log_in, seen_dollars

pytestmark = [pytest.mark.browser, pytest.mark.roads, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def plain(demo, open_page):
    """Opens pages where no script runs."""

    def opened(path: str, **kwargs):
        return open_page(path, java_script_enabled=False, **kwargs)

    return opened


def test_a_stranger_orders_and_follows(plain):
    page = plain("/")

    page.get_by_role("link", name="Get a price: seasoned fir").click()
    chip(page, "2/3 cord").click()
    page.get_by_label("Street and number").fill("8 Orchard Road, Larch Prairie")
    chip(page, "Stack it").click()
    page.locator("#total button").click()
    expect(page.locator(".price-head")).to_contain_text("$242")
    expect(page.locator(".price-head")).to_contain_text("8 Orchard Road, Larch Prairie")
    page.get_by_label("Your name").fill("Tansy Orme")
    page.get_by_label("Phone").fill("541 555 0188")
    page.locator("label.day-pick", has_text="Sep 25").click()  # tomorrow can't be changed after noon
    page.wait_for_timeout(1100)
    page.get_by_role("button", name="Place order").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("We have your order")

    page.get_by_role("link", name="Change spot, gate, day or hours").click()
    page.get_by_label("Where on the place do we leave it?").fill("by the gate")
    page.get_by_role("button", name="Save").click()
    expect(page.locator("main")).to_contain_text("by the gate")
    page.get_by_text("Cancel this order").click()
    page.get_by_role("button", name="Yes, cancel it").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("This order is cancelled")
    assert Order.objects.get(customer__name="Tansy Orme").state == "cancelled"


def test_the_seller_confirms_plans_and_commits(plain):
    page = plain("/log-in", size=DESK)
    log_in(page, "ruth")

    page.goto("/seller/quote")
    chip(page, "1/2").click()
    page.locator("label.chip", has_text="Larch Prairie").click()
    page.get_by_role("button", name="Answer").click()
    page.get_by_text("They said yes").first.click()
    page.get_by_label("Name").fill("Tansy Orme")
    page.get_by_role("textbox", name="Phone").fill("541 555 0188")
    page.get_by_role("button", name="Place order").click()
    order = Order.objects.get(customer__name="Tansy Orme")
    page.goto(f"/seller/orders/{order.number}")
    page.get_by_role("button", name="Confirm", exact=True).click()
    expect(page.get_by_text("Wood held").first).to_be_visible()

    page.goto("/seller/days/2026-09-25")
    for box in page.locator("input[name=orders]").all():
        box.set_checked(box.input_value() == "208")
    page.get_by_role("button", name="Plan the day").click()
    expect(page.get_by_role("link", name="Wilma Keats", exact=True)).to_be_visible()
    expect(page.locator("svg.route-map")).to_be_visible()  # the drawn map stands in for the live one
    page.get_by_role("button", name="Commit").click()
    expect(page.get_by_text("Committed.")).to_be_visible()
    assert Day.objects.get(on="2026-09-25").state == "fixed"


def test_the_seller_measures_a_heap_into_a_lot(plain):
    page = plain("/log-in")
    log_in(page, "ruth")

    page.goto("/seller/log?steps=measure&lot=K1&amount=all")
    page.get_by_text("By tape").click()
    page.get_by_text("Long heap", exact=True).click()
    page.get_by_label("Its sizes").fill("42 x 12 x 6")
    page.get_by_role("button", name="Log it").click()

    expect(page.get_by_role("heading", level=1)).to_contain_text("K1")
    expect(page.locator("main")).to_contain_text("Measured, lot K1")
    assert Lot.objects.get(code="K1").on_hand_cords == Measurement.objects.latest("pk").likely_cords > 6


def test_the_driver_says_arrived_and_delivered(plain):
    page = plain("/log-in")
    log_in(page, "tam")

    page.goto("/driver/")
    page.get_by_role("button", name="Leaving now").click()
    page.goto("/driver/")
    page.get_by_role("link", name="Greta Sool").click()
    assert seen_dollars(page.locator(".row", has_text="Due")) == 100
    page.get_by_role("button", name="Arrived").click()
    page.get_by_label("Money taken").fill("100")
    page.get_by_role("button", name="Delivered").click()

    expect(page.get_by_text("Saved.")).to_be_visible()
    expect(page.locator("li", has_text="Greta Sool")).to_contain_text("delivered")
    assert Stop.objects.get(order__number=202).state == "delivered"
    assert [payment.dollars for payment in Payment.objects.filter(order__number=202)] == [100]

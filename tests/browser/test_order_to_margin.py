"""The one main flow as people see it: a stranger's phone, the seller's desk, the driver's phone.

The demo on its own roads. Money, wood and road are asserted on what stands on the pages.
"""

from datetime import date
from decimal import Decimal

import pytest
from playwright.sync_api import Page, expect

from inventory.models import Business
from orders.models import Order
from tests.browser.conftest import DESK, chip, fits, log_in, seen_dollars

pytestmark = [pytest.mark.browser, pytest.mark.roads, pytest.mark.django_db(transaction=True)]

THE_DAY = "2026-09-25"


def order_two_thirds(page: Page) -> tuple[int, int, Decimal]:
    """Job example 3 by thumb: taps, typed fields and the price asked."""
    taps = typed = 0

    fir = page.locator("article").filter(has=page.get_by_role("heading", name="Seasoned fir"))
    fir.get_by_role("link", name="2/3 cord $180").click()
    taps += 1
    expect(page.locator("input[name=amount]:checked")).to_have_value("2/3")
    page.get_by_label("Street and number").press_sequentially("8 orchard ro")
    typed += 1
    page.get_by_role("option", name="8 Orchard Road, Larch Prairie").click()
    taps += 1
    chip(page, "Stack it").click()
    taps += 1
    page.locator("#total button").click()
    taps += 1

    expect(page.get_by_role("heading", level=1)).to_have_text("2/3 cord seasoned fir")
    expect(page.locator(".price-head")).to_contain_text("delivered to 8 Orchard Road, Larch Prairie, stacked")
    page.get_by_label("Your name").fill("Tansy Orme")
    page.get_by_label("Phone").fill("541 555 0188")
    page.get_by_label("Where on the place do we leave it?").fill("under the porch roof")
    typed += 3
    day = page.locator("label.day-pick").filter(has=page.locator(f"input[value='{THE_DAY}']"))
    price = seen_dollars(day.locator("b"))
    day.click()
    taps += 1
    page.wait_for_timeout(1100)  # a hand is slower than a machine; the form asks for a second
    page.get_by_role("button", name="Place order").click()
    taps += 1
    return taps, typed, price


def test_the_chain_of_wood_and_money_is_seen_on_three_screens(demo, open_page):
    # the stranger's phone: price, days on offer, order, status
    phone = open_page("/")
    taps, typed, price = order_two_thirds(phone)
    expect(phone.get_by_role("heading", level=1)).to_have_text("We have your order")
    assert taps <= 6
    assert typed <= 4
    assert Decimal(220) < price <= Decimal(242)  # wood and stacking at least, coming alone at most
    assert seen_dollars(phone.locator(".row.total")) == price
    fits(phone)
    status = phone.url
    number = Order.objects.get(customer__name="Tansy Orme").number

    # the seller's desk: 2.80 cords not promised, the suggested lot, the hold
    desk = open_page("/log-in", size=DESK)
    log_in(desk, "ruth")
    desk.goto("/seller/wood")
    expect(desk.get_by_text("2.80 cords").first).to_be_visible()
    desk.goto("/seller/")
    desk.get_by_role("link", name="Tansy Orme").first.click()
    expect(desk.get_by_role("heading", level=1)).to_have_text(f"{number} · Tansy Orme")
    expect(desk.get_by_text("19.5 mi from Siding Yard")).to_be_visible()
    expect(desk.get_by_label("K1")).to_have_value("2/3")
    desk.get_by_role("button", name="Confirm", exact=True).click()
    expect(desk.get_by_text("Wood held").first).to_be_visible()
    phone.goto(status)
    expect(phone.get_by_role("heading", level=1)).to_have_text("Your wood is held for you")
    desk.goto("/seller/lots/K1")
    expect(desk.locator("main")).to_contain_text("2.13 cords")  # 2.80 less two thirds

    # the day: planned with Wilma's cord, proven, on the map, committed
    desk.goto(f"/seller/days/{THE_DAY}")
    for box in desk.locator("input[name=orders]").all():
        box.set_checked(box.input_value() in (str(number), "208"))
    desk.get_by_role("button", name="Plan the day").click()
    expect(desk.get_by_text("2 drops planned.")).to_be_visible()
    expect(desk.get_by_text("Proven", exact=False).first).to_be_visible()
    for name in ("Tansy Orme", "Wilma Keats"):
        expect(desk.get_by_role("link", name=name, exact=True)).to_be_visible()
    assert desk.get_by_text("Siding Yard").count() >= 1
    desk.wait_for_selector(".map[data-ready] .leaflet-tile-loaded")
    way = desk.locator("path.map-way").first.bounding_box()
    assert way is not None
    assert max(way["width"], way["height"]) > 100
    desk.get_by_role("button", name="Commit").click()
    expect(desk.get_by_text("Committed. 2 customers have to be told")).to_be_visible()
    desk.get_by_role("link", name="Load sheet").click()
    sheet = desk.locator("main")
    for words in (
        "Load sheet, Friday, September 25",
        "under the porch roof",
        "stack it, lot K1",
        f"${price}",
    ):
        expect(sheet).to_contain_text(words)
    phone.reload()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Your wood comes Fri, Sep 25")

    # a week later, the driver's phone: arrived, delivered, paid
    Business.objects.update(pinned_today=date.fromisoformat(THE_DAY))
    cab = open_page("/log-in")
    log_in(cab, "tam")
    cab.goto("/driver/")
    cab.get_by_role("link", name="Tansy Orme").click()
    expect(cab.get_by_text("under the porch roof")).to_be_visible()
    cab.get_by_role("button", name="Arrived").click()
    expect(cab.get_by_role("button", name="Arrived")).to_have_count(0)
    cab.get_by_label("Money taken").fill(str(price))
    cab.get_by_label("How", exact=True).select_option("cash")
    cab.get_by_role("button", name="Delivered").click()
    expect(cab.get_by_role("link", name="Tansy Orme")).to_contain_text("delivered")

    # the books: settled, ticketed, and what it left
    phone.reload()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Your wood is delivered")
    assert seen_dollars(phone.locator(".row", has_text="Still due")) == 0
    desk.goto(f"/seller/worth/margins/order/{number}")
    lines = desk.locator("section.card").first
    told = {
        words: seen_dollars(lines.locator(".row", has_text=words))
        for words in ("Price, without sales tax", "Wood, cash", "Its share of the road", "Cash left")
    }
    assert told["Price, without sales tax"] == price
    assert told["Its share of the road"] < 0
    assert sum(told.values()) - told["Cash left"] == told["Cash left"]
    desk.locator("section.card h2 a").first.click()
    expect(desk.get_by_role("heading", name="Tansy Orme")).to_be_visible()
    shares = [
        seen_dollars(card.locator(".row", has_text="Its share of the road"))
        for card in desk.locator(".cards.earned > section").all()
    ]
    whole = seen_dollars(desk.locator("section.card .row").filter(has=desk.get_by_text("Road", exact=True)))
    assert sum(shares) == whole
    desk.goto("/seller/lots/K1")
    expect(desk.locator("main")).to_contain_text("5.38 cords")  # 6.05 less two thirds

"""The driver without signal: pages from the phone, taps kept over a reload, each sent and counted once."""

import time
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect

from inventory.models import Movement
from orders.models import Order, Payment
from routing.models import DriverEvent
from tests.browser.conftest import PATIENCE_MS, log_in

pytestmark = [pytest.mark.browser, pytest.mark.roads, pytest.mark.django_db(transaction=True)]

KEPT_PAGES = """async () => (await caches.has('pages-1'))
  ? (await (await caches.open('pages-1')).keys()).map((one) => new URL(one.url).pathname) : []"""
NO_SIGNAL = "ERR_INTERNET_DISCONNECTED"


def until(true: Callable[[], bool], what: str) -> None:
    patient = time.monotonic() + PATIENCE_MS / 1000
    while time.monotonic() < patient:
        if true():
            return
        time.sleep(0.1)
    pytest.fail(f"Not within {PATIENCE_MS / 1000:g} seconds: {what}")


@pytest.fixture
def cab(demo: None, open_page: Any) -> Page:
    """Tam's phone with today's run open and every card of it kept."""
    open_page.expected.append(NO_SIGNAL)
    page = open_page("/log-in")
    log_in(page, "tam")
    page.goto("/driver/")
    page.wait_for_selector('body[data-offline="1"]')
    cards = {link.get_attribute("href") for link in page.locator(".timeline a").all()}
    assert len(cards) == 5  # two loads and three drops
    until(lambda: cards <= set(page.evaluate(KEPT_PAGES)), "every card of the run is kept")
    return page


def told() -> list[DriverEvent]:
    return list(DriverEvent.objects.filter(kind="delivered"))


def say_delivered(page: Page, name: str, dollars: str) -> None:
    page.get_by_role("link", name=name).click()
    page.get_by_label("Money taken").fill(dollars)
    page.get_by_role("button", name="Delivered").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Fri, Sep 18")


def test_every_card_opens_without_signal(cab):
    cab.context.set_offline(True)

    cab.reload()
    expect(cab.get_by_role("heading", level=1)).to_contain_text("Fri, Sep 18, Big trailer")
    expect(cab.locator("#signal")).to_have_text("No signal. Taps are kept.")
    cab.get_by_role("link", name="Siding Yard").first.click()
    expect(cab.get_by_role("heading", name="What goes on first")).to_be_visible()
    expect(cab.locator("svg").first).to_be_visible()
    cab.goto("/driver/")
    cab.get_by_role("link", name="Pilar Ostrander").click()
    expect(cab.get_by_text("stack it")).to_be_visible()
    assert cab.evaluate("() => getComputedStyle(document.querySelector('.card')).borderRadius") != "0px"


def lose_signal(cab: Page) -> None:
    """Offline, and no event gets out: a page just opened may send before the browser knows it is offline."""
    cab.context.route("**/driver/events", lambda route: route.abort())
    cab.context.set_offline(True)


def find_signal(cab: Page) -> None:
    cab.context.unroute("**/driver/events")
    cab.context.set_offline(False)


def test_a_drop_told_without_signal_outlives_a_reload_and_counts_once(cab):
    lose_signal(cab)
    say_delivered(cab, "Greta Sool", "100")
    expect(cab.locator("li", has_text="Greta Sool")).to_contain_text("delivered, kept")
    expect(cab.locator("#signal")).to_have_text("1 kept on this phone, no signal")
    cab.reload()
    expect(cab.locator("li", has_text="Greta Sool")).to_contain_text("delivered, kept")
    cab.goto("/driver/told")
    expect(cab.locator("#queue li")).to_contain_text("delivered, order 202")
    assert told() == []

    find_signal(cab)
    expect(cab.locator("#queue")).to_have_text("Everything is sent.")
    cab.goto("/driver/")

    expect(cab.locator("li", has_text="Greta Sool")).to_contain_text("delivered")
    expect(cab.locator("#signal")).to_have_text("")
    assert [event.outcome for event in told()] == ["applied"]
    assert [payment.dollars for payment in Payment.objects.filter(order__number=202)] == [100]
    assert Movement.objects.filter(kind="sold", reference="order 202").count() == 1


def test_two_drops_told_without_signal_are_sent_once_when_it_returns(cab):
    expect(cab.locator("li[data-stop]")).to_have_count(3)
    events, payments = DriverEvent.objects.count(), Payment.objects.count()
    lose_signal(cab)
    say_delivered(cab, "Marlow Finch", "180")  # of 240
    say_delivered(cab, "Greta Sool", "100")
    cab.reload()
    expect(cab.locator("#signal")).to_contain_text("2 kept on this phone")
    assert DriverEvent.objects.count() == events

    cab.goto("/driver/told")
    find_signal(cab)
    expect(cab.locator("#queue")).to_contain_text("Everything is sent.")

    assert [event.outcome for event in told()] == ["applied", "applied"]
    assert Order.objects.get(number=201).state == Order.State.DELIVERED
    assert Order.objects.get(number=202).state == Order.State.SETTLED
    assert Payment.objects.count() == payments + 2


def test_an_amount_that_cannot_be_read_is_asked_for_before_it_is_kept(cab):
    cab.get_by_role("link", name="Greta Sool").click()
    cab.get_by_label("Money taken").fill("a hundred")
    cab.get_by_role("button", name="Delivered").click()

    assert cab.get_by_label("Money taken").evaluate("(field) => field.validity.patternMismatch")
    assert cab.get_by_label("Money taken").input_value() == "a hundred"
    cab.get_by_role("button", name="All of it, $100").click()
    cab.get_by_text("It was another amount").click()
    cab.get_by_label("Cords left there").fill("lots")
    cab.get_by_text("It was another amount").click()
    cab.get_by_role("button", name="Delivered").click()
    expect(cab.get_by_label("Cords left there")).to_be_visible()  # the fold opens on what is wrong
    cab.get_by_label("Cords left there").fill("1/3")
    cab.get_by_role("button", name="Delivered").click()

    expect(cab.locator("li", has_text="Greta Sool")).to_contain_text("delivered")
    assert [payment.dollars for payment in Payment.objects.filter(order__number=202)] == [100]


def test_what_could_not_be_booked_is_said_on_the_page_the_tap_leads_to(cab):
    cab.get_by_role("link", name="Greta Sool").click()
    cab.get_by_text("It was another amount").click()
    cab.get_by_label("Cords left there").fill("one zillion")
    cab.get_by_role("button", name="Delivered").click()

    expect(cab.get_by_role("heading", level=1)).to_contain_text("Fri, Sep 18")
    expect(cab.get_by_role("alert")).to_contain_text("Order 202: 'one zillion' is not an amount")
    cab.reload()
    expect(cab.get_by_role("alert")).to_have_count(0)
    cab.get_by_role("link", name="See what").click()
    expect(cab.get_by_text("'one zillion' is not an amount")).to_be_visible()


def test_an_answer_lost_on_the_way_is_asked_for_again_and_changes_nothing(cab, open_page):
    open_page.expected.append("ERR_FAILED")

    def lose(route: Route) -> None:
        route.fetch()  # the server hears it
        route.abort()  # the phone never learns

    cab.context.route("**/driver/events", lose)
    say_delivered(cab, "Greta Sool", "100")
    expect(cab.locator("#signal")).to_have_text("1 kept on this phone")
    assert len(told()) == 1

    cab.context.unroute("**/driver/events")
    cab.goto("/driver/told")

    expect(cab.locator("#queue")).to_have_text("Everything is sent.")
    assert len(told()) == 1
    assert Payment.objects.filter(order__number=202).count() == 1


def test_what_cannot_be_booked_is_said_and_kept_for_the_seller(cab, open_page):
    cab.context.set_offline(True)
    desk = open_page("/log-in")
    log_in(desk, "ruth")
    desk.goto("/seller/orders/202")
    desk.on("dialog", lambda dialog: dialog.accept())
    desk.get_by_text("Cancel", exact=True).click()
    desk.get_by_role("button", name="Cancel the order").click()
    expect(desk.get_by_text("cancelled").first).to_be_visible()
    say_delivered(cab, "Greta Sool", "100")

    cab.context.set_offline(False)

    expect(cab.get_by_role("alert")).to_contain_text("202")
    expect(cab.locator("#signal")).to_have_text("")
    assert [event.outcome for event in told()] == ["conflict"]
    cab.goto("/driver/told")
    expect(cab.get_by_role("heading", name="Check these")).to_be_visible()
    desk.goto("/seller/days/2026-09-18")
    expect(desk.get_by_role("heading", name="Told from the road, wants a look")).to_be_visible()


def test_a_lost_log_in_keeps_the_taps_and_says_so(cab, open_page):
    open_page.expected.append("403")
    cab.context.set_offline(True)
    say_delivered(cab, "Greta Sool", "100")
    cab.context.clear_cookies()

    cab.context.set_offline(False)
    expect(cab.locator("#signal")).to_have_text("Log in again to send.")
    assert told() == []

    log_in(cab, "tam")
    cab.goto("/driver/told")
    expect(cab.locator("#queue")).to_have_text("Everything is sent.")
    assert len(told()) == 1


def test_logging_out_leaves_no_names_on_the_phone(cab):
    cab.get_by_role("button", name="Log out").click()
    cab.wait_for_url("**/")
    expect(cab.get_by_role("link", name="For the seller")).to_be_visible()

    until(lambda: cab.evaluate(KEPT_PAGES) == [], "the kept pages are gone")

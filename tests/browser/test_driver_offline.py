"""The driver's pages in Chromium with the network off: taps are kept over a reload and sent once."""

from datetime import time

import pytest
from playwright.sync_api import expect

from orders.models import Order, Payment
from routing.models import DriverEvent
from routing.services import days
from tests.browser.conftest import log_in
from tests.factories.day import FRIDAY, job_matrix, make_friday

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def committed(business, driver, monkeypatch, an_instant):
    monkeypatch.setattr("routing.selectors.rig_roads.matrix_between", job_matrix)
    friday = make_friday()
    days.lay_out_day(
        on=FRIDAY,
        rig_id=friday.big.pk,
        loads=((friday.creek.pk, (201,)), (friday.siding.pk, (202, 203))),
        at=an_instant,
        who="ruth",
        starts_at=time(7, 30),
    )
    days.commit_day(on=FRIDAY, at=an_instant, who="ruth")
    return friday


def test_two_deliveries_told_without_signal_are_sent_once_when_it_returns(open_page, committed):
    page = open_page("/log-in")
    log_in(page, "tam")
    page.goto("/driver/")
    page.wait_for_selector('body[data-offline="1"]')
    stops = page.locator("li[data-stop]")
    expect(stops).to_have_count(3)
    ids = [stops.nth(number).get_attribute("data-stop") for number in range(2)]
    kept = page.evaluate_handle("""async (ids) => {
        for (let tries = 0; tries < 100; tries++) {
            const cache = await caches.open("pages-1");
            const paths = ids.map((id) => `${location.origin}/driver/drop/${id}`);
            const found = await Promise.all(paths.map((path) => cache.match(path)));
            if (found.every(Boolean)) return true;
            await new Promise((done) => setTimeout(done, 100));
        }
        return false;
    }""", ids)  # fmt: skip
    assert kept.json_value()

    page.context.set_offline(True)
    for stop, dollars in zip(ids, ("240", "100"), strict=True):
        page.goto(f"/driver/drop/{stop}")
        page.fill("[name=dollars]", dollars)
        page.click("form[data-event=delivered] .button")
        page.wait_for_url("**/driver/run/*")
    page.reload()
    expect(page.locator("#signal")).to_contain_text("2 kept on this phone")
    assert DriverEvent.objects.count() == 0

    page.goto("/driver/told")
    page.context.set_offline(False)
    expect(page.locator("#queue")).to_contain_text("Everything is sent.")

    assert DriverEvent.objects.filter(kind="delivered", outcome="applied").count() == 2
    assert Order.objects.filter(state=Order.State.DELIVERED).count() == 1  # Marlow's deposit is not in
    assert Order.objects.get(number=202).state == Order.State.SETTLED
    assert Payment.objects.count() == 2

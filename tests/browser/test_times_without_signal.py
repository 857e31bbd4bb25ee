"""Late in the valley: the phone moves the times of the run by itself, to those the server then gives."""

import re
from datetime import datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.conf import settings
from playwright.sync_api import Page, expect

from tests.browser.conftest import DESK, log_in
from tests.browser.test_no_signal import cab, find_signal, lose_signal
from tests.factories.day import FRIDAY

__all__ = ["cab"]  # a fixture, found by name

pytestmark = [pytest.mark.browser, pytest.mark.roads, pytest.mark.django_db(transaction=True)]


def it_is(page: Page, at: time) -> None:
    """By the phone's clock, where the seller is. The demo's day takes the hour and leaves the date."""
    zone = ZoneInfo(settings.TIME_ZONE)
    yesterday = (datetime.now(zone) - timedelta(days=1)).date()
    page.clock.set_fixed_time(datetime.combine(yesterday, at, zone))


def times(page: Page) -> list[str]:
    return page.locator(".timeline .when").all_inner_texts()


def served(page: Page) -> list[str]:
    """The same times as the server writes them, before any script."""
    told = page.context.request.get("/driver/").text()
    return re.findall(r'<span class="when" data-halt="\d+">([^<]+)<', told)


def badges(page: Page) -> list[str]:
    return page.locator(".timeline [data-late]").all_inner_texts()


def sent(page: Page) -> None:
    page.goto("/driver/told")
    expect(page.locator("#queue")).to_have_text("Everything is sent.")
    page.goto("/driver/")


def test_times_shift_with_each_tap_offline_as_they_do_online(cab: Page, open_page: Any, shot: Any) -> None:
    planned = times(cab)
    assert planned[:2] == ["7:47 am", "8:51 am"]
    assert badges(cab) == []
    lose_signal(cab)
    it_is(cab, time(8, 10))  # forty minutes behind

    cab.get_by_role("button", name="Leaving now").click()
    expect(cab.get_by_role("heading", name="What goes on first")).to_be_visible()
    cab.goto("/driver/")

    expect(cab.locator("[data-behind]")).to_have_text("40 min behind. The times below are the new ones.")
    late = times(cab)
    assert late[:2] == ["8:27 am", "9:31 am"]
    assert badges(cab)[:2] == ["40 min late"] * 2
    shot(cab, "late-without-signal")
    cab.get_by_role("link", name="Marlow Finch").click()
    expect(cab.locator("[data-halt]")).to_have_text("9:31 am")
    expect(cab.locator("[data-late]").last).to_have_text("40 min late")

    it_is(cab, time(8, 55))  # loaded sooner than it looked
    cab.goto("/driver/")
    cab.get_by_role("link", name="Creek Yard").click()
    for box in cab.locator("form[data-event=loaded] input[type=checkbox][required]").all():
        box.check(force=True)
    before = cab.url
    cab.get_by_role("button", name="Loaded, driving off").click()
    cab.wait_for_url(lambda url: url != before)  # the page goes on by itself
    cab.wait_for_load_state()
    cab.goto("/driver/")
    expect(cab.locator("[data-load] [data-mark]").first).to_contain_text("loaded, kept")
    after = times(cab)
    assert "9:31 am" > after[1] > planned[1]

    find_signal(cab)
    sent(cab)
    assert times(cab) == after == served(cab)
    desk = open_page("/log-in", size=DESK)
    log_in(desk, "ruth")
    desk.goto(f"/seller/days/{FRIDAY}")
    expect(desk.locator(".run")).to_contain_text(f"now about {after[1]}")

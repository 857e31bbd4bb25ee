"""The season ahead: this week's advice in a phone's first screen, its parts opened, clean in both lights."""

from datetime import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from firewood_site.demo import DEMO_DAY
from routing.services.season import plan_season
from tests.browser.conftest import DESK, PHONE, fits, log_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_this_weeks_advice_stands_in_the_first_screen_and_leads_to_its_parts(demo, open_page, axe):
    plan_season(on=DEMO_DAY, at=timezone.make_aware(datetime(2026, 9, 18, 9, 30)))
    page = open_page("/log-in", reduced_motion="reduce")
    log_in(page, "ruth")
    page.goto(reverse("season-ahead"))

    advice = page.locator("ol.decisions > li, .figure")
    assert advice.count() == 5  # three decisions, the net, an hour
    for box in advice.all():
        place = box.bounding_box()
        assert place is not None
        assert place["y"] + place["height"] <= PHONE["height"]

    told = page.locator("ol.decisions > li a[href*='see=']").first
    dollars = told.inner_text()
    told.click()
    opened = page.locator("#d1 table").last
    assert opened.is_visible()
    assert opened.locator("tfoot").inner_text().split()[-1] == dollars
    for see in ("who", "week", "net", "ways", "lived", "one", "weeks", "changes", "guesses"):
        page.goto(f"{reverse('season-ahead')}?see={see}")
        fits(page)
        axe(page)
    page.set_viewport_size(DESK)
    page.emulate_media(color_scheme="dark")
    fits(page)
    axe(page)

"""On a slow line a hand is faster than the scripts: what it chose before they came is lost nowhere."""

import re

import pytest
from django.test import Client
from playwright.sync_api import Page, Route, expect

from tests.browser.test_one_total import neighbor, said  # noqa: F401  - a fixture

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


SLOW = 60_000  # milliseconds: a busy machine, whose planner may have to be compiled first


@pytest.fixture(autouse=True)
def _warm(shop):
    """The first price of a process reads its figures; that wait is not what is tested here."""
    Client().get("/price")


class LateScripts:
    """Scripts are asked for and do not come until they are let go."""

    def __init__(self, page: Page) -> None:
        self.held: list[Route] = []
        page.route(re.compile(r"\.js(\?.*)?$"), self._hold)

    def _hold(self, route: Route) -> None:
        self.held.append(route)

    def come(self) -> None:
        for route in self.held:
            route.continue_()


def test_a_wood_and_a_town_chosen_before_the_scripts_came_are_priced(shop, open_page):
    page = open_page("/price?choice=fir:seasoned&amount=1")
    scripts = LateScripts(page)
    page.goto(page.url, wait_until="commit")
    page.locator(".pick", has_text="1/3 cord").click()
    page.get_by_label("Town").select_option("Larch Prairie")
    page.locator("#id_where").type("40 Mill")
    assert not page.locator("#total .num").count()

    scripts.come()

    expect(page.locator("#total .num")).to_have_text(re.compile(r"^\$[\d.]+$"), timeout=SLOW)
    expect(page.locator("#total")).to_contain_text("delivered to Larch Prairie", timeout=SLOW)
    assert page.locator("input[name=amount]:checked").get_attribute("value") == "1/3"
    assert page.locator("#id_where").input_value() == "40 Mill"


def test_a_day_chosen_before_the_scripts_came_is_the_day_on_the_button(neighbor, open_page):  # noqa: F811
    page = open_page("/price?choice=fir:seasoned&amount=1/3")
    page.set_default_timeout(2 * SLOW)  # its days are planned before the price is shown
    page.get_by_label("Town").select_option("Larch Prairie")
    expect(page.locator("#total .num")).to_have_text(re.compile(r"^\$[\d.]+$"), timeout=SLOW)
    page.locator("#total button").click()
    expect(page.locator("#due")).to_be_visible(timeout=SLOW)
    before = page.locator("#due").inner_text()
    scripts = LateScripts(page)
    page.goto(page.url, wait_until="commit")
    page.locator("label.day-pick", has_text="Sep 25").click()
    page.locator("#id_name").fill("Greta Sool")

    scripts.come()

    expect(page.locator("#due")).not_to_have_text(before, timeout=SLOW)
    assert len(said(page)) == 1
    assert page.locator("#id_name").input_value() == "Greta Sool"

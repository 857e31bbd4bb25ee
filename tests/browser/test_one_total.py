"""One live total: every place on the page says the same number, and what the button says is what is owed."""

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import connection
from playwright.sync_api import expect

from orders.models import Order
from orders.services.orders import Picked, confirm_order
from tests.factories.inventory import an_instant
from tests.factories.orders import make_order, make_place

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

FRIDAY = date(2026, 9, 25)


@pytest.fixture
def neighbor(shop):
    """Wilma's wood goes to Larch Prairie on Friday: that day costs less there."""
    place = make_place(town="Larch Prairie")
    make_order(number=208, cords=Fraction(1, 2), first_on=FRIDAY, last_on=FRIDAY, place=place)
    confirm_order(number=208, picks=[Picked(lot="K1", cords=Fraction(1, 2))], at=an_instant(), who="ruth")


def said(page):
    """The dollars of every place on the price page that tells what is owed."""
    places = (".price", "#due-lines .total", "#due-pay", "#due-bar button", ".day-pick:has(:checked) b")
    texts = [page.locator(place).text_content() for place in places]
    return {re.search(r"\$[\d,]+(?:\.\d\d)?", text)[0].removesuffix(".00") for text in texts}


def test_every_place_says_the_same_number_whatever_day_is_chosen(neighbor, open_page, axe, shot):
    page = open_page("/price?choice=fir:seasoned&amount=1/3")
    page.get_by_label("Town").select_option("Larch Prairie")
    alone = page.locator("#total .num")
    expect(alone).to_have_text(re.compile(r"^\$[\d.]+$"))
    first = alone.inner_text()
    page.locator("label.chip", has_text="Stack it").click()
    expect(alone).not_to_have_text(first)
    page.locator("label.chip", has_text="Dump it").click()
    expect(alone).to_have_text(first)
    shot(page, "quote-total")
    page.get_by_role("button", name=f"Continue · {first}").click()

    assert said(page) == {first}
    page.locator("label.day-pick", has_text="Sep 25").click()
    expect(page.locator("#due")).not_to_have_text(first)
    cheaper = page.locator("#due").inner_text()
    assert said(page) == {cheaper}
    assert cheaper in page.title()
    axe(page)
    shot(page, "price-total")

    page.locator("label.day-pick.any").click()
    expect(page.locator("#due")).to_have_text(cheaper)  # being flexible is never dearer
    page.get_by_label("Street and number").fill("9 Station Street")
    page.get_by_label("Your name").fill("Pilar Ostrander")
    page.get_by_label("Phone").fill("541 555 0144")
    page.wait_for_timeout(1100)
    page.get_by_role("button", name=f"Place order · {cheaper}").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("We have your order")
    assert Order.objects.get(number__gt=208).total_dollars == Decimal(cheaper.removeprefix("$"))
    connection.close()


def test_without_a_script_the_page_tells_the_other_days_price_before_it_takes_the_order(neighbor, open_page):
    open_page.expected.append("409")
    page = open_page("/price?choice=fir:seasoned&amount=1/3", java_script_enabled=False)
    page.get_by_label("Town").select_option("Larch Prairie")
    page.locator("#total button").click()
    first = page.locator("#due").inner_text()
    page.locator("label.day-pick", has_text="Sep 25").click()
    page.get_by_label("Street and number").fill("9 Station Street")
    page.get_by_label("Your name").fill("Pilar Ostrander")
    page.get_by_label("Phone").fill("541 555 0144")
    page.wait_for_timeout(1100)
    page.get_by_role("button", name="Place order").click()

    expect(page.get_by_text("The day you chose comes to")).to_be_visible()
    assert said(page) != {first}
    assert len(said(page)) == 1
    page.wait_for_timeout(1100)
    page.get_by_role("button", name="Place order").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("We have your order")
    connection.close()

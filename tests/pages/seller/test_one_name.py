"""A page has one name: in Find, in the menu of its part, on the chip that leads to it, and as its heading."""

import re

import pytest
from django.urls import reverse

from firewood_site.seller.page_index import PAGES
from tests.factories.orders import make_sheet

WITH_THEIR_DAY = {"run-today", "week-board", "season"}  # the heading says which run, week or season
PARTS = {"readiness", "stock-count"}  # of the page of the wood for sale
TITLES = {page.name: page.title for page in PAGES}

pytestmark = pytest.mark.django_db


def words(html):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", html)).strip()


def links(html):
    """Address to text, the hint behind the name left out."""
    found = re.findall(r'<a [^>]*href="([^"?#]+)"[^>]*>(.*?)</a>', html, flags=re.DOTALL)
    return {href: words(re.sub(r"<span.*", "", text, flags=re.DOTALL)) for href, text in found}


@pytest.mark.parametrize("name", sorted(TITLES.keys() - WITH_THEIR_DAY - PARTS))
def test_a_page_is_headed_as_find_calls_it(seller_client, business, name):
    heading = re.search(r"<h1[^>]*>(.*?)</h1>", seller_client.get(reverse(name)).text, re.DOTALL)

    assert heading
    assert words(heading[1]) == TITLES[name]


def test_menus_and_chips_call_pages_by_their_names(seller_client, business):
    make_sheet()
    set_up = links(re.split(r'class="folds', seller_client.get(reverse("set-up")).text, maxsplit=1)[1])
    worth = links(
        re.search(r'<nav class="siblings.*?</nav>', seller_client.get(reverse("worth")).text, re.S)[0]
    )

    named = {reverse(name): title for name, title in TITLES.items()}
    for shown in (set_up, worth):
        assert len(shown) > 6
        assert {href: text for href, text in shown.items() if named.get(href, text) != text} == {}

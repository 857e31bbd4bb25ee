"""The seller's guide: short pages that open, whose links lead somewhere, found by what people look for."""

import re

import pytest
from django.template.loader import render_to_string
from django.urls import reverse

from firewood_site.seller.guide import GUIDE, guide_pages_with

pytestmark = pytest.mark.django_db

MOST_PAGES, MOST_WORDS = 15, 330


def test_the_guide_is_short():
    words = [
        len(re.sub(r"<[^>]+>", " ", render_to_string(f"{page.template}#text")).split()) for page in GUIDE
    ]

    assert len(GUIDE) <= MOST_PAGES
    assert min(words) >= 60
    assert max(words) <= MOST_WORDS


@pytest.mark.parametrize("page", GUIDE, ids=lambda page: page.slug)
def test_each_page_opens_and_its_links_lead_to_pages(seller_client, business, page):
    answer = seller_client.get(reverse("guide-page", args=[page.slug]))
    text = answer.content.decode()
    links = re.findall(r'href="(/[^"#]*)"', text.split("<article")[1].split("</article>")[0])

    assert page.title.replace("'", "&#x27;") in text
    assert [link for link in links if seller_client.get(link, follow=True).status_code != 200] == []


def test_a_page_is_found_by_any_of_its_words(seller_client, business):
    assert guide_pages_with(("bridge", "zebra")) == ()
    assert guide_pages_with(("tongue", "straps"))[0].slug == "safe"
    assert "When wood is dry" in seller_client.get(reverse("guide"), {"q": "chimney"}).content.decode()
    assert "Putting things right" in seller_client.get(reverse("find"), {"q": "bounced"}).content.decode()
    assert (
        "No page has all of these words"
        in seller_client.get(reverse("guide"), {"q": "zebra"}).content.decode()
    )


def test_a_page_that_is_not_there_says_so(seller_client, business):
    assert seller_client.get(reverse("guide-page", args=["nothing"])).status_code == 404


def test_the_card_for_customers_is_one_page_in_both_languages(client, business):
    english = client.get(reverse("cord-card")).content.decode()
    spanish = client.get(reverse("cord-card"), {"lang": "es"}).content.decode()

    assert "128 cubic feet of stacked wood" in english
    assert "128 pies cúbicos de leña apilada" in spanish
    assert english.count("<svg") >= 3

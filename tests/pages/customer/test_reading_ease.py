"""How easy customer pages are to read: the Flesch-Kincaid grade, Kincaid et al. 1975, Navy report 8-75.

Grade = 0.39 words a sentence + 11.8 syllables a word - 15.59. Syllables by Pyphen's English patterns.
"""

import html
import re
from itertools import pairwise

import pyphen
import pytest
from django.urls import reverse

from orders.core.phrases import letter_sentences
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_sheet, make_town

pytestmark = pytest.mark.django_db

HIGHEST_GRADE = 7
ENDS = re.compile(r"(?<=[.!?:])\s+|\n+")
BLOCKS = re.compile(r"</(?:p|h\d|li|div|label|button|a|td|th|option|summary|legend|figcaption|dt|dd|title)>")
SYLLABLES = pyphen.Pyphen(lang="en_US")


@pytest.fixture
def shop(business):
    make_reading(make_lot(code="K1", cords="6.05", yard=make_yard(name="Siding Yard")))
    make_sheet()
    make_town("Marrow Bridge", market="near")


def sentences_of(page):
    """Whole sentences a reader meets; labels, prices and links of a word or two are not read as prose."""
    body = re.sub(r"<(script|style|svg|head)\b.*?</\1>", " ", page, flags=re.S)
    text = html.unescape(re.sub(r"<[^>]+>", " ", BLOCKS.sub("\n", body)))
    lines = (re.sub(r"[ \t]+", " ", line).strip() for line in ENDS.split(text))
    return [line for line in lines if len(words_of(line)) >= 4]


def words_of(sentence):
    return re.findall(r"[A-Za-z][A-Za-z'’-]*", sentence)


def grade(sentences):
    words = [word for sentence in sentences for word in words_of(sentence)]
    syllables = sum(len(SYLLABLES.positions(word.lower())) + 1 for word in words)
    return 0.39 * len(words) / len(sentences) + 11.8 * syllables / len(words) - 15.59


def test_the_grade_is_the_published_one():
    """Short words read easier; a sentence of words with one syllable has its exact grade."""
    plain = "The dog sat by the fire and slept."
    hard = "Considerable experimentation demonstrated environmental contamination."

    assert grade([plain]) == pytest.approx(0.39 * 8 + 11.8 - 15.59)
    assert [low < high for low, high in pairwise([grade([plain]), grade([plain, hard]), grade([hard])])] == [
        True
    ] * 2


@pytest.mark.parametrize("name", ["shop", "quote", "choosing", "worth-it", "link-again", "cord-card"])
def test_a_customers_page_reads_at_seventh_grade_or_below(client, shop, name):
    sentences = sentences_of(client.get(reverse(name)).content.decode())

    assert len(sentences) >= 3
    assert grade(sentences) <= HIGHEST_GRADE, sorted(sentences, key=lambda one: -grade([one]))[:6]


def test_letters_read_at_seventh_grade_or_below():
    sentences = [
        line for text in letter_sentences() for line in sentences_of(re.sub(r"\{\w+\}", "Ann", text))
    ]

    assert len(sentences) > 30
    assert grade(sentences) <= HIGHEST_GRADE

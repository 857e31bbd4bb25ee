"""Nothing a customer reads is left in English: the catalog is whole, and its gaps match."""

import re
from gettext import GNUTranslations
from pathlib import Path

import pytest

LOCALE = Path(__file__).resolve().parents[3] / "firewood_site" / "locale" / "es" / "LC_MESSAGES"


def catalog():
    with (LOCALE / "django.mo").open("rb") as file:
        return {
            key: value
            for key, value in GNUTranslations(file)._catalog.items()
            if isinstance(key, str) and key
        }


def test_every_sentence_has_its_spanish():
    written = re.findall(r'^msgid "(.+)"$', (LOCALE / "django.po").read_text("utf-8"), re.MULTILINE)
    spoken = catalog()

    assert [
        words for words in written if words.replace('\\"', '"') not in spoken and "%(n)" not in words
    ] == []
    assert len(spoken) > 180


@pytest.mark.parametrize(("english", "spanish"), sorted(catalog().items()))
def test_the_gaps_are_the_same_in_both(english, spanish):
    gaps = re.compile(r"%\((\w+)\)[sd]")

    assert set(gaps.findall(english)) == set(gaps.findall(spanish))

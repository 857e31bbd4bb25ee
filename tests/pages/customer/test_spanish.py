"""Nothing a customer reads is left in English: the catalog is whole, and its gaps match."""

import re
from datetime import date
from gettext import GNUTranslations
from pathlib import Path

import pytest
from django.utils import translation

from firewood_site.templatetags.firewood import day, long_day

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


def test_days_are_written_as_spanish_writes_them():
    """Small letters, and "de" before the month and the year."""
    with translation.override("es"):
        assert day(date(2026, 9, 28)) == "lun 28 sep"
        assert day(date(2027, 5, 17)) == "lun 17 may"
        assert long_day(date(2026, 9, 18)) == "viernes 18 de septiembre de 2026"
    assert day(date(2026, 9, 28)) == "Mon 28 Sep"
    assert long_day(date(2026, 9, 18)) == "Friday 18 September 2026"

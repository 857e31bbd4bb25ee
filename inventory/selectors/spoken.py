"""Days and amounts of wood in the reader's language, for sentences made outside of templates."""

from datetime import date
from fractions import Fraction
from typing import Any

from django.utils.dateformat import format as date_format
from django.utils.translation import get_language, gettext

from inventory.core.own_words import own_words
from inventory.core.sentences import ENGLISH, text_of
from inventory.core.units import format_cords
from inventory.selectors.business import business


def reader_language() -> str:
    """The language the page is read in: "en", "es"; English where none was chosen."""
    return (get_language() or ENGLISH)[:2]


def weekday(on: date) -> str:
    """ "Friday", "viernes"."""
    return in_small_letters(date_format(on, "l"))


def weekday_day(on: date) -> str:
    """ "Friday, Sep 18", "viernes 18 sep"."""
    return in_small_letters(date_format(on, gettext("l, M j")))


def short_day(on: date) -> str:
    """A day near today: "Fri, Sep 18", "vie 18 sep"."""
    return in_small_letters(date_format(on, gettext("D, M j")))


def month_day(on: date) -> str:
    """A day whose weekday says nothing: "Sep 18", "18 sep"."""
    return in_small_letters(date_format(on, gettext("M j")))


def full_date(on: date) -> str:
    """A day of any year: "Sep 18, 2026", "18 sep 2026"."""
    return in_small_letters(date_format(on, gettext("M j, Y")))


def day_ahead(on: date, today: date) -> str:
    """A day to come: with its year, unless that is this year's."""
    return month_day(on) if on.year == today.year and on >= today else full_date(on)


def in_small_letters(text: str) -> str:
    """Months and weekdays as the reader's language writes them: Spanish has no capitals there."""
    return text.lower() if reader_language() == "es" else text


def in_own_words(text: str, *, anyway: bool = False) -> str:
    """What the seller wrote, in the reader's language; "" where they wrote none in it, unless `anyway`."""
    return own_words(text, language=reader_language(), written_in=business().language, anyway=anyway)


def spoken_cords(cords: Fraction) -> str:
    """ "1/3 cord", "2.80 cuerdas"."""
    number, _, unit = format_cords(cords).rpartition(" ")
    return f"{gettext(number)} {gettext(unit)}"


def in_language(words: Any) -> str:
    """A sentence not worded yet, or a fixed name out of a list, in the reader's language."""
    if words in (None, ""):
        return ""
    return gettext(words) if isinstance(words, str) else str(text_of(words, reader_language()))


def listed(names: list[str]) -> str:
    """ "K1", "K1 and K2", "K1, K2 and K3"."""
    *most, last = names
    return gettext("{some} and {last}").format(some=", ".join(most), last=last) if most else last

"""Words for wood, days, hours and money in the languages we write: what quotes and letters share.

The wording is in phrases.toml; a language without words falls back to English.
"""

import tomllib
from collections.abc import Mapping
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any

from inventory.core.money import round_to
from inventory.core.units import convert
from orders.core.places import PlaceRule, amount_words, place_rule
from orders.core.wants import LOGS, Want

ENGLISH = "en"
NOON = 12


def language_table(language: str) -> Mapping[str, Any]:
    """All the words of a language, such as "es" or "es-us"."""
    tables = _phrases()
    return tables.get(language.split("-")[0], tables[ENGLISH])


def reason_words(key: str, *, language: str = ENGLISH, **gaps: object) -> str:
    """One phrase of a quote's reasons with its gaps filled; an unknown key is a bug and raises KeyError."""
    return str(language_table(language)["reasons"][key].format(**gaps))


def local_amount(cords: Fraction, *, rule: PlaceRule, language: str = ENGLISH) -> str:
    """An amount of stacked wood in the units of the place and the words of the language."""
    amount = amount_words(cords, rule=rule)
    for english, local in language_table(language)["units"]:
        amount = amount.replace(english, local)
    return amount


def want_words(want: Want, *, rule: PlaceRule | None = None, language: str = ENGLISH) -> str:
    """What was asked for in words: "1/2 cord seasoned fir and 5 bundles of kindling"."""
    words = rule or place_rule()
    table = language_table(language)
    said = []
    if want.cords:
        said.append(wood_words(want, rule=words, language=language))
    if want.bundles:
        said.append(bundle_words(want.bundles, language=language))
    return said[0] if len(said) == 1 else str(table["also"].format(first=said[0], second=said[1]))


def wood_words(want: Want, *, rule: PlaceRule, language: str = ENGLISH) -> str:
    """The cordwood of a want in words: "1/2 cord seasoned fir"."""
    table = language_table(language)
    amount = local_amount(want.cords, rule=rule, language=language)
    if want.wood == LOGS:
        return str(table["log_wood"].format(amount=amount))
    call = rule.dry_word(want.dryness)
    return str(
        table["wood"].format(
            amount=amount,
            dryness=table["dryness"].get(call, call),
            wood=table["woods"].get(want.wood, want.wood),
        )
    )


def bundle_words(bundles: int, *, language: str = ENGLISH) -> str:
    """Kindling in words: "5 bundles of kindling"."""
    table = language_table(language)
    return str(table["bundle"] if bundles == 1 else table["bundles"].format(count=bundles))


def day_words(on: date, *, language: str = ENGLISH) -> str:
    """A day as it is said in a message: "Tue 22 Sep"."""
    table = language_table(language)
    return str(
        table["day"].format(
            weekday=table["weekdays"][on.weekday()], number=on.day, month=table["months"][on.month - 1]
        )
    )


def clock_words(at: time, *, language: str = ENGLISH) -> str:
    """An hour as it is said: "8:30 am", or "16:05" in Spanish.

    >>> clock_words(time(13, 5)), clock_words(time(13, 5), language="es")
    ('1:05 pm', '13:05')
    """
    phrase = language_table(language)["morning_hour" if at.hour < NOON else "afternoon_hour"]
    return str(phrase.format(twelve=at.hour % NOON or NOON, hour=at.hour, minute=f"{at.minute:02d}"))


def window_words(first: time, last: time, *, language: str = ENGLISH) -> str:
    """A delivery window as it is said: "8:30 am to 10:00 am"."""
    table = language_table(language)
    hours = {"first": clock_words(first, language=language), "last": clock_words(last, language=language)}
    return str(table["window"].format(**hours))


def loose_words(ft3: Decimal, *, rule: PlaceRule, language: str = ENGLISH) -> str:
    """Loose wood in the units of the place: "15.0 loose cubic feet", "0.42 loose m³"."""
    table = language_table(language)
    if not rule.is_metric:
        return str(table["loose_ft3"].format(volume=f"{ft3:f}"))
    exact = convert(Fraction(ft3), "foot ** 3", "meter ** 3")
    return str(table["loose_m3"].format(volume=round_to(exact, Decimal("0.01"))))


def money_words(dollars: Decimal) -> str:
    """Dollars as a message says them: "$145", or "$145.50" when there are cents.

    >>> money_words(Decimal("145.00")), money_words(Decimal("1240.50"))
    ('$145', '$1,240.50')
    """
    return f"${dollars:,.0f}" if dollars == dollars.to_integral_value() else f"${dollars:,.2f}"


@cache
def _phrases() -> Mapping[str, Mapping[str, Any]]:
    return tomllib.loads(files("orders.core").joinpath("phrases.toml").read_text("utf-8"))

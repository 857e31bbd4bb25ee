"""Words sent to customers: the pasteable answer to "how much?", and letters in two languages.

The wording is in phrases.toml. Nothing here sends anything; see the site's letters for that.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal
from functools import cache
from importlib.resources import files
from string import Formatter
from typing import Any

from orders.core import OrdersError
from orders.core.places import PlaceRule, amount_words, check_words, place_rule
from orders.core.quotes import Quote
from orders.core.wants import KINDLING, LOGS, How, Want

ENGLISH = "en"
GREEN = "green"


class MissingWords(OrdersError):
    """A letter lacks something it has to say, or is of no known kind."""

    def __init__(self, *, kind: str, missing: tuple[str, ...]) -> None:
        self.kind = kind
        self.missing = missing
        lacks = f"still needs {', '.join(missing)}" if missing else "is not one we write"
        super().__init__(f"The letter {kind!r} {lacks}: it was not sent.")


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterText:
    """A letter ready to send: subject and body for e-mail, one short text for the seller's own phone."""

    kind: str
    subject: str
    body: str
    text: str


def letter(kind: str, *, language: str = ENGLISH, facts: Mapping[str, str]) -> LetterText:
    """A letter of a kind, its gaps filled; a language without words falls back to English.

    Errors
        MissingWords: an unknown kind, or facts that are absent or empty; names them all.
    """
    table = _language(language)
    if kind not in letter_kinds():
        raise MissingWords(kind=kind, missing=())
    words: dict[str, str] = table[kind]
    missing = tuple(sorted(name for name in letter_gaps(kind) if not facts.get(name)))
    if missing:
        raise MissingWords(kind=kind, missing=missing)
    return LetterText(
        kind=kind,
        subject=words["subject"].format_map(facts),
        body=words["body"].format_map(facts),
        text=words["text"].format_map(facts),
    )


def letter_kinds() -> tuple[str, ...]:
    """The kinds of letters there are."""
    return tuple(
        name for name, entry in _language(ENGLISH).items() if isinstance(entry, dict) and "body" in entry
    )


def letter_gaps(kind: str) -> frozenset[str]:
    """The facts a letter of a kind has to be given."""
    words: dict[str, str] = _language(ENGLISH)[kind]
    return frozenset(
        name for line in words.values() for _, name, _, _ in Formatter().parse(line) if name is not None
    )


def text_back(
    quote: Quote,
    *,
    seller: str,
    first_on: date | None = None,
    rule: PlaceRule | None = None,
    language: str = ENGLISH,
) -> str:
    """The answer to paste into a text message: wood, where, how laid, total, first honest day, until when.

    Errors
        ForbiddenWord: the words would sell by a measure the place does not allow.
    """
    words = rule or place_rule()
    table = _language(language)
    want = quote.want
    wood = want_words(want, rule=words, language=language)
    total = money_words(quote.total_dollars)
    laid = table["stacked" if want.is_stacked else "dropped"]
    if want.how is How.PICK_UP:
        parts = [table["fetched"].format(wood=wood, total=total)]
    elif want.place:
        parts = [table["brought"].format(wood=wood, place=want.place, laid=laid, total=total)]
    else:
        parts = [table["brought_nowhere"].format(wood=wood, laid=laid, total=total)]
    if want.dryness == GREEN and want.wood not in (KINDLING, LOGS):
        parts.append(table["green_note"])
    if first_on is not None:
        parts.append(table["first_day"].format(day=day_words(first_on, language=language)))
    if quote.deposit_dollars:
        parts.append(table["deposit"].format(deposit=money_words(quote.deposit_dollars)))
    parts.append(table["good_through"].format(day=day_words(quote.last_day, language=language)))
    parts.append(seller)
    line = " ".join(part for part in parts if part)
    check_words(wood, rule=words)
    return line


def want_words(want: Want, *, rule: PlaceRule | None = None, language: str = ENGLISH) -> str:
    """What was asked for in words: "1/2 cord seasoned fir and 5 bundles of kindling"."""
    words = rule or place_rule()
    table = _language(language)
    said = []
    if want.cords:
        amount = amount_words(want.cords, rule=words)
        for english, local in table["units"]:
            amount = amount.replace(english, local)
        if want.wood == LOGS:
            said.append(table["log_wood"].format(amount=amount))
        else:
            call = words.dry_word(want.dryness)
            said.append(
                table["wood"].format(
                    amount=amount,
                    dryness=table["dryness"].get(call, call),
                    wood=table["woods"].get(want.wood, want.wood),
                )
            )
    if want.bundles:
        said.append(table["bundle"] if want.bundles == 1 else table["bundles"].format(count=want.bundles))
    return said[0] if len(said) == 1 else str(table["also"].format(first=said[0], second=said[1]))


def day_words(on: date, *, language: str = ENGLISH) -> str:
    """A day as it is said in a message: "Tue 22 Sep"."""
    table = _language(language)
    return str(
        table["day"].format(
            weekday=table["weekdays"][on.weekday()], number=on.day, month=table["months"][on.month - 1]
        )
    )


def window_words(first: time, last: time, *, language: str = ENGLISH) -> str:
    """A delivery window as it is said: "8:30 to 10:00"."""
    table = _language(language)
    return str(table["window"].format(first=_clock(first), last=_clock(last)))


def money_words(dollars: Decimal) -> str:
    """Dollars as a message says them: "$145", or "$145.50" when there are cents.

    >>> money_words(Decimal("145.00")), money_words(Decimal("1240.50"))
    ('$145', '$1,240.50')
    """
    return f"${dollars:,.0f}" if dollars == dollars.to_integral_value() else f"${dollars:,.2f}"


def _clock(at: time) -> str:
    return f"{at.hour}:{at.minute:02d}"


def _language(language: str) -> Mapping[str, Any]:
    tables = _phrases()
    return tables.get(language.split("-")[0], tables[ENGLISH])


@cache
def _phrases() -> Mapping[str, Mapping[str, Any]]:
    return tomllib.loads(files("orders.core").joinpath("phrases.toml").read_text("utf-8"))

"""Words sent to customers: the pasteable answer to "how much?", and letters in two languages.

The wording is in phrases.toml, the words for days and money in `languages`. Nothing here sends anything.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from string import Formatter

from orders.core import OrdersError
from orders.core.languages import (
    ENGLISH,
    clock_words,
    day_words,
    language_table,
    loose_words,
    money_words,
    want_words,
    window_words,
)
from orders.core.places import PlaceRule, check_words, place_rule
from orders.core.quotes import Quote
from orders.core.wants import KINDLING, LOGS, How

__all__ = [
    "ENGLISH",
    "LetterText",
    "MissingWords",
    "clock_words",
    "day_words",
    "letter",
    "letter_gaps",
    "letter_kinds",
    "loose_words",
    "money_words",
    "text_back",
    "usual_reason",
    "want_words",
    "window_words",
]

GREEN = "green"
USUAL_REASONS = {"day_moved": "moved", "no_show": "not_there"}


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
    table = language_table(language)
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


def usual_reason(kind: str, *, language: str = ENGLISH) -> str:
    """Why a letter of a kind is written, where nobody gave a reason of their own; empty for most kinds."""
    key = USUAL_REASONS.get(kind)
    return str(language_table(language)[key]) if key else ""


def letter_kinds() -> tuple[str, ...]:
    """The kinds of letters there are."""
    return tuple(
        name for name, entry in language_table(ENGLISH).items() if isinstance(entry, dict) and "body" in entry
    )


def letter_gaps(kind: str) -> frozenset[str]:
    """The facts a letter of a kind has to be given."""
    words: dict[str, str] = language_table(ENGLISH)[kind]
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
    table = language_table(language)
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

"""Words sent to customers: the pasteable answer to "how much?", and letters.

The letters' English is in letters.toml. Nothing here sends anything.
"""

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from string import Formatter

from inventory.core.gaps import day_words
from inventory.core.local import money_words
from inventory.core.sentences import ENGLISH, say, translated
from inventory.core.woods import Wood
from orders.core import OrdersError
from orders.core.languages import (
    clock_words,
    loose_words,
    request_text,
    window_words,
)
from orders.core.order_request import How
from orders.core.places import PlaceRule, check_words, place_rule
from orders.core.quotes import Quote

__all__ = [
    "ENGLISH",
    "LetterText",
    "MissingWords",
    "clock_words",
    "day_words",
    "letter",
    "letter_gaps",
    "letter_kinds",
    "letter_sentences",
    "loose_words",
    "request_text",
    "text_back",
    "usual_reason",
    "window_words",
]

GREEN = "green"
USUAL_REASONS = {"day_moved": "our round has changed", "no_show": "nobody was there"}


class MissingWords(OrdersError):
    """A letter lacks something it has to say, or is of no known kind."""

    def __init__(self, *, kind: str, missing: tuple[str, ...]) -> None:
        self.kind = kind
        self.missing = missing
        lacks = f"still needs {', '.join(missing)}" if missing else "is not one we write"
        super().__init__("The letter {kind!r} {lacks}: it was not sent.", kind=kind, lacks=lacks)


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterText:
    """A letter ready to send: subject and body for e-mail, one short text for the seller's own phone."""

    kind: str
    subject: str
    body: str
    text: str


def letter(
    kind: str,
    *,
    language: str = ENGLISH,
    facts: Mapping[str, str],
    own: Mapping[str, str] | None = None,
) -> LetterText:
    """A letter of a kind, its gaps filled; a language without words falls back to English.

    Shapes
        own: the seller's subject, body and text in that language, in place of ours.

    Errors
        MissingWords: an unknown kind, or facts that are absent or empty; names them all.
    """
    if kind not in letter_kinds():
        raise MissingWords(kind=kind, missing=())
    words = own or letter_words(kind, language=language)
    missing = tuple(sorted(name for name in gaps_in(words.values()) if not facts.get(name)))
    if missing:
        raise MissingWords(kind=kind, missing=missing)
    return LetterText(kind=kind, **{part: sentence.format_map(facts) for part, sentence in words.items()})


def letter_words(kind: str, *, language: str = ENGLISH) -> dict[str, str]:
    """Our subject, body and text of a kind in a language, their gaps open."""
    return {part: translated(sentence, language=language) for part, sentence in _letters()[kind].items()}


def usual_reason(kind: str, *, language: str = ENGLISH) -> str:
    """Why a letter of a kind is written, where nobody gave a reason of their own; empty for most kinds."""
    reason = USUAL_REASONS.get(kind)
    return say(reason, language=language) if reason else ""


def letter_kinds() -> tuple[str, ...]:
    """The kinds of letters there are."""
    return tuple(_letters())


def letter_gaps(kind: str) -> frozenset[str]:
    """The facts a letter of a kind has to be given."""
    return gaps_in(_letters()[kind].values())


def gaps_in(sentences: Iterable[str]) -> frozenset[str]:
    """The names of the gaps of some sentences."""
    parsed = (part for sentence in sentences for part in Formatter().parse(sentence))
    return frozenset(name for _, name, _, _ in parsed if name is not None)


def letter_sentences() -> tuple[str, ...]:
    """Every English sentence of the letters, as the catalogues of other languages name them."""
    return tuple(line for letter in _letters().values() for line in letter.values())


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
    rule = rule or place_rule()
    order_request = quote.order_request
    wood = request_text(order_request, rule=rule, language=language)
    gaps = {"wood": wood, "total": money_words(quote.total_dollars), "place": order_request.place}
    gaps["laid"] = say("stacked" if order_request.stacked else "dumped", language=language)
    if order_request.how is How.PICK_UP:
        parts = [say("{wood}, pickup: {total}.", language=language, **gaps)]
    elif order_request.place:
        parts = [say("{wood}, delivered to {place}, {laid}: {total}.", language=language, **gaps)]
    else:
        parts = [say("{wood}, delivered, {laid}: {total}.", language=language, **gaps)]
    if order_request.dryness == GREEN and order_request.wood not in (Wood.KINDLING, Wood.LOGS):
        parts.append(say("Not for this winter.", language=language))
    if first_on is not None:
        first = day_words(first_on, language=language)
        parts.append(say("First day {day}.", language=language, day=first))
    if quote.deposit_dollars:
        deposit = money_words(quote.deposit_dollars)
        parts.append(say("Deposit {deposit}, the rest at the door.", language=language, deposit=deposit))
    last = day_words(quote.last_day, language=language)
    parts.append(say("Price good through {day}.", language=language, day=last))
    parts.append(seller)
    check_words(wood, rule=rule)
    return " ".join(part for part in parts if part)


@cache
def _letters() -> Mapping[str, Mapping[str, str]]:
    return tomllib.loads(files("orders.core").joinpath("letters.toml").read_text("utf-8"))

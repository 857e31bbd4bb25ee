"""A sentence as the books keep it: its English and what fills its gaps, to be worded for whoever reads it."""

from collections.abc import Callable
from dataclasses import fields
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from inventory.core.gaps import (
    Cords,
    First,
    FullDate,
    InTurn,
    Joined,
    Measured,
    Money,
    Month,
    MonthDay,
    ShortDay,
    Stopped,
)  # fmt: skip
from inventory.core.sentences import Refusal, Sentence

WORDED: dict[str, type[Any]] = {
    kind.__name__: kind
    for kind in (Cords, First, FullDate, InTurn, Joined, Measured, Money, Month, MonthDay, ShortDay, Stopped)
}
PLAIN: dict[str, Callable[[str], Any]] = {
    "date": date.fromisoformat,
    "Decimal": Decimal,
    "Fraction": Fraction,
}


def keep(thing: object) -> Any:
    """A sentence, or what fills a gap, as JSON; typed words stay as they are.

    >>> keep("no fir left"), keep(Sentence("moved order {number}", {"number": 7}))
    ('no fir left', {'say': 'moved order {number}', 'gaps': {'number': 7}})
    """
    if isinstance(thing, Refusal):
        return keep(thing.sentence) if type(thing).text_in is Refusal.text_in else str(thing)
    if isinstance(thing, Sentence):
        return {"say": thing.english, "gaps": {name: keep(gap) for name, gap in thing.gaps.items()}}
    kind = type(thing).__name__
    if kind in WORDED:
        return {kind: [keep(getattr(thing, part.name)) for part in fields(WORDED[kind])]}
    if kind in PLAIN:
        return {kind: str(thing)}
    if isinstance(thing, tuple | list):
        return [keep(part) for part in thing]
    return thing if thing is None or isinstance(thing, int | float) else str(thing)


def kept(value: Any) -> Any:
    """What was kept: a sentence to be worded, or the words somebody typed.

    >>> kept(keep(Sentence("{day}", {"day": ShortDay(date(2026, 9, 18))}))).text_in("es")
    'vie 18 sep'
    """
    if isinstance(value, list):
        return tuple(kept(part) for part in value)
    if not isinstance(value, dict):
        return value
    if "say" in value:
        return Sentence(value["say"], {name: kept(gap) for name, gap in value["gaps"].items()})
    [(kind, of)] = value.items()
    return PLAIN[kind](of) if kind in PLAIN else WORDED[kind](*(kept(part) for part in of))


def at_most(letters: int, words: str | Sentence) -> str | Sentence:
    """Typed words cut to so many letters; a sentence whole."""
    return words if isinstance(words, Sentence) else words.strip()[:letters]

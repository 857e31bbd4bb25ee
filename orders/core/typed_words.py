"""Names and notes a seller types that stand beside wood: no measure of wood in them, and no promise how dry.

A shop's texts are held against a place's words as they stand (`places.check_words`). A name is not: a yard
may be Rick's, and a drop spot lie behind a rack; only with an amount before it does such a word sell wood.
"""

import re
import tomllib
from functools import cache
from importlib.resources import files

from orders.core import OrdersError
from orders.core.places import ForbiddenWord, PlaceRule

_AN_AMOUNT = r"(?:\d[\d.,/]*|half|full|per|two|three|four|several)"


class DryClaim(OrdersError):
    """A name that says how dry wood is, whatever was read."""

    says = (
        "{word!r} says how dry the wood is: leave it out here. The page and the ticket say it, as it is "
        "read on the day."
    )


def check_name(text: str, *, rule: PlaceRule) -> None:
    """Refuse a measure the place does not allow in a name or a note; its words alone are only words.

    Errors
        ForbiddenWord

    >>> from orders.core.places import place_rule
    >>> check_name("Rick's yard, behind the wood rack", rule=place_rule())
    """
    for word in sorted(rule.forbidden_words, key=len, reverse=True):
        before = "" if " " in word else rf"{_AN_AMOUNT}\s+"
        if re.search(rf"\b{before}{re.escape(word)}s?\b", text, re.IGNORECASE):
            raise ForbiddenWord(word=word, place=rule.name, statement=rule.statement)


def check_no_dryness(text: str) -> None:
    """Refuse a lot's name that promises dry wood: a name stays when a reading says otherwise.

    Errors
        DryClaim
    """
    for word in _dry_claims():
        found = re.search(rf"\b{word.replace('-', '[- ]?')}\b", text, re.IGNORECASE)
        if found:
            raise DryClaim(word=found[0])


@cache
def _dry_claims() -> tuple[str, ...]:
    table = tomllib.loads(files("orders.core").joinpath("typed_words.toml").read_text("utf-8"))
    return tuple(table["dry_claims"]["words"])

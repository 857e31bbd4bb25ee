"""A seller's own words for a message: which gaps they may hold, and that each of them is closed."""

from collections.abc import Mapping
from string import Formatter

from orders.core import OrdersError
from orders.core.phrases import letter_gaps, letter_kinds

PARTS = ("subject", "body", "text")
LONGEST = {"subject": 150, "body": 3_000, "text": 600}
EVERYWHERE = frozenset({"name", "wood", "link", "seller", "phone", "order", "total"})  # known of every order
OF_NO_ORDER = frozenset({"wood_ready"})  # written to somebody who has ordered nothing yet


class BadText(OrdersError):
    """Words that could not be sent; `field` names the part."""


def gaps_for(kind: str) -> tuple[str, ...]:
    """The gaps a message of a kind may have: what ours has, and what is known of every order."""
    more = frozenset() if kind in OF_NO_ORDER else EVERYWHERE
    return tuple(sorted(letter_gaps(kind) | more))


def check_texts(kind: str, texts: Mapping[str, str]) -> None:
    """Refuse words with a gap nothing fills, or a brace left open.

    Errors
        BadText
    """
    if kind not in letter_kinds():
        raise BadText("There is no such message.", field="")
    known = gaps_for(kind)
    for part in PARTS:
        words = texts[part]
        if not words.strip():
            raise BadText("Write something, or go back to our words.", field=part)
        if len(words) > LONGEST[part]:
            raise BadText("Keep it within {most:,} letters.", field=part, most=LONGEST[part])
        try:
            gaps = [
                (name, form, turn)
                for _words, name, form, turn in Formatter().parse(words)
                if name is not None
            ]
        except ValueError as error:
            signs = {"opens": "{", "closes": "}", "gap": "{name}"}
            raise BadText(
                "A {opens} or {closes} stands alone: each gap is written {gap}.", field=part, **signs
            ) from error
        for name, form, turn in gaps:
            if name not in known or form or turn:
                raise BadText(
                    "Nothing fills {gap} here. You can use: {known}.",
                    field=part,
                    gap="{" + name + "}",
                    known=", ".join("{" + gap + "}" for gap in known),
                )

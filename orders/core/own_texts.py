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

    def __init__(self, *, field: str, problem: str) -> None:
        self.field = field
        super().__init__(problem)


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
        raise BadText(field="", problem="There is no such message.")
    known = gaps_for(kind)
    for part in PARTS:
        words = texts[part]
        if not words.strip():
            raise BadText(field=part, problem="Write something, or go back to our words.")
        if len(words) > LONGEST[part]:
            raise BadText(field=part, problem=f"Keep it within {LONGEST[part]:,} letters.")
        try:
            gaps = [
                (name, form, turn)
                for _words, name, form, turn in Formatter().parse(words)
                if name is not None
            ]
        except ValueError as error:
            raise BadText(field=part, problem="A { or } stands alone: each gap is written {name}.") from error
        for name, form, turn in gaps:
            if name not in known or form or turn:
                raise BadText(
                    field=part,
                    problem=f"Nothing fills {{{name}}} here. You can use: "
                    + ", ".join(f"{{{gap}}}" for gap in known) + ".",
                )  # fmt: skip

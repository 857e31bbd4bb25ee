"""What is known of a lot's life and how it lies; its days are in order, and none of them to come."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import pairwise

from inventory.core import InventoryError
from inventory.core.gaps import FullDate
from inventory.core.sentences import FramedRefusal, Sentence

DAYS = ("felled_on", "bucked_on", "split_on", "drying_from")
WORDS = {"felled_on": "felled", "bucked_on": "bucked", "split_on": "split", "drying_from": "left to dry"}
IN_ORDER = ("felled_on", "bucked_on", "split_on")


@dataclass(frozen=True, slots=True, kw_only=True)
class LotFacts:
    """Where a lot comes from, when it was worked, and how it lies.

    across_inches: width of a split, diameter of a round; None = usual for the form.
    """

    unit_id: int | None = None
    felled_on: date | None = None
    bucked_on: date | None = None
    split_on: date | None = None
    drying_from: date
    piling: str
    exposure: str
    is_covered: bool = False
    piece_inches: Decimal = Decimal(16)
    across_inches: Decimal | None = None
    note: str = ""


class BadDay(FramedRefusal, InventoryError):
    """A day of a lot's life that cannot be."""

    frame = "This day can't be right: {problem}"


def check_days(days: Mapping[str, date | None], *, on: date) -> None:
    """Refuse a life out of order, or one that has not happened yet.

    Errors
        BadDay
    """
    for name in DAYS:
        day = days.get(name)
        if day is not None and day > on:
            raise BadDay(
                "wood can't have been {step} on {day}, which is to come.",
                step=Sentence(WORDS[name]),
                day=FullDate(day),
            )
    done = [(name, day) for name in IN_ORDER if (day := days.get(name)) is not None]
    for (first, before), (second, after) in pairwise(done):
        if after < before:
            raise BadDay(
                "it was {second} on {after}, before it was {first} on {before}.",
                second=Sentence(WORDS[second]),
                after=FullDate(after),
                first=Sentence(WORDS[first]),
                before=FullDate(before),
            )

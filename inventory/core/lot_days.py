"""The days of a lot's life: in order, and none of them to come."""

from collections.abc import Mapping
from datetime import date
from itertools import pairwise

from inventory.core import InventoryError
from inventory.core.dates import full_date

DAYS = ("felled_on", "bucked_on", "split_on", "drying_from")
WORDS = {"felled_on": "felled", "bucked_on": "bucked", "split_on": "split", "drying_from": "left to dry"}
IN_ORDER = ("felled_on", "bucked_on", "split_on")


class BadDay(InventoryError):
    """A day of a lot's life that cannot be."""

    def __init__(self, problem: str) -> None:
        super().__init__(f"This day can't be right: {problem}")


def check_days(days: Mapping[str, date | None], *, on: date) -> None:
    """Refuse a life out of order, or one that has not happened yet.

    Errors
        BadDay
    """
    for name in DAYS:
        day = days.get(name)
        if day is not None and day > on:
            raise BadDay(f"wood can't have been {WORDS[name]} on {full_date(day)}, which is to come.")
    done = [(name, day) for name in IN_ORDER if (day := days.get(name)) is not None]
    for (first, before), (second, after) in pairwise(done):
        if after < before:
            raise BadDay(
                f"it was {WORDS[second]} on {full_date(after)}, before it was {WORDS[first]} on "
                f"{full_date(before)}."
            )

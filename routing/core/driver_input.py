"""Figures out of what a phone sent: read exactly, or refused with a sentence.

`input` is the event's own mapping of text. Which figure belongs to which kind of event is in
`routing.services.driver_events`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Any

from inventory.core.local import unsigned
from inventory.core.sentences import Sentence
from inventory.core.units import read_amount
from routing.core import DriverRefusal

CENT = Decimal("0.01")
MOST_DOLLARS = Decimal(100_000)  # a typing error beyond this, not a load of firewood
MOST_ON_DIAL = Decimal(10_000_000)  # what an odometer can show


class UnreadableFigure(DriverRefusal):
    """A figure in an event that cannot be read, or (`is_number`) is a number that cannot be."""

    def __init__(self, *, what: str, given: object, is_number: bool = False) -> None:
        self.what = what
        self.given = given
        self.is_number = is_number
        super().__init__(
            "{given!r} is not {what}: correct it and send it again.",
            given=str(given)[:40],
            what=Sentence(what),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenDrop:
    """The plan as the phone saw it when the driver tapped; None where an older page did not say.

    Units
        cords: planned for this drop; parts: drops the order had on the day.
    """

    version: int | None
    cords: Fraction | None
    parts: int | None


def dollars_given(input: Mapping[str, Any]) -> Decimal | None:
    """Money taken, to the cent; None when nothing was written, or nothing was taken.

    Errors
        UnreadableFigure: no number, below zero, or more than anybody pays for wood.
    """
    text = str(input.get("dollars", "")).strip()
    if not text:
        return None
    dollars = _figure(text, what="an amount of money", most=MOST_DOLLARS).quantize(CENT)
    return dollars or None


def cords_given(input: Mapping[str, Any]) -> Fraction | None:
    """What was left at the drop where it differs from the plan, in cords; typed in the unit of the place.

    Errors
        NotAnAmount (inventory): no legal measure, or nothing.
    """
    text = str(input.get("cords", "")).strip()
    return read_amount(text) if text else None


def odometer_given(input: Mapping[str, Any]) -> Decimal | None:
    """What the dial shows, in the unit of the place.

    Errors
        UnreadableFigure: no number, below zero, or more than a dial shows.
    """
    text = str(input.get("odometer", "")).strip()
    return _figure(text, what="an odometer reading", most=MOST_ON_DIAL) if text else None


def seen_drop(input: Mapping[str, Any]) -> SeenDrop:
    """What the page the driver tapped on said of the plan; what cannot be read was not said."""
    cords = str(input.get("planned_cords", ""))
    try:
        planned = Fraction(cords) if cords else None
    except (ValueError, ZeroDivisionError):
        planned = None
    return SeenDrop(
        version=count_given(input.get("version")), cords=planned, parts=count_given(input.get("parts"))
    )


def count_given(value: Any) -> int | None:
    """A whole number from 0, such as an order's; None for anything else."""
    text = str(value)
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None


def _figure(text: str, *, what: str, most: Decimal) -> Decimal:
    try:
        figure = Decimal(unsigned(text))
    except InvalidOperation as error:
        raise UnreadableFigure(what=what, given=text) from error
    if not figure.is_finite() or not 0 <= figure <= most:
        raise UnreadableFigure(what=what, given=text, is_number=True)
    return figure

"""A lot as stock and picking see it: what lies there, when it is dry, and the word it is sold under."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

SEASONED, GREEN = "seasoned", "green"


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedLot:
    """A lot in a list, and how much of it."""

    code: str
    name: str
    cords: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class DryDays:
    """The days by which 10, 50 and 90 of 100 such lots have begun a dry week; None = beyond the forecast."""

    early: date | None = None
    likely: date | None = None
    late: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StockAmounts:
    """Stacked cords on hand, what of them is promised, and what is open, in bundles too where they count."""

    on_hand: Fraction
    firm: Fraction
    soft: Fraction
    kept: Fraction
    open: Fraction  # below 0 when promised twice
    bundles: int | None  # of what is open
    bundles_on_hand: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenLot(StockAmounts):
    """A lot to pick from.

    Units
        since: split or felled on; the older goes first.
        dry_on: the first day it may be promised as seasoned (four of five such lots dry by then), today
        when its readings say so; None when no date is known.
        call: the word it may be sold by today (seasoned, part_seasoned, green).
        mix: species and percent, adding to 100.
    """

    code: str
    wood: str
    yard: str
    since: date
    dry_on: date | None
    call: str
    mix: tuple[tuple[str, Decimal], ...]

    @property
    def open_cords(self) -> Fraction:
        """What may still be promised, never below 0."""
        return max(self.open, Fraction(0))

    def is_ready(self, *, dryness: str, on: date) -> bool:
        """Whether it may go out on the day under this word."""
        if dryness == SEASONED:
            return self.dry_on is not None and self.dry_on <= on
        return self.call == dryness

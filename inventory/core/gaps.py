"""What fills the gaps of a sentence and has words of its own in each language: days, amounts, lists."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.core.local import money_words
from inventory.core.local_measures import bare_here, unit_here
from inventory.core.sentences import ENGLISH, say, text_of, text_of_all, translated
from inventory.core.units import format_cords

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
LONG_MONTHS = (
    "January {year}", "February {year}", "March {year}", "April {year}", "May {year}", "June {year}",
    "July {year}", "August {year}", "September {year}", "October {year}", "November {year}",
    "December {year}",
)  # fmt: skip


def day_words(on: date, *, language: str = ENGLISH) -> str:
    """A day as it is said in a message.

    >>> day_words(date(2026, 9, 22)), day_words(date(2026, 9, 22), language="es")
    ('Tue, Sep 22', 'mar 22 sep')
    """
    weekday = say(WEEKDAYS[on.weekday()], language=language)
    month = say(MONTHS[on.month - 1], language=language)
    return say("{weekday}, {month} {day}", language=language, weekday=weekday, month=month, day=on.day)


class Gap:
    """Anything that has words of its own in each language."""

    __slots__ = ()

    def text_in(self, language: str) -> str:
        raise NotImplementedError

    def __str__(self) -> str:
        return self.text_in(ENGLISH)


@dataclass(frozen=True, slots=True)
class ShortDay(Gap):
    """A day near today: "Fri, Sep 18"."""

    on: date

    def text_in(self, language: str) -> str:
        return day_words(self.on, language=language)


@dataclass(frozen=True, slots=True)
class FullDate(Gap):
    """A day of any year: "Sep 18, 2026"."""

    on: date

    def text_in(self, language: str) -> str:
        on, month = self.on, say(MONTHS[self.on.month - 1], language=language)
        return say("{month} {day}, {year}", language=language, month=month, day=on.day, year=on.year)


@dataclass(frozen=True, slots=True)
class MonthDay(Gap):
    """A day whose weekday says nothing: "Sep 18"."""

    on: date

    def text_in(self, language: str) -> str:
        month = say(MONTHS[self.on.month - 1], language=language)
        return say("{month} {day}", language=language, month=month, day=self.on.day)


@dataclass(frozen=True, slots=True)
class Month(Gap):
    """A month of an axis: "Sep 2026", or "Sep" where the year is told beside it."""

    on: date
    with_year: bool = True

    def text_in(self, language: str) -> str:
        month = say(MONTHS[self.on.month - 1], language=language)
        return f"{month} {self.on.year}" if self.with_year else month


@dataclass(frozen=True, slots=True)
class LongMonth(Gap):
    """A month in full: "September 2026"."""

    on: date

    def text_in(self, language: str) -> str:
        return say(LONG_MONTHS[self.on.month - 1], language=language, year=self.on.year)


def day_ahead(on: date, today: date) -> MonthDay | FullDate:
    """A day to come: with its year, unless that is this year's.

    >>> str(day_ahead(date(2026, 10, 4), date(2026, 9, 18)))
    'Oct 4'
    >>> str(day_ahead(date(2027, 2, 10), date(2026, 9, 18)))
    'Feb 10, 2027'
    """
    return MonthDay(on) if on.year == today.year and on >= today else FullDate(on)


@dataclass(frozen=True, slots=True)
class Cords(Gap):
    """Stacked wood in the unit of the place: "1/3 cord", "2.80 cords"."""

    cords: Fraction

    def text_in(self, language: str) -> str:
        number, _space, unit = format_cords(self.cords).rpartition(" ")
        return f"{translated(number, language=language)} {translated(unit, language=language)}"


@dataclass(frozen=True, slots=True)
class Money(Gap):
    """Money in the currency of the place: "$165"."""

    dollars: Decimal

    def text_in(self, language: str) -> str:
        return money_words(self.dollars)


@dataclass(frozen=True, slots=True)
class Measured(Gap):
    """A weight, length or loose heap in the unit of the place: "12,209 lb". kept: a key of MEASURES."""

    amount: Fraction | Decimal | float
    kept: str
    places: int | None = None

    def text_in(self, language: str) -> str:
        figure, unit = bare_here(self.amount, self.kept, places=self.places), unit_here(self.kept)
        return f"{figure} {translated(unit, language=language)}"


@dataclass(frozen=True, slots=True)
class Joined(Gap):
    """Some things side by side: "fir, oak", with a word, "K1 or K2"."""

    parts: tuple[object, ...]
    word: str = ""
    between: str = ", "

    def text_in(self, language: str) -> str:
        between = f" {translated(self.word, language=language)} " if self.word else self.between
        return between.join(str(text_of(part, language)) for part in self.parts)


@dataclass(frozen=True, slots=True)
class InTurn(Gap):
    """Sentences one after the other."""

    sentences: tuple[object, ...]

    def text_in(self, language: str) -> str:
        return text_of_all(self.sentences, language)


@dataclass(frozen=True, slots=True)
class Stopped(Gap):
    """A sentence that ends in one full stop, whether it brought one or not."""

    sentence: object

    def text_in(self, language: str) -> str:
        return f"{str(text_of(self.sentence, language)).rstrip('.')}."


@dataclass(frozen=True, slots=True)
class First(Gap):
    """What begins a sentence, with a capital letter in every language."""

    thing: object

    def text_in(self, language: str) -> str:
        text = str(text_of(self.thing, language))
        return f"{text[:1].upper()}{text[1:]}"


def joined(parts: Iterable[object], word: str = "") -> Joined:
    """Some things side by side, each a text or a sentence."""
    return Joined(tuple(parts), word)


def pounds(lb: float) -> Measured:
    """A weight of the books, to be read where it is."""
    return Measured(lb, "lb")

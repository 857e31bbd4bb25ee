"""How a day is written in English: the one place for sentences of the code; templates have their filters."""

from datetime import date


def short_day(on: date) -> str:
    """A day near today.

    >>> short_day(date(2026, 9, 18))
    'Fri, Sep 18'
    """
    return f"{on:%a, %b} {on.day}"


def month_day(on: date) -> str:
    """A day whose weekday says nothing.

    >>> month_day(date(2026, 9, 18))
    'Sep 18'
    """
    return f"{on:%b} {on.day}"


def full_date(on: date) -> str:
    """A day of any year.

    >>> full_date(date(2026, 9, 18))
    'Sep 18, 2026'
    """
    return f"{on:%b} {on.day}, {on.year}"

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


def day_ahead(day: date, today: date) -> str:
    """A day to come: with its year, unless that is this year's.

    >>> day_ahead(date(2026, 10, 4), date(2026, 9, 18)), day_ahead(date(2027, 2, 10), date(2026, 9, 18))
    ('Oct 4', 'Feb 10, 2027')
    """
    return month_day(day) if day.year == today.year and day >= today else full_date(day)


def full_date(on: date) -> str:
    """A day of any year.

    >>> full_date(date(2026, 9, 18))
    'Sep 18, 2026'
    """
    return f"{on:%b} {on.day}, {on.year}"

"""The season's periods on the calendar: four single weeks, then four weeks each, up to a year."""

from collections.abc import Sequence
from datetime import date, timedelta

LENGTHS = (1, 1, 1, 1, *(4,) * 12)
WEEK = timedelta(weeks=1)
LEAST_WEEKS = 8
YEAR = timedelta(days=365)
WEEKS_A_MONTH = 365 / 7 / 12
NOT_WOOD = ("kindling", "logs")  # sold by the bundle and by the log cord; not planned here


def period_starts(on: date, *, until_month: int | None = None) -> tuple[date, ...]:
    """The first day of each period; those up to the end of a month, eight weeks at least, or of a year."""
    starts = tuple(on + WEEK * sum(LENGTHS[:period]) for period in range(len(LENGTHS)))
    if until_month is None:
        return starts
    least = on + LEAST_WEEKS * WEEK
    ends = date(least.year + (least.month > until_month), until_month, 1) + timedelta(days=31)
    return tuple(start for start in starts if start < max(ends.replace(day=1), least))


def period_of(day: date, starts: Sequence[date]) -> int:
    """The period a day falls in: 0 before the first, the number of periods after the last."""
    if day >= starts[-1] + WEEK * LENGTHS[-1]:
        return len(starts)
    return max((i for i, start in enumerate(starts) if start <= day), default=0)


def quarter_of(day: date) -> int:
    """Quarter of the firewood year: 0 is October to December."""
    return (day.month - 10) % 12 // 3

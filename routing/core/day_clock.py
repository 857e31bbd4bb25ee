"""Seconds after midnight, as the planner counts, and times of day, as people read them."""

from datetime import time

LAST_SECOND = 24 * 3600 - 1


def seconds_of(at: time | None) -> int:
    """Seconds after midnight; 0 where no time is known.

    >>> seconds_of(time(7, 30))
    27000
    """
    return at.hour * 3600 + at.minute * 60 + at.second if at else 0


def time_at(seconds: int) -> time:
    """A time of the day; what lies outside the day is its first or last second.

    >>> time_at(27000), time_at(100_000)
    (datetime.time(7, 30), datetime.time(23, 59, 59))
    """
    seconds = max(0, min(seconds, LAST_SECOND))
    return time(seconds // 3600, seconds // 60 % 60, seconds % 60)

"""Seconds after midnight, as the planner counts, and times of day, as people read them."""

from dataclasses import dataclass
from datetime import date, time

LAST_SECOND = 24 * 3600 - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class RunHours:
    """One rig on one date: its hours and crew."""

    rig_id: int
    on: date
    starts_at: time = time(7)
    ends_at: time = time(18)
    driver_id: int | None = None
    helper_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HaltTimes:
    """When a halt is planned to be reached, begun and left, and the drive to it; home has only the first."""

    arrive_at: time | None
    begin_at: time | None
    leave_at: time | None
    leg_meters: int
    leg_seconds: int

    @property
    def arrive_s(self) -> int:
        return seconds_of(self.arrive_at)

    @property
    def begin_s(self) -> int:
        return seconds_of(self.begin_at or self.arrive_at)

    @property
    def leave_s(self) -> int:
        return seconds_of(self.leave_at or self.arrive_at)


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

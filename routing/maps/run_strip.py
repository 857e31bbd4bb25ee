"""A run as a line of time: drives, loads, waits, promised hours and drops, on the scale of its day.

Boxes stand in percent and text in pixels, so one drawing fits every width and no letter is stretched.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import time
from html import escape
from typing import Protocol

from routing.core.day_clock import HaltTimes, seconds_of

HOUR, MINUTE = 3600, 60
MIDDLE, TALL = 42, 28
NARROWEST_NAMED, NARROWEST_NUMBERED = 5.5, 2.6  # percent of the width a box needs for its words
SHORTEST_WAIT = 2 * MINUTE
LANE, FIRST_LANE = 16, 8  # px: promised hours that overlap stand one above the other
WHOLE_DAY = 8 * HOUR  # promised hours longer than this say nothing worth drawing
MOST_HOURS = 12  # ticks; a longer day is named every second hour


class StripHalt(Protocol):
    """What the line shows of a halt. box_share: how full the load put on there is; hours: those promised."""

    @property
    def kind(self) -> str: ...  # load, drop, home

    @property
    def mark(self) -> str: ...

    @property
    def name(self) -> str: ...

    @property
    def planned(self) -> HaltTimes: ...

    @property
    def box_share(self) -> float: ...

    @property
    def hours(self) -> tuple[time, time] | None: ...

    @property
    def is_done(self) -> bool: ...


def draw_strip(
    halts: Sequence[StripHalt],
    *,
    leaves_s: int,
    first_s: int,
    last_s: int,
    run: int,
    says: str,
    load: str = "Load %(number)s",
    counts_to_24: bool = False,
) -> str:
    """One run. first_s, last_s: the ends of the scale; run: its number that day, from 0, for its look.

    says, load: what the picture shows and what a load is called, in the reader's language.
    """
    scale = _Scale(first_s=first_s, last_s=max(last_s, first_s + HOUR))
    letter, corner = "abc"[run % 3], (14, 4, 9)[run % 3]
    parts = [_hours(scale, counts_to_24=counts_to_24)]
    lanes = _lanes(halts)
    down = max(0, LANE * (1 + max(lanes.values(), default=-1)) - FIRST_LANE)
    gone, loads, is_filling = leaves_s, 0, False
    for halt in halts:
        parts.append(_drive(scale, gone, halt.planned.arrive_s))
        if halt.kind == "load":
            loads += not is_filling  # a load filled at two yards is one load
            is_filling = True
            parts.append(_load(scale, halt, load % {"number": loads}, f"{load[:1]}{loads}"))
        elif halt.kind == "drop":
            is_filling = False
            parts.append(_drop(scale, halt, corner))
        gone = halt.planned.leave_s
    windows = "".join(_window(scale, halts[place], lane) for place, lane in lanes.items())
    return (
        f'<svg class="strip run-{letter}" height="{84 + down}" role="img" aria-label="{escape(says)}">'
        f'<g transform="translate(0 {down})">{"".join(parts)}</g>{windows}</svg>'
    )


def _lanes(halts: Sequence[StripHalt]) -> dict[int, int]:
    """The lane of each halt's promised hours, by place among the halts: the first with room."""
    ends: list[int] = []
    lanes = {}
    promised = [(window, place) for place, halt in enumerate(halts) if (window := _promised(halt))]
    for (start, end), place in sorted(promised):
        lane = next((n for n, last in enumerate(ends) if last < start), len(ends))
        ends[lane : lane + 1] = [end]
        lanes[place] = lane
    return lanes


def _promised(halt: StripHalt) -> tuple[int, int] | None:
    """Seconds of the hours promised; None where they say nothing."""
    if halt.hours is None:
        return None
    start, end = (seconds_of(at) for at in halt.hours)
    return (start, end) if end - start <= WHOLE_DAY else None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scale:
    first_s: int
    last_s: int

    def at(self, seconds: int) -> float:
        share = (seconds - self.first_s) / (self.last_s - self.first_s) * 100
        return max(0.0, min(100.0, share))

    def between(self, start: int, end: int) -> tuple[float, float]:
        left = self.at(start)
        return left, max(0.0, self.at(end) - left)


def _hours(scale: _Scale, *, counts_to_24: bool) -> str:
    first, last = -(-scale.first_s // HOUR), scale.last_s // HOUR
    every = 1 if last - first <= MOST_HOURS else 2
    drawn = []
    for hour in range(first, last + 1, every):
        x = scale.at(hour * HOUR)
        words = f"{hour % 24}:00" if counts_to_24 else f"{hour % 12 or 12} {'am' if hour % 24 < 12 else 'pm'}"
        anchor = "start" if x < 3 else "end" if x > 97 else "middle"
        drawn.append(
            f'<line class="hour" x1="{x:.2f}%" x2="{x:.2f}%" y1="0" y2="62"/>'
            f'<text class="soft" x="{x:.2f}%" y="80" text-anchor="{anchor}">{words}</text>'
        )
    return "".join(drawn)


def _drive(scale: _Scale, start: int, end: int) -> str:
    left, wide = scale.between(start, end)
    line = f'x1="{left:.2f}%" x2="{left + wide:.2f}%" y1="{MIDDLE}" y2="{MIDDLE}"'
    return f'<line class="drive" {line}/>' if wide > 0 else ""


def _load(scale: _Scale, halt: StripHalt, name: str, short_name: str) -> str:
    left, wide = scale.between(halt.planned.arrive_s, halt.planned.leave_s)
    full = min(1.0, halt.box_share) * TALL
    top = MIDDLE - TALL / 2
    said = name if wide >= NARROWEST_NAMED else short_name
    return (
        f'<rect class="bed" x="{left:.2f}%" width="{wide:.2f}%" y="{top:g}" height="{TALL}" rx="3"/>'
        f'<rect class="aboard" x="{left:.2f}%" width="{wide:.2f}%" y="{top + TALL - full:.1f}" '
        f'height="{full:.1f}" rx="3"/>'
        f'<text x="{left + wide / 2:.2f}%" y="20" text-anchor="middle">{said}</text>'
    )


def _drop(scale: _Scale, halt: StripHalt, corner: int) -> str:
    drawn = []
    if halt.planned.begin_s - halt.planned.arrive_s >= SHORTEST_WAIT:
        left, wide = scale.between(halt.planned.arrive_s, halt.planned.begin_s)
        drawn.append(f'<rect class="wait" x="{left:.2f}%" width="{wide:.2f}%" y="{MIDDLE - 8}" height="16"/>')
    left, wide = scale.between(halt.planned.begin_s, halt.planned.leave_s)
    wide = max(wide, NARROWEST_NUMBERED)
    top = MIDDLE - TALL // 2
    state = " done" if halt.is_done else ""
    drawn.append(
        f'<g class="stop{state}"><title>{escape(halt.name)}</title>'
        f'<rect x="{left:.2f}%" width="{wide:.2f}%" y="{top}" height="{TALL}" rx="{corner}"/>'
        f'<text class="on" x="{left + wide / 2:.2f}%" y="{MIDDLE + 5}">{escape(halt.mark)}</text></g>'
    )
    return "".join(drawn)


def _window(scale: _Scale, halt: StripHalt, lane: int) -> str:
    window = _promised(halt) or (0, 0)
    left, wide = scale.between(*window)
    ends, middle = (left, left + wide), LANE * lane + FIRST_LANE
    shown = [
        f'<line class="window" x1="{x:.2f}%" x2="{x:.2f}%" y1="{middle - 5}" y2="{middle + 5}"/>'
        for x, seconds in zip(ends, window, strict=True)
        if scale.first_s <= seconds <= scale.last_s  # an end beyond the scale stays open
    ]
    return (
        f'<line class="window" x1="{ends[0]:.2f}%" x2="{ends[1]:.2f}%" y1="{middle}" y2="{middle}"/>'
        f"{''.join(shown)}"
        f'<text class="of" x="{left + wide / 2:.2f}%" y="{middle + 5}">{escape(halt.mark)}</text>'
    )

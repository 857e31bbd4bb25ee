"""The drying curve and the readiness calendar, drawn as SVG text with classes and no inline style.

Drawn for a phone: at 390 px wide the words are still 12 px high. Sizes are the drawing's own units.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from html import escape

from inventory.core.dry_call import in_a_hundred
from inventory.core.drying import FaceReading, Forecast
from inventory.core.moisture import READY_DRY_PCT

WIDTH, HEIGHT = 400, 260
LEFT, RIGHT, TOP, BOTTOM = 30, 10, 14, 28
ROW = 46
POINTS = 120  # of a curve, more cannot be seen
AFTER = timedelta(45)  # shown past the last thing of interest
NEAR_LEFT = 36  # room for the word today between the scale and its line; the rain is on the other side
NEAR_EDGE = 80  # words this close to the right edge go to the left of their line
DAYS_PER_MONTH = 30.44
WORDS_WIDE = 165  # of what is written at the limit


@dataclass(frozen=True, slots=True, kw_only=True)
class LotBar:
    """One lot of the calendar: when it may be ready."""

    code: str
    words: str
    early: date | None
    likely: date | None
    late: date | None
    is_ready: bool
    href: str = ""


@dataclass(frozen=True, slots=True)
class _Axis:
    first: date
    last: date
    top: float

    def x(self, on: date) -> float:
        span = max((self.last - self.first).days, 1)
        share = (min(max(on, self.first), self.last) - self.first).days / span
        return round(LEFT + share * (WIDTH - LEFT - RIGHT), 1)

    def y(self, pct: float) -> float:
        share = min(max(pct, 0.0), self.top) / self.top
        return round(HEIGHT - BOTTOM - share * (HEIGHT - TOP - BOTTOM), 1)


def drying_chart(
    known: Forecast, *, readings: Sequence[FaceReading], on: date, first_rain: date, title: str
) -> str:
    """The median line, its 80 percent band, the readings, the limit, today and the first rain."""
    ends = [known.late or known.days[-1], on, first_rain, *(reading.on for reading in readings)]
    last = max(min(max(ends) + AFTER, known.days[-1]), known.days[0] + AFTER)
    shown = [place for place, day in enumerate(known.days) if day <= last]
    shown = shown[:: max(len(shown) // POINTS, 1)]
    highest = max([*(known.high[place] for place in shown), *(r.worst_pct for r in readings), 40.0])
    axis = _Axis(known.days[0], known.days[shown[-1]], (int(highest / 10) + 1) * 10.0)
    upper = " ".join(f"{axis.x(known.days[p])},{axis.y(known.high[p])}" for p in shown)
    lower = " ".join(f"{axis.x(known.days[p])},{axis.y(known.low[p])}" for p in reversed(shown))
    line = " ".join(f"{axis.x(known.days[p])},{axis.y(known.median[p])}" for p in shown)
    limit = axis.y(known.limit_pct)
    parts = [
        _opening(title, _told(known, readings, on, first_rain), HEIGHT),
        _grid(axis),
        f'<polygon class="band" points="{upper} {lower}"/>',
        f'<polyline class="line" points="{line}"/>',
        f'<path class="limit" d="M{LEFT} {limit}H{WIDTH - RIGHT}"/>',
        _limit_words(axis, known.limit_pct, (on, first_rain)),
    ]
    # one word on top, one at the foot: they never meet, however near the days are
    for day, words, name, height in (
        (first_rain, "first rain", "rain", TOP + 10),
        (on, "today", "today", HEIGHT - BOTTOM - 6),
    ):
        if axis.first <= day <= axis.last:
            parts.append(_upright(axis, day, words, name, height))
    for reading in readings:
        if axis.first <= reading.on <= axis.last:
            x, y, worst = axis.x(reading.on), axis.y(reading.mean_pct), axis.y(reading.worst_pct)
            parts.append(f'<path class="whisker" d="M{x} {y}V{worst}"/>')
            parts.append(f'<circle class="dot" cx="{x}" cy="{y}" r="4"/>')
    return "".join(parts) + "</svg>"


def readiness_chart(bars: Sequence[LotBar], *, on: date, first_rain: date, months: int = 14) -> str:
    """All lots on one calendar: a bar from early to late, a mark at likely, the first rain as a line."""
    height = TOP + ROW * max(len(bars), 1) + BOTTOM
    axis = _Axis(on, on + timedelta(round(months * DAYS_PER_MONTH)), 100)
    told = "; ".join(f"{bar.code}: {bar.words}" for bar in bars) or "no lots yet"
    has_links = any(bar.href for bar in bars)
    parts = [_opening("When each lot will be dry", told, height, has_links=has_links)]
    month = _next_month(on)
    while month < axis.last:
        x = axis.x(month)
        parts.append(f'<path class="grid" d="M{x} {TOP}V{height - BOTTOM}"/>')
        if month.month % 3 == 1:
            words = f"{month:%b}" if month.month > 1 else f"{month:%b %y}"
            parts.append(_words(x, height - 10, words, kind="soft", anchor="middle"))
        month = _next_month(month)
    x = axis.x(first_rain)
    parts.append(f'<path class="rain" d="M{x} {TOP}V{height - BOTTOM}"/>')
    for place, bar in enumerate(bars):
        parts.append(_bar(bar, axis, TOP + place * ROW))
    parts.append(_words(x + 4, height - BOTTOM - 2, "first rain"))
    return "".join(parts) + "</svg>"


def _bar(bar: LotBar, axis: _Axis, top: float) -> str:
    name, words = _plain(bar.code), _plain(bar.words)
    label = f'<text x="4" y="{top + 12}"><tspan class="strong">{name}</tspan> {words}</text>'
    if bar.href:
        label = f'<a href="{_plain(bar.href)}">{label}</a>'
    if bar.is_ready:
        return label + f'<rect class="col near" x="{LEFT}" y="{top + 18}" width="14" height="14" rx="3"/>'
    early = axis.x(bar.early or axis.last)
    late = axis.x(bar.late or axis.last)
    wide = f"{max(late - early, 3):.1f}"
    drawn = f'<rect class="band" x="{early}" y="{top + 18}" width="{wide}" height="14" rx="3"/>'
    if bar.likely and bar.likely <= axis.last:
        drawn += f'<path class="line" d="M{axis.x(bar.likely)} {top + 15}V{top + 35}"/>'
    return label + drawn


def _grid(axis: _Axis) -> str:
    parts = []
    step = 20 if axis.top > 60 else 10
    for pct in range(0, int(axis.top) + 1, step):
        y = axis.y(pct)
        parts.append(f'<path class="grid" d="M{LEFT} {y}H{WIDTH - RIGHT}"/>')
        parts.append(_words(LEFT - 5, y + 4, str(pct), kind="soft", anchor="end"))
    months = (axis.last.year - axis.first.year) * 12 + axis.last.month - axis.first.month
    every = max(1, -(-months // 6))  # about six names fit
    month = _next_month(axis.first)
    count = 0
    while month < axis.last:
        x = axis.x(month)
        parts.append(f'<path class="grid" d="M{x} {HEIGHT - BOTTOM}v4"/>')
        if count % every == 0 and x < WIDTH - RIGHT - 12:
            is_new_year = count == 0 or month.month <= every
            words = f"{month:%b %y}" if is_new_year else f"{month:%b}"
            parts.append(_words(x, HEIGHT - 9, words, kind="soft", anchor="middle"))
        count += 1
        month = _next_month(month)
    return "".join(parts)


def _limit_words(axis: _Axis, limit_pct: float, lines: Sequence[date]) -> str:
    """What the limit means, under its line: at the left, or past the uprights that would cross it there."""
    mean = "" if limit_pct == READY_DRY_PCT else "mean "  # lower where the worst face lags
    words = f"dry: {mean}{limit_pct:g} % on the pin"
    y = axis.y(limit_pct)
    x: float = LEFT
    for upright in sorted(axis.x(day) for day in lines if axis.first <= day <= axis.last):
        if upright < x + WORDS_WIDE:
            x = upright
    return _words(min(x + 4, WIDTH - RIGHT - WORDS_WIDE), y + 13, words)


def _upright(axis: _Axis, day: date, words: str, name: str, height: float) -> str:
    x = axis.x(day)
    goes_left = x > WIDTH - NEAR_EDGE or (name == "today" and x > LEFT + NEAR_LEFT)
    anchor, shift = ("end", -4) if goes_left else ("start", 4)
    line = f'<path class="{name}" d="M{x} {TOP}V{HEIGHT - BOTTOM}"/>'
    return line + _words(x + shift, height, words, anchor=anchor)


def _words(x: float, y: float, words: str, *, kind: str = "", anchor: str = "") -> str:
    named = f' class="{kind}"' if kind else ""
    held = f' text-anchor="{anchor}"' if anchor else ""
    return f'<text{named} x="{x:g}" y="{y:g}"{held}>{_plain(words)}</text>'


def _plain(text: str) -> str:
    """Text fit to stand in SVG: its signs escaped, and the control characters left out that XML forbids."""
    kept = (" " if sign.isspace() else sign for sign in text if sign.isspace() or sign.isprintable())
    return escape("".join(kept))


def _next_month(day: date) -> date:
    return date(day.year + day.month // 12, day.month % 12 + 1, 1)


def _opening(title: str, told: str, height: float, *, has_links: bool = False) -> str:
    """Named for those who hear it. A drawing with links in it is a group: a picture would hide them."""
    name, words = _plain(title), _plain(told)
    role = "group" if has_links else "img"
    return (
        f'<svg class="chart narrow" viewBox="0 0 {WIDTH} {height:g}" role="{role}" '
        f'aria-label="{name}. {words}"><title>{name}</title><desc>{words}</desc>'
    )


def _told(known: Forecast, readings: Sequence[FaceReading], on: date, first_rain: date) -> str:
    """The chart in sentences."""
    low, high = known.band_on(on)
    told = [
        f"On {on.day} {on:%B} {known.median_on(on):.0f} % on the pin, likely between {low:.0f} and {high:.0f}"
    ]
    if known.likely is None:
        told.append(f"not at {known.limit_pct:g} % within three years")
    elif known.late is None:
        told.append(f"likely dry on {known.likely.day} {known.likely:%B %Y}")
    else:
        early = known.early or known.likely
        told.append(
            f"likely dry on {known.likely.day} {known.likely:%B %Y}, "
            f"at the earliest {early:%B %Y}, at the latest {known.late:%B %Y}"
        )
    chance = in_a_hundred(round(known.chance_dry_by(first_rain) * 100))
    told.append(f"{chance} of being dry before the first rain, {first_rain:%B %Y}")
    if readings:
        newest = max(readings, key=lambda reading: reading.on)
        told.append(
            f"last read {newest.on.day} {newest.on:%B}: mean {newest.mean_pct:.0f} %, "
            f"worst {newest.worst_pct:.0f} %"
        )
    return "; ".join(told) + "."

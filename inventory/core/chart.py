"""The drying curve and the readiness calendar, drawn as SVG text with classes and no inline style."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from html import escape

from inventory.core.drying import FaceReading, Forecast

WIDTH, HEIGHT = 640, 300
LEFT, RIGHT, TOP, BOTTOM = 44, 12, 14, 34
ROW = 46


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
    last = min(max(ends) + timedelta(45), known.days[-1])
    shown = [place for place, day in enumerate(known.days) if day <= last]
    shown = shown[:: max(len(shown) // 120, 1)]
    highest = max([*(known.high[place] for place in shown), *(r.worst_pct for r in readings), 40.0])
    axis = _Axis(known.days[0], known.days[shown[-1]], (int(highest / 10) + 1) * 10.0)
    upper = " ".join(f"{axis.x(known.days[p])},{axis.y(known.high[p])}" for p in shown)
    lower = " ".join(f"{axis.x(known.days[p])},{axis.y(known.low[p])}" for p in reversed(shown))
    line = " ".join(f"{axis.x(known.days[p])},{axis.y(known.median[p])}" for p in shown)
    parts = [_opening(title, _told(known, on), HEIGHT)]
    parts += [_grid(axis)]
    parts.append(f'<polygon class="band" points="{upper} {lower}"/>')
    parts.append(f'<polyline class="line" points="{line}"/>')
    limit = axis.y(known.limit_pct)
    parts.append(f'<path class="limit" d="M{LEFT} {limit}H{WIDTH - RIGHT}"/>')
    parts.append(f'<text x="{WIDTH - RIGHT}" y="{limit - 5}" text-anchor="end">dry: 25 % on the pin</text>')
    for day, words, name in ((first_rain, "first rain", "rain"), (on, "today", "today")):
        if axis.first <= day <= axis.last:
            x = axis.x(day)
            parts.append(f'<path class="{name}" d="M{x} {TOP}V{HEIGHT - BOTTOM}"/>')
            near_end = x > WIDTH - 90
            anchor, shift = ("end", -4) if near_end else ("start", 4)
            height = TOP + (24 if name == "today" else 10)
            parts.append(f'<text x="{x + shift}" y="{height}" text-anchor="{anchor}">{words}</text>')
    for reading in readings:
        if axis.first <= reading.on <= axis.last:
            x, y, worst = axis.x(reading.on), axis.y(reading.mean_pct), axis.y(reading.worst_pct)
            parts.append(f'<path class="whisker" d="M{x} {y}V{worst}"/>')
            parts.append(f'<circle class="dot" cx="{x}" cy="{y}" r="5"/>')
    return "".join(parts) + "</svg>"


def readiness_chart(bars: Sequence[LotBar], *, on: date, first_rain: date, months: int = 14) -> str:
    """All lots on one calendar: a bar from early to late, a mark at likely, the first rain as a line."""
    height = TOP + ROW * max(len(bars), 1) + BOTTOM
    axis = _Axis(on, on + timedelta(round(months * 30.44)), 100)
    told = "; ".join(f"{bar.code}: {bar.words}" for bar in bars) or "no lots yet"
    parts = [_opening("When each lot will be dry", told, height)]
    month = date(on.year + on.month // 12, on.month % 12 + 1, 1)
    while month < axis.last:
        x = axis.x(month)
        parts.append(f'<path class="grid" d="M{x} {TOP}V{height - BOTTOM}"/>')
        if month.month % 2 == 1:
            words = f"{month:%b}" if month.month > 1 else f"{month:%b %y}"
            parts.append(f'<text class="soft" x="{x}" y="{height - 12}">{words}</text>')
        month = date(month.year + month.month // 12, month.month % 12 + 1, 1)
    for place, bar in enumerate(bars):
        parts.append(_bar(bar, axis, TOP + place * ROW))
    x = axis.x(first_rain)
    parts.append(f'<path class="rain" d="M{x} {TOP}V{height - BOTTOM}"/>')
    parts.append(f'<text x="{x + 4}" y="{height - BOTTOM + 2}">first rain</text>')
    return "".join(parts) + "</svg>"


def _bar(bar: LotBar, axis: _Axis, top: float) -> str:
    name, words = escape(bar.code), escape(bar.words)
    label = f'<text x="{LEFT}" y="{top + 12}"><tspan class="strong">{name}</tspan> {words}</text>'
    if bar.href:
        label = f'<a href="{escape(bar.href)}">{label}</a>'
    if bar.is_ready:
        mark = f'<rect class="col near" x="{LEFT}" y="{top + 18}" width="14" height="14" rx="3"/>'
        return label + mark
    early = axis.x(bar.early or axis.last)
    late = axis.x(bar.late or axis.last)
    wide = f"{max(late - early, 3):.1f}"
    drawn = f'<rect class="band" x="{early}" y="{top + 18}" width="{wide}" height="14" rx="3"/>'
    if bar.likely and bar.likely <= axis.last:
        x = axis.x(bar.likely)
        drawn += f'<path class="line" d="M{x} {top + 15}V{top + 35}"/>'
    return label + drawn


def _grid(axis: _Axis) -> str:
    parts = []
    step = 20 if axis.top > 60 else 10
    for pct in range(0, int(axis.top) + 1, step):
        y = axis.y(pct)
        parts.append(f'<path class="grid" d="M{LEFT} {y}H{WIDTH - RIGHT}"/>')
        parts.append(f'<text class="soft" x="{LEFT - 6}" y="{y + 4}" text-anchor="end">{pct}</text>')
    months = (axis.last.year - axis.first.year) * 12 + axis.last.month - axis.first.month
    every = 1 if months <= 8 else 2 if months <= 16 else 4
    month = date(axis.first.year + axis.first.month // 12, axis.first.month % 12 + 1, 1)
    count = 0
    while month < axis.last:
        if count % every == 0:
            x = axis.x(month)
            words = f"{month:%b %y}" if month.month == 1 or count == 0 else f"{month:%b}"
            parts.append(f'<text class="soft" x="{x}" y="{HEIGHT - 12}" text-anchor="middle">{words}</text>')
        count += 1
        month = date(month.year + month.month // 12, month.month % 12 + 1, 1)
    return "".join(parts)


def _opening(title: str, told: str, height: float) -> str:
    name, words = escape(title), escape(told)
    return (
        f'<svg class="chart" viewBox="0 0 {WIDTH} {height:g}" role="img" aria-label="{name}. {words}">'
        f"<title>{name}</title><desc>{words}</desc>"
    )


def _told(known: Forecast, on: date) -> str:
    low, high = known.band_on(on)
    ready = (
        f"likely dry on {known.likely.day} {known.likely:%B %Y}" if known.likely else "not dry in three years"
    )
    return f"On this day {known.median_on(on):.0f} % on the pin, between {low:.0f} and {high:.0f}; {ready}."

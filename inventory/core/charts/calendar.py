"""Bars on a calendar: a row a lot from early to late, the likely day marked, the first rain dashed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial

from inventory.core.charts.figure import Chart, Table
from inventory.core.charts.marks import labels_in_row, plain, plot, rect, upright
from inventory.core.gaps import FullDate, Month
from inventory.core.lots import DryDays
from inventory.core.sentences import ENGLISH
from inventory.core.sentences import say as worded

ROW_PX, BAR_PX, AXIS_PX = 20, 14, 26
DAYS_PER_MONTH = 30.44
MOST_NAMES = 5  # months named along an axis
READY_WIDE = 4.0  # percent; a lot that is ready is a short full bar at today


@dataclass(frozen=True, slots=True, kw_only=True)
class LotBar(DryDays):
    """One lot of the calendar: when it may be ready."""

    code: str
    text: str
    is_ready: bool
    href: str = ""


def readiness_chart(
    bars: Sequence[LotBar], *, on: date, first_rain: date, months: int = 14, language: str = ENGLISH
) -> Chart | None:
    """All lots on one calendar from today on; None when there is no lot. The bars' texts come worded."""
    if not bars:
        return None
    last = on + timedelta(round(months * DAYS_PER_MONTH))

    def across(day: date | None) -> float:
        return (min(max(day or last, on), last) - on).days / (last - on).days * 100

    ticks = month_ticks(on, last)
    rows = []
    for bar in bars:
        marks = [upright("grid", across=across(month), top=0, foot=ROW_PX) for month in ticks]
        if bar.is_ready:
            marks.append(rect("near", across=0, wide=READY_WIDE, down=3, high=BAR_PX))
        else:
            early, late = across(bar.early), across(bar.late)
            marks.append(rect("band", across=early, wide=late - early, down=3, high=BAR_PX))
            if bar.likely and bar.likely <= last:
                marks.append(upright("whisk", across=across(bar.likely), top=1, foot=ROW_PX - 1))
        marks.append(upright("rain", across=across(first_rain), top=0, foot=ROW_PX))
        name = f'<span class="name">{plain(bar.code)}</span>'
        if bar.href:
            name = f'<a class="name" href="{plain(bar.href)}">{plain(bar.code)}</a>'
        drawing = plot(height=ROW_PX, parts="".join(marks))
        rows.append(f'<li>{name} <span class="num">{plain(bar.text)}</span>{drawing}</li>')
    axis = labels_in_row([(across(month), name) for month, name in named(ticks, language)], down=16)
    say = partial(worded, language=language)
    ready = sum(bar.is_ready for bar in bars)
    legend = (
        say("Band: early to late, 8 of 10 lots like this."),
        say("Upright: likely."),
        say("Dotted: first rain, {day}.", day=FullDate(first_rain).text_in(language)),
    )
    return Chart(
        key="readiness",
        title=say("When each lot will be dry"),
        finding=say("{ready} of {all} dry now.", ready=ready, all=len(bars)),
        drawing=f'<ul class="bars">{"".join(rows)}</ul>{plot(height=AXIS_PX, parts=axis)}',
        legend=" ".join(legend),
        table=Table(
            head=(say("Lot"), "", say("Earliest"), say("Likely"), say("Latest")),
            rows=tuple(
                (
                    bar.code,
                    bar.text,
                    *(
                        FullDate(day).text_in(language) if day and not bar.is_ready else ""
                        for day in (bar.early, bar.likely, bar.late)
                    ),
                )
                for bar in bars
            ),
        ),
        language=language,
    )


def month_ticks(first: date, last: date) -> tuple[date, ...]:
    """First days of the months between two days."""
    ticks = []
    month = _next_month(first)
    while month < last:
        ticks.append(month)
        month = _next_month(month)
    return tuple(ticks)


def named(ticks: Sequence[date], language: str = ENGLISH) -> tuple[tuple[date, str], ...]:
    """Months with their short names, the year on the first and where it turns; of many, each so many-th.

    >>> [name for _, name in named(month_ticks(date(2026, 9, 18), date(2027, 11, 17)))]
    ['Oct 2026', 'Jan 2027', 'Apr', 'Jul', 'Oct']
    """
    apart = next(step for step in (1, 2, 3, 6, 12) if len(ticks) <= MOST_NAMES * step or step == 12)
    kept = [month for month in ticks if (month.month - 1) % apart == 0]
    return tuple(
        (month, Month(month, with_year=n == 0 or month.month == 1).text_in(language))
        for n, month in enumerate(kept)
    )


def _next_month(day: date) -> date:
    return date(day.year + day.month // 12, day.month % 12 + 1, 1)

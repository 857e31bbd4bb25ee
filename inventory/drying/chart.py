"""The drying curve: a lot's forecast band and line, its readings, the limit, today and the first rain."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial

from inventory.core.charts.calendar import month_ticks, named
from inventory.core.charts.figure import Chart, Table
from inventory.core.charts.marks import (
    dot,
    label_at,
    labels_in_row,
    level,
    percent,
    plot,
    short,
    stretched,
    tick_words,
    upright,
)
from inventory.core.gaps import FullDate, Joined, LongMonth, MonthDay
from inventory.core.moisture import READY_DRY_PCT
from inventory.core.sentences import ENGLISH, Sentence, text_of, text_of_all
from inventory.core.sentences import say as worded
from inventory.drying.forecast import Forecast
from inventory.drying.history import FaceReading

HEAD_PX, PLOT_PX, FOOT_PX = 18, 200, 26
LINE_POINTS = 120  # more cannot be seen
TABLE_ROWS = 24
AFTER = timedelta(45)  # shown past the last thing of interest
LEAST_TOP_PCT = 40.0
PAST_MIDDLE = 50.0  # percent across; words start on the side where there is room


@dataclass(frozen=True, slots=True)
class _Axes:
    first: date
    last: date
    top: float

    def across(self, on: date) -> float:
        span = max((self.last - self.first).days, 1)
        return (min(max(on, self.first), self.last) - self.first).days / span * 100

    def down(self, pct: float) -> float:
        """Pixels from the drawing's top."""
        return HEAD_PX + self.share(pct) / 100 * PLOT_PX

    def share(self, pct: float) -> float:
        """Percent down the plot, for the inner drawing."""
        return (1 - min(max(pct, 0.0), self.top) / self.top) * 100


def drying_chart(
    known: Forecast,
    *,
    readings: Sequence[FaceReading],
    on: date,
    first_rain: date,
    title: str | Sentence,
    language: str = ENGLISH,
) -> Chart:
    """The likely line, its 80 percent band, the readings, the limit, today and the first rain."""
    ends = [known.late or known.days[-1], on, first_rain, *(reading.on for reading in readings)]
    last = max(min(max(ends) + AFTER, known.days[-1]), known.days[0] + AFTER)
    shown = [place for place, day in enumerate(known.days) if day <= last]
    shown = shown[:: max(len(shown) // LINE_POINTS, 1)]
    highest = max(
        [*(known.high[n] for n in shown), *(reading.worst_pct for reading in readings), LEAST_TOP_PCT]
    )
    axes = _Axes(known.days[0], known.days[shown[-1]], (int(highest / 10) + 1) * 10.0)
    say = partial(worded, language=language)
    parts = [
        _grid(axes, language),
        stretched(_lines(known, shown, axes), down=HEAD_PX, high=PLOT_PX),
        level("limit", down=axes.down(known.limit_pct)),
        _upright(axes, first_rain, "rain", say("first rain"), down=12),
        _upright(axes, on, "mark", say("today"), down=HEAD_PX + PLOT_PX - 6),
        _crossing(known, axes, language),
    ]
    for reading in readings:
        if axes.first <= reading.on <= axes.last:
            across = axes.across(reading.on)
            parts.append(
                upright(
                    "whisk", across=across, top=axes.down(reading.worst_pct), foot=axes.down(reading.mean_pct)
                )
            )
            parts.append(dot("dot", across=across, down=axes.down(reading.mean_pct)))
    label = _description(known, readings, on).text_in(language)
    drawing = plot(height=HEAD_PX + PLOT_PX + FOOT_PX, parts="".join(parts), label=label)
    return Chart(
        key="drying",
        title=say("{title}, moisture in % of dry weight", title=text_of(title, language)),
        finding=_finding(known, on, first_rain).text_in(language),
        drawing=f'<div class="plotbox">{drawing}</div>',
        legend=text_of_all(_legend(known), language),
        table=_table(known, shown, language),
        language=language,
    )


def _legend(known: Forecast) -> tuple[Sentence, ...]:
    gaps = {"pin": f"{READY_DRY_PCT:g}", "limit": f"{known.limit_pct:g}"}
    return (
        Sentence("Line: likely."),
        Sentence("Band: 8 of 10 lots like this."),
        Sentence("Dots: mean of a reading, up to its worst face."),
        Sentence(
            "Dashed: dry, the worst face at {pin}% on the pin."
            if known.limit_pct == READY_DRY_PCT
            else "Dashed: dry, the worst face at {pin}% on the pin, at a mean of {limit}%.",
            gaps,
        ),
    )


def _lines(known: Forecast, shown: Sequence[int], axes: _Axes) -> str:
    def points(values: Sequence[float], places: Sequence[int]) -> str:
        return " ".join(f"{short(axes.across(known.days[n]))},{short(axes.share(values[n]))}" for n in places)

    band = f"{points(known.high, shown)} {points(known.low, shown[::-1])}"
    line = points(known.median, shown)
    return f'<polygon class="band" points="{band}"/><polyline class="line" points="{line}"/>'


def _grid(axes: _Axes, language: str) -> str:
    parts = []
    step = 10 if axes.top <= 40 else 20 if axes.top <= 80 else 25 if axes.top <= 100 else 50
    for pct in range(0, int(axes.top) + 1, step):
        parts.append(level("grid" if pct else "axis", down=axes.down(pct)))
        parts.append(tick_words(percent(pct, language=language), down=axes.down(pct)))
    months = named(month_ticks(axes.first, axes.last), language)
    places = [(axes.across(month), name) for month, name in months]
    foot = HEAD_PX + PLOT_PX
    parts += [upright("grid", across=across, top=foot, foot=foot + 4) for across, _ in places]
    return "".join([*parts, labels_in_row(places, down=foot + 22)])


def _upright(axes: _Axes, day: date, look: str, text: str, *, down: float) -> str:
    """A day as a line; one word stands on top and one at the foot, so they never meet."""
    if not axes.first <= day <= axes.last:
        return ""
    across = axes.across(day)
    return upright(look, across=across, top=HEAD_PX, foot=HEAD_PX + PLOT_PX) + _beside(text, across, down)


def _crossing(known: Forecast, axes: _Axes, language: str) -> str:
    """The answer's date, where the likely line meets the limit."""
    if known.likely is None or not axes.first < known.likely <= axes.last:
        return ""
    across, down = axes.across(known.likely), axes.down(known.limit_pct)
    clear = 20 if across > PAST_MIDDLE else -8  # where the falling line and its readings are not
    return dot("act", across=across, down=down, radius=4) + _beside(
        FullDate(known.likely).text_in(language), across, down + clear
    )


def _beside(text: str, across: float, down: float) -> str:
    anchor, dx = ("end", -6) if across > PAST_MIDDLE else ("start", 6)
    return label_at(text, across=across, down=down, anchor=anchor, dx=dx)


def _finding(known: Forecast, on: date, first_rain: date) -> Sentence:
    if known.likely and known.likely <= on:
        return Sentence("Likely dry since {day}.", {"day": FullDate(known.likely)})
    hundred = round(known.chance_dry_on(first_rain) * 100)
    when = (
        Sentence("Likely dry {day}", {"day": FullDate(known.likely)})
        if known.likely
        else Sentence("Not at {limit}% in sight", {"limit": f"{known.limit_pct:g}"})
    )
    return Sentence(
        "{when}; {count} chance in 100 of being dry before the first rain, {rain}."
        if hundred == 1
        else "{when}; {count} chances in 100 of being dry before the first rain, {rain}.",
        {"when": when, "count": hundred, "rain": FullDate(first_rain)},
    )


def _table(known: Forecast, shown: Sequence[int], language: str) -> Table:
    picked = shown[:: max(1, -(-len(shown) // TABLE_ROWS))]
    years = {known.days[n].year: n for n in reversed(picked)}  # the first row of each year names it
    head = ("Day", "Low %", "Likely %", "High %")
    return Table(
        head=tuple(worded(name, language=language) for name in head),
        rows=tuple(
            (
                (FullDate if n in years.values() else MonthDay)(known.days[n]).text_in(language),
                *(f"{line[n]:.0f}" for line in (known.low, known.median, known.high)),
            )
            for n in picked
        ),
    )


def _description(known: Forecast, readings: Sequence[FaceReading], on: date) -> Sentence:
    """The chart in sentences, for those who hear it."""
    low, high = known.band_on(on)
    told = [
        Sentence(
            "On {day}: {pin}% on the pin, likely between {low} and {high}",
            {
                "day": FullDate(on),
                "pin": f"{known.median_on(on):.0f}",
                "low": f"{low:.0f}",
                "high": f"{high:.0f}",
            },
        )
    ]
    if known.likely is None:
        told.append(Sentence("not at {limit}% within three years", {"limit": f"{known.limit_pct:g}"}))
    elif known.late is None:
        told.append(Sentence("likely dry {day}", {"day": FullDate(known.likely)}))
    else:
        early, late = LongMonth(known.early or known.likely), LongMonth(known.late)
        told.append(
            Sentence(
                "likely dry {likely}, at the earliest {early}, at the latest {late}",
                {"likely": FullDate(known.likely), "early": early, "late": late},
            )
        )
    if readings:
        newest = max(readings, key=lambda reading: reading.on)
        told.append(
            Sentence(
                "last read {day}: mean {mean}%, worst {worst}%",
                {
                    "day": FullDate(newest.on),
                    "mean": f"{newest.mean_pct:.0f}",
                    "worst": f"{newest.worst_pct:.0f}",
                },
            )
        )
    return Sentence("{all}.", {"all": Joined(tuple(told), between="; ")})

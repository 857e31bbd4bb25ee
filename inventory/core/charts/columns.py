"""Columns side by side from a common zero, such as months; losses hang below and are outlined."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.core.charts.figure import Chart, Table
from inventory.core.charts.marks import (
    BadDrawing,
    centered,
    compact,
    labels_in_row,
    level,
    money,
    plot,
    rect,
    tick_words,
)
from inventory.core.charts.scale import (
    GAP_PX,
    LETTER_PX,
    NARROW_PX,
    PERCENT,
    WIDE_PX,
    label_classes,
    scale_over,
)
from inventory.core.local import MINUS, local
from inventory.core.sentences import ENGLISH, say

PLOT_PX, FOOT_PX, HEAD_PX = 170, 33, 18  # below: a loss's figure and then the names
SHARE_WIDE = 0.72
CLEAR_PX = 3  # a neighbor this little taller does not reach into a figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column, in dollars."""

    label: str
    value: Decimal


def columns_chart(
    columns: Sequence[Column], *, key: str, title: str, finding: str = "", language: str = ENGLISH
) -> Chart:
    """Columns with their axis in dollars; the first, worst and last are written on a phone, all where wide.

    Errors
        BadDrawing: no columns.
    """
    if not columns:
        raise BadDrawing("there is nothing to show yet")
    values = [float(column.value) for column in columns]
    scale = scale_over(values)

    def down(value: float) -> float:
        return HEAD_PX + PLOT_PX * (1 - scale.across(value) / 100)

    pitch = PERCENT / len(columns)
    parts = []
    for tick in scale.ticks:
        parts.append(level("axis" if tick == 0 else "grid", down=down(tick)))
        parts.append(tick_words(_short(tick), down=down(tick)))
    for place, value in enumerate(values):
        top, foot = down(max(value, 0)), down(min(value, 0))
        look = "neg" if value < 0 else "col"
        left = pitch * (place + (1 - SHARE_WIDE) / 2)
        parts.append(rect(look, across=left, wide=pitch * SHARE_WIDE, down=top, high=max(foot - top, 1)))
    worst, last = min(range(len(values)), key=values.__getitem__), len(values) - 1
    first = tuple(dict.fromkeys((worst, 0, last)))
    middles = [pitch * (place + 0.5) for place in range(len(values))]
    figures = [(across, _short(value)) for across, value in zip(middles, values, strict=True)]
    ends = [(down(max(value, 0)), down(min(value, 0))) for value in values]
    for place, css in enumerate(label_classes(figures, first=first)):
        across, text = figures[place]
        under = _columns_under(middles, across, text, wide_px=WIDE_PX if css else NARROW_PX)
        top, foot = min(ends[n][0] for n in under), max(ends[n][1] for n in under)
        own_top, own_foot = ends[place]
        is_clear = foot - own_foot < CLEAR_PX if values[place] < 0 else own_top - top < CLEAR_PX
        if css is None or (place not in first and not is_clear):
            continue
        y, end = (foot + 16, own_foot) if values[place] < 0 else (top - 5, own_top)
        if not is_clear:
            parts.append(rect("lead", across=across, wide=0.3, down=min(y, end), high=abs(y - end)))
        parts.append(centered(text, across=across, down=y, css=css))
    names = [(across, column.label) for across, column in zip(middles, columns, strict=True)]
    parts.append(labels_in_row(names, down=HEAD_PX + PLOT_PX + FOOT_PX, first=first))
    told = "; ".join(f"{column.label} {money(column.value, cents=False)}" for column in columns)
    drawing = plot(height=HEAD_PX + PLOT_PX + FOOT_PX + 8, parts="".join(parts), label=f"{title}: {told}")
    return Chart(
        key=key,
        title=title,
        finding=finding,
        drawing=f'<div class="plotbox">{drawing}</div>',
        table=Table(
            head=("", say("Dollars", language=language)),
            rows=tuple((c.label, f"{c.value:.2f}") for c in columns),
        ),
        language=language,
    )


def _columns_under(middles: Sequence[float], across: float, text: str, *, wide_px: float) -> list[int]:
    """The columns that a figure written at its own would lie over, were they as tall."""
    pitch = PERCENT / len(middles)
    wide = len(text) * LETTER_PX + GAP_PX / 2
    reach = pitch * SHARE_WIDE / 2 + wide / 2 / wide_px * PERCENT
    return [place for place, middle in enumerate(middles) if abs(middle - across) < reach]


def _short(amount: float) -> str:
    """A figure short enough to stand over a column: $806, $1.3k; whole dollars, where there are any."""
    size = abs(amount)
    return f"{MINUS if amount < 0 else ''}{local().sign}{compact(round(size) if size >= 1 else size)}"

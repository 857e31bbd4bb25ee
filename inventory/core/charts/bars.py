"""Bars that lie down and ranges, a row each: name and value above as text, the mark below on one axis."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.core.charts.figure import Chart, Table
from inventory.core.charts.marks import (
    BadDrawing,
    dot,
    labels_in_row,
    money,
    percent,
    plain,
    plot,
    rect,
    upright,
)
from inventory.core.charts.scale import BARS_PX, Scale, scale_over
from inventory.core.sentences import ENGLISH, noop, say

KINDS = ("", "near", "far", "planned", "below")
KIND_WORDS = {"planned": "planned", "below": "less than you want"}
ROW_PX, BAR_PX, AXIS_PX = 20, 14, 26


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One bar: a label, dollars, and a kind that picks its look and is said in a word."""

    label: str
    value: Decimal
    kind: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """One range: low to high with the likely marked, in dollars."""

    label: str
    low: Decimal
    middle: Decimal
    high: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """How often something came true, against the share that was promised."""

    label: str
    count: int
    of: int
    promised: float


def shares_chart(
    shares: Sequence[Share],
    *,
    key: str,
    title: str,
    finding: str = "",
    limit_name: str = "promised",
    language: str = ENGLISH,
) -> Chart:
    """A bar for each share from 0 to 100%, what was promised dashed; names and texts come worded.

    Errors
        BadDrawing: no shares.
    """
    if not shares:
        raise BadDrawing("there is nothing to show yet")
    scale = Scale(low=0.0, high=100.0, step=25.0)
    ticks = [(tick, percent(tick, language=language)) for tick in scale.ticks]
    rows = "".join(
        _row(
            share.label,
            f"{_so_many(share, language)}, {percent(100 * share.count / share.of, language=language)}",
            _grid(scale)
            + rect("col", across=0, wide=100 * share.count / share.of, down=3, high=BAR_PX)
            + _limit(Decimal(str(100 * share.promised)), scale),
        )
        for share in shares
    )
    told = tuple(
        (
            share.label,
            percent(100 * share.promised, language=language),
            percent(100 * share.count / share.of, language=language),
            _so_many(share, language),
        )
        for share in shares
    )
    head = (say(name, language=language) for name in (noop("Promised"), noop("Came true"), noop("Readings")))
    return Chart(
        key=key,
        title=title,
        finding=finding,
        drawing=f'<ul class="bars">{rows}</ul>{_axis(ticks)}',
        legend=say("Dashed: {limit}", language=language, limit=limit_name),
        table=Table(head=("", *head), rows=told),
        language=language,
    )


def _so_many(share: Share, language: str) -> str:
    return say("{count} of {all}", language=language, count=share.count, all=share.of)


def bars_chart(
    bars: Sequence[Bar],
    *,
    key: str,
    title: str,
    finding: str = "",
    limit: Decimal | None = None,
) -> Chart:
    """Horizontal bars from a common zero; losses run left and are outlined.

    Errors
        BadDrawing: no bars, or an unknown kind.
    """
    for bar in bars:
        if bar.kind not in KINDS:
            raise BadDrawing("{kind!r} is no kind of bar", kind=bar.kind)
    scale = scale_over([float(bar.value) for bar in bars] + ([float(limit)] if limit is not None else []))
    rows = "".join(
        _row(
            bar.label,
            " ".join(part for part in (money(bar.value), bar.note, _shown_kind(bar)) if part),
            _bar_marks(bar, scale, limit),
        )
        for bar in bars
    )
    return Chart(
        key=key,
        title=title,
        finding=finding,
        drawing=f'<ul class="bars">{rows}</ul>{_axis(_dollars(scale))}',
        legend=_limit_words(bars, f"target {money(limit)}") if limit is not None else "",
        table=Table(
            head=("", "Dollars", "Note"),
            rows=tuple(
                (
                    bar.label,
                    f"{bar.value:.2f}",
                    " ".join(part for part in (bar.note, _kind_words(bar)) if part),
                )
                for bar in bars
            ),
        ),
    )


def ranges_chart(
    bands: Sequence[Band],
    *,
    key: str,
    title: str,
    finding: str = "",
    target: Decimal | None = None,
    says_middle: bool = True,
) -> Chart:
    """Ranges from low to high with the likely marked, and the target dashed.

    Errors
        BadDrawing: no ranges, or one that is out of order.
    """
    if not bands:
        raise BadDrawing("there is nothing to show yet")
    for band in bands:
        if not band.low <= band.middle <= band.high:
            raise BadDrawing("the range of {label} is out of order", label=band.label)
    ends = [float(end) for band in bands for end in (band.low, band.high)]
    scale = scale_over(ends + ([float(target)] if target is not None else []), with_zero=False)
    rows = "".join(
        _row(
            f"{band.label}: {money(band.middle)}" if says_middle else band.label,
            f"{money(band.low)} to {money(band.high)}",
            _band_marks(band, scale, target),
        )
        for band in bands
    )
    return Chart(
        key=key,
        title=title,
        finding=finding,
        drawing=f'<ul class="bars">{rows}</ul>{_axis(_dollars(scale))}',
        legend=f"Dashed: target {money(target)}" if target is not None else "",
        table=Table(
            head=("", "Low", "Likely", "High"),
            rows=tuple((b.label, f"{b.low:.2f}", f"{b.middle:.2f}", f"{b.high:.2f}") for b in bands),
        ),
    )


def _kind_words(bar: Bar) -> str:
    return KIND_WORDS.get(bar.kind, "")


def _shown_kind(bar: Bar) -> str:
    """The kind beside the figure; "less" there would read as so many dollars less: the legend says it."""
    return "" if bar.kind == "below" else _kind_words(bar)


def _limit_words(bars: Sequence[Bar], limit_words: str) -> str:
    outlined = " Outlined: less than that." if any(bar.kind == "below" for bar in bars) else ""
    return f"Dashed: {limit_words}.{outlined}"


def _bar_marks(bar: Bar, scale: Scale, limit: Decimal | None) -> str:
    zero, end = scale.across(0.0), scale.across(float(bar.value))
    look = "neg" if bar.value < 0 else bar.kind or "col"
    mark = rect(look, across=min(zero, end), wide=abs(end - zero), down=3, high=BAR_PX)
    return _grid(scale) + mark + _limit(limit, scale) + upright("axis", across=zero, top=0, foot=ROW_PX)


def _band_marks(band: Band, scale: Scale, target: Decimal | None) -> str:
    low, middle, high = (scale.across(float(end)) for end in (band.low, band.middle, band.high))
    return (
        _grid(scale)
        + rect("band", across=low, wide=high - low, down=3, high=BAR_PX)
        + upright("whisk", across=low, top=3, foot=3 + BAR_PX)
        + upright("whisk", across=high, top=3, foot=3 + BAR_PX)
        + _limit(target, scale)
        + dot("act", across=middle, down=3 + BAR_PX / 2)
    )


def _row(label: str, value: str, marks: str) -> str:
    return (
        f'<li><span class="name">{plain(label)}</span> <span class="num">{plain(value)}</span>'
        f"{plot(height=ROW_PX, parts=marks)}</li>"
    )


def _grid(scale: Scale) -> str:
    return "".join(upright("grid", across=scale.across(tick), top=0, foot=ROW_PX) for tick in scale.ticks)


def _limit(limit: Decimal | None, scale: Scale) -> str:
    if limit is None:
        return ""
    across = scale.across(float(limit))
    return "".join(upright(css, across=across, top=0, foot=ROW_PX) for css in ("limit-under", "limit"))


def _dollars(scale: Scale) -> list[tuple[float, str]]:
    return [(scale.across(tick), money(tick, cents=scale.step < 1)) for tick in scale.ticks]


def _axis(texts: Sequence[tuple[float, str]]) -> str:
    """The round numbers below the rows."""
    return plot(
        height=AXIS_PX, parts=labels_in_row(texts, down=16, first=(0, len(texts) - 1), narrow_px=BARS_PX)
    )

"""Charts of what was earned, as SVG text: bars, ranges, near beside far, months, shares.

Each chart's description says its figures in words, and labels stand beside the bars, so that nothing
is told by color alone. They are drawn 360 wide to be read on a phone.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from routing.core.drawing import BadDrawing, box, disk, money, picture, rule, words
from routing.core.guesses import Swing
from routing.core.margins import LoadMargin
from routing.core.market import HaulAnswer
from routing.core.shares import LoadShares
from routing.core.worth import Worth

WIDTH = 360
LINE = 18
BAR = 16
GAP = 12
EDGE = 4
MONTHS = ("", "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
KINDS = ("", "near", "far", "bad")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One bar: a label, dollars, and a kind that picks its class ("", "near", "far", "bad")."""

    label: str
    value: Decimal
    kind: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """One range: low to high with a mark between, dollars an hour."""

    label: str
    low: Decimal
    middle: Decimal
    high: Decimal


def bars_chart(
    bars: Sequence[Bar], *, key: str, title: str, cents: bool = True, limit: Decimal | None = None,
    limit_name: str = "target",
) -> str:  # fmt: skip
    """Horizontal bars from a common zero, label above and dollars in it; losses run left.

    Errors
        BadDrawing: no bars, or an unknown kind.
    """
    if not bars:
        raise BadDrawing(trouble="there is nothing to show yet")
    for bar in bars:
        if bar.kind not in KINDS:
            raise BadDrawing(trouble=f"{bar.kind!r} is no kind of bar")
    ends = [bar.value for bar in bars] + ([limit] if limit is not None else [])
    zero, scale = _scale(min(ends), max(ends))
    parts = []
    y = float(EDGE)
    for bar in bars:
        note = f" {bar.note}" if bar.note else ""
        parts.append(words(0, y + 12, bar.label))
        parts.append(words(WIDTH, y + 12, f"{money(bar.value, cents=cents)}{note}", anchor="end", css="num"))
        kind = "bad" if bar.value < 0 else bar.kind
        parts.append(box(zero, y + LINE, float(bar.value) * scale, BAR, f"col {kind}".strip()))
        y += LINE + BAR + GAP
    parts.append(rule(zero, EDGE, zero, y - GAP, "axis"))
    if limit is not None:
        x = zero + float(limit) * scale
        parts.append(rule(x, EDGE, x, y - GAP + 4, "limit"))
        anchor = "end" if x > WIDTH / 2 else "start"
        parts.append(words(x, y + 8, f"{limit_name} {money(limit, cents=cents)}", anchor=anchor))
        y += LINE
    said = "; ".join(
        f"{bar.label} {money(bar.value, cents=cents)}{' ' + bar.note if bar.note else ''}" for bar in bars
    )
    if limit is not None:
        said = f"{said}; {limit_name} {money(limit, cents=cents)}"
    return picture(
        key=key, title=title, description=f"{said}.", width=WIDTH, height=y, css="chart bars", parts=parts
    )


def ranges_chart(
    bands: Sequence[Band], *, key: str, title: str, target: Decimal | None = None, cents: bool = True,
    says_middle: bool = True,
) -> str:  # fmt: skip
    """Dollars an hour from low to high with the likely marked, and the target as a line.

    Errors
        BadDrawing: no ranges, or one that is out of order.
    """
    if not bands:
        raise BadDrawing(trouble="there is nothing to show yet")
    for band in bands:
        if not band.low <= band.middle <= band.high:
            raise BadDrawing(trouble=f"the range of {band.label} is out of order")
    ends = [band.low for band in bands] + [band.high for band in bands]
    if target is not None:
        ends.append(target)
    low, high = float(min(ends)), float(max(ends))
    room = (high - low) * 0.06 or 1.0
    low, high = low - room, high + room

    def x_of(value: Decimal) -> float:
        return (float(value) - low) / (high - low) * WIDTH

    parts = []
    y = float(EDGE)
    for band in bands:
        spread = f"{money(band.low, cents=cents)} to {money(band.high, cents=cents)}"
        middle_said = f": {money(band.middle, cents=cents)}" if says_middle else ""
        parts.append(words(0, y + 12, f"{band.label}{middle_said}"))
        parts.append(words(WIDTH, y + 12, spread, anchor="end", css="num"))
        middle = y + LINE + BAR / 2
        parts.append(rule(0, middle, WIDTH, middle, "grid"))
        parts.append(box(x_of(band.low), y + LINE, x_of(band.high) - x_of(band.low), BAR, "band"))
        parts.extend(
            rule(x_of(end), y + LINE, x_of(end), y + LINE + BAR, "line") for end in (band.low, band.high)
        )
        parts.append(disk(x_of(band.middle), middle, 5, "dot"))
        y += LINE + BAR + GAP
    if target is not None:
        x = x_of(target)
        parts.append(rule(x, EDGE + LINE, x, y - GAP + 4, "limit"))
        anchor = "end" if x > WIDTH / 2 else "start"
        parts.append(words(x, y + 8, f"target {money(target, cents=cents)}", anchor=anchor))
        y += LINE
    said = "; ".join(
        f"{band.label} {money(band.low, cents=cents)} to {money(band.high, cents=cents)}, "
        f"likely {money(band.middle, cents=cents)}"
        for band in bands
    )
    if target is not None:
        said = f"{said}; target {money(target, cents=cents)}"
    return picture(
        key=key, title=title, description=f"{said}.", width=WIDTH, height=y, css="chart ranges", parts=parts
    )


def margins_chart(loads: Sequence[LoadMargin], *, key: str, title: str = "Cash left by load") -> str:
    """What each load left, with dollars an hour beside it."""
    return bars_chart(
        [
            Bar(
                label=load.whole.name,
                value=load.whole.cash_left,
                note=f"({money(load.whole.per_hour)}/h)" if load.whole.per_hour is not None else "",
            )
            for load in loads
        ],
        key=key,
        title=title,
    )


def near_far_chart(answer: HaulAnswer, *, key: str, title: str = "Near beside far") -> str:
    """Revenue, cost and what is left, near and far side by side."""
    near, far = answer.near, answer.far
    return bars_chart(
        [
            Bar(label="Near: revenue", value=near.revenue, kind="near"),
            Bar(label="Far: revenue", value=far.revenue, kind="far"),
            Bar(label="Near: trip cost", value=near.cost, kind="near"),
            Bar(label="Far: trip cost", value=far.cost, kind="far"),
            Bar(label="Near: left", value=near.revenue - near.cost, kind="near"),
            Bar(label="Far: left", value=far.revenue - far.cost, kind="far"),
        ],
        key=key,
        title=title,
    )


def swings_chart(
    swings: Sequence[Swing], *, key: str, likely: Decimal, title: str = "Which guess moves the answer"
) -> str:
    """How far each guess alone moves dollars an hour, the strongest on top."""
    return ranges_chart(
        [
            Band(
                label=swing.name,
                low=min(swing.at_low, swing.at_high, likely),
                middle=likely,
                high=max(swing.at_low, swing.at_high, likely),
            )
            for swing in swings
            if swing.moves > 0
        ],
        key=key,
        title=title,
        says_middle=False,
    )


def months_chart(months: Sequence[Worth], *, key: str, title: str = "Net by month") -> str:
    """A column of net dollars for each month, as `worth_by(..., "month")` gives them; losses hang below.

    Errors
        BadDrawing: no months, or a name that is not year-month.
    """
    if not months:
        raise BadDrawing(trouble="there is nothing to show yet")
    nets = [float(month.net) for month in months]
    top, bottom = max(0.0, *nets), min(0.0, *nets)
    scale = 120 / ((top - bottom) or 1.0)
    zero = EDGE + LINE + top * scale
    pitch = WIDTH / len(months)
    parts = []
    for i, net in enumerate(nets):
        height = net * scale
        y = zero - height if height >= 0 else zero
        middle = pitch * (i + 0.5)
        parts.append(
            box(middle - pitch * 0.36, y, pitch * 0.72, abs(height), "col bad" if height < 0 else "col")
        )
        if pitch >= 26:
            above = y - 4 if height >= 0 else y + abs(height) + 12
            parts.append(words(middle, above, _short(net), anchor="middle", css="small-figure"))
    floor = EDGE + LINE + (top - bottom) * scale + (LINE if bottom < 0 else 0)
    for i, month in enumerate(months):
        if pitch >= 26 or i % 3 == 0:
            parts.append(words(pitch * (i + 0.5), floor + 16, _month_name(month.name), anchor="middle"))
    parts.append(rule(0, zero, WIDTH, zero, "axis"))
    said = "; ".join(f"{_month_name(month.name)} {money(month.net, cents=False)}" for month in months)
    return picture(
        key=key,
        title=title,
        description=f"{said}.",
        width=WIDTH,
        height=floor + LINE + 4,
        css="chart months",
        parts=parts,
    )


def shares_chart(shares: LoadShares, *, key: str, title: str = "Who pays for the drive") -> str:
    """The load's road as one log cut into its orders' shares, with what each would have paid alone."""
    total = float(shares.road)
    parts = []
    x = 0.0
    y = EDGE + BAR + 6.0
    for number, share in enumerate(shares.shares, start=1):
        width = float(share.road) / total * WIDTH if total else WIDTH / len(shares.shares)
        parts.append(box(x, EDGE, width, BAR, f"col {KINDS[1 + number % 2]}"))
        if width >= 12:
            parts.append(rule(x + width / 2, EDGE + BAR, x + width / 2, EDGE + BAR + 5, "axis"))
            parts.append(words(x + width / 2, y + 12, str(number), anchor="middle"))
        x += width
    y += LINE
    for number, share in enumerate(shares.shares, start=1):
        error = f" ± {money(share.road_error)}" if share.road_error else ""
        parts.append(words(0, y + 14, f"{number}. {share.order}: {money(share.road)}{error}"))
        parts.append(words(WIDTH, y + 14, f"alone {money(share.alone_road)}", anchor="end", css="num"))
        y += LINE + 2
    said = "; ".join(
        f"{share.order} pays {money(share.road)}, alone {money(share.alone_road)}, "
        f"saves {money(share.saved_road)} if dropped"
        for share in shares.shares
    )
    return picture(
        key=key,
        title=title,
        description=f"{said}; together {money(shares.road)}.",
        width=WIDTH,
        height=y + 6,
        css="chart shares",
        parts=parts,
    )


def _scale(low: Decimal, high: Decimal) -> tuple[float, float]:
    """Where zero stands and how wide a dollar is, from the least to the most."""
    least, most = min(0.0, float(low)), max(0.0, float(high))
    scale = WIDTH / ((most - least) or 1.0)
    return -least * scale, scale


def _month_name(name: str) -> str:
    year, _, month = name.partition("-")
    if not (year.isdigit() and month.isdigit() and 1 <= int(month) <= 12):
        raise BadDrawing(trouble=f"{name!r} is no month, write it as 2026-09")
    return MONTHS[int(month)]


def _short(amount: float) -> str:
    """A figure short enough to stand over a column: 806, 1.3k."""
    if abs(amount) >= 1000:
        return f"{amount / 1000:.1f}k"
    return f"{amount:.0f}"

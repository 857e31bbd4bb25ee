"""Which figures of what was earned are drawn, and how: near beside far, guesses, months, shares."""

from collections.abc import Sequence
from decimal import Decimal

from inventory.core.charts.bars import Band, Bar, bars_chart, ranges_chart
from inventory.core.charts.columns import Column, columns_chart
from inventory.core.charts.figure import Chart
from inventory.core.charts.marks import BadDrawing, money
from inventory.core.sentences import ENGLISH, say, translated
from routing.earned.guesses import Swing
from routing.earned.markets import HaulAnswer
from routing.earned.shares import LoadShares
from routing.earned.worth import Worth

MONTHS = ("", "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def near_far_chart(answer: HaulAnswer, *, key: str) -> Chart:
    """Revenue, cost and what is left, near and far side by side."""
    near, far = answer.near, answer.far
    lines = (
        ("price", near.revenue, far.revenue),
        ("trip cost", near.cost, far.cost),
        ("left", near.revenue - near.cost, far.revenue - far.cost),
    )
    bars = [
        Bar(label=f"{side}: {name}", value=value, kind=side.lower())
        for name, here, there in lines
        for side, value in (("Near", here), ("Far", there))
    ]
    return bars_chart(bars, key=key, title="Near beside far, dollars")


def swings_chart(swings: Sequence[Swing], *, key: str, likely: Decimal) -> Chart:
    """How far each guess alone moves dollars an hour, the strongest on top."""
    bands = [
        Band(
            label=swing.name,
            low=min(swing.at_low, swing.at_high, likely),
            middle=likely,
            high=max(swing.at_low, swing.at_high, likely),
        )
        for swing in swings
        if swing.moves > 0
    ]
    finding = f"{bands[0].label.capitalize()} moves it most: measure that next." if bands else ""
    return ranges_chart(
        bands,
        key=key,
        title="Which guess moves the answer, dollars an hour",
        finding=finding,
        says_middle=False,
    )


def months_chart(months: Sequence[Worth], *, key: str, language: str = ENGLISH) -> Chart:
    """A column of net dollars for each month, as `worth_by(..., "month")` gives them; losses hang below.

    Errors
        BadDrawing: no months, or a name that is not year-month.
    """
    columns = [
        Column(label=translated(_month_name(month.name), language=language), value=month.net)
        for month in months
    ]
    finding = ""
    if columns:
        best, worst = max(columns, key=_value), min(columns, key=_value)
        finding = say(
            "Best {best}, {most}; worst {worst}, {least}.",
            language=language,
            best=best.label,
            most=money(best.value, cents=False),
            worst=worst.label,
            least=money(worst.value, cents=False),
        )
    title = say("Net by month, dollars", language=language)
    return columns_chart(columns, key=key, title=title, finding=finding, language=language)


def shares_chart(shares: LoadShares, *, key: str) -> Chart:
    """What each order pays of the load's road, beside what driving there alone would cost."""
    bars = []
    for share in shares.shares:
        error = f"± {money(share.road_error)}" if share.road_error else ""
        bars.append(Bar(label=f"{share.order} pays", value=share.road, note=error))
        bars.append(Bar(label=f"{share.order} alone", value=share.alone_road, kind="planned"))
    finding = f"Together {money(shares.road)}; riding together saves {money(shares.together_saves)}."
    if len(shares.shares) == 1:
        finding = f"One order pays the whole drive, {money(shares.road)}."
    return bars_chart(bars, key=key, title="Who pays for the drive, dollars", finding=finding)


def _value(column: Column) -> Decimal:
    return column.value


def _month_name(name: str) -> str:
    year, _, month = name.partition("-")
    if not (year.isdigit() and month.isdigit() and 1 <= int(month) <= 12):
        raise BadDrawing("{name!r} is no month, write it as 2026-09", name=name)
    return MONTHS[int(month)]

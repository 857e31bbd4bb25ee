"""What a chart writes never meets and stays in its frame: few bars, many, nothing, losses, long names.

Without a browser: each text is a box as wide as its letters are in the widest type the style sheet names
(DejaVu Sans, advance widths of its 2.37 release in thousandths of an em), at the size it is written in.
"""

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from itertools import combinations
from types import SimpleNamespace
from xml.etree import ElementTree

import pytest

from inventory.core.charts.bars import Band, Bar, Share, bars_chart, ranges_chart, shares_chart
from inventory.core.charts.calendar import LotBar, readiness_chart
from inventory.core.charts.columns import Column, columns_chart
from inventory.core.charts.stacks import Stack, stacks_chart
from inventory.drying.chart import drying_chart
from inventory.drying.history import FaceReading
from inventory.drying.places import city_weather
from routing.season.charts import season_charts
from tests.inventory.drying.kit import dried, heap

EM_PX = 14
ASCENT, DESCENT = 11, 3  # px of it above and below the line it stands on
WIDTHS = {
    278: "ijl", 295: "IJ", 318: " ,.", 337: "/:;", 352: "f", 361: "-", 390: "()", 392: "t", 411: "r",
    521: "s", 525: "z", 550: "c", 557: "L", 575: "F", 579: "k", 592: "vxy", 603: "P", 611: "TY", 613: "aoe",
    635: "bdghnpquSE0123456789$", 684: "AVX", 698: "BRC", 748: "UNH", 787: "DGOQ", 818: "w",
    838: "+<=>\u2212", 863: "M", 974: "m", 989: "%W", 0: "\u2060",
}  # fmt: skip
EM_OF = {letter: width / 1000 for width, letters in WIDTHS.items() for letter in letters}
PLOTBOX = (64, 12)  # px left and right of a drawing in a .plotbox: 4rem and .75rem
PHONE, DESK = 324, 548  # px of a card's inside at 390 and of half a page at 1280
LONG = (
    "Seasoned madrone and tan oak, split fine for the little stove of the schoolhouse at Upper Larch Prairie"
)
ON = date(2026, 9, 18)
RAIN = date(2026, 10, 5)


def money(*values: float) -> list[Decimal]:
    return [Decimal(str(value)) for value in values]


def columns(*values: float, name: str = "W"):
    return columns_chart(
        [Column(label=f"{name}{n}", value=value) for n, value in enumerate(money(*values))],
        key="c",
        title="Net",
    )


def stacks(count: int, *, scale: float = 1, name: str = "Oct "):
    made = [
        Stack(label=f"{name}{n}", parts=(scale * n, scale * 0.5 * (n % 3), scale * (n % 7)))
        for n in range(count)
    ]
    return stacks_chart(made, names=("dry", "drying", LONG), key="s", title="Wood, cords")


def bars(*values: float, label: str = "Load", limit: float | None = 25):
    return bars_chart(
        [Bar(label=f"{label} {n}", value=value) for n, value in enumerate(money(*values))],
        key="b",
        title="Left",
        limit=None if limit is None else Decimal(str(limit)),
    )


def ranges(*ends: tuple[float, float, float]):
    bands = [
        Band(label=LONG, **dict(zip(("low", "middle", "high"), money(*end), strict=True))) for end in ends
    ]
    return ranges_chart(bands, key="r", title="An hour", target=Decimal(25))


def calendar(count: int, *, months: int = 14, on: date = ON, rain: date = RAIN):
    lots = [
        LotBar(
            code=f"{LONG}{n}",
            text=LONG,
            early=on + timedelta(9 * n),
            likely=on + timedelta(14 * n),
            late=None if n % 3 else on + timedelta(30 * n),
            is_ready=not n % 4,
        )
        for n in range(count)
    ]
    return readiness_chart(lots, on=on, first_rain=rain, months=months)


def season(weeks: int, dollars: int):
    periods = [
        {
            "from": f"{ON + timedelta(7 * week)}", "weeks": 1, "all_hours": 40,
            "net": dollars * (1 - week % 3),
            "hours": {"fell": 9.0, "split": 22.0, "deliver_far": 9.0},
            "seasoned": 30.5, "drying": 18.0, "rounds": 4.0, "green": 0.0, "sold": {"near": 2.0, "far": 1.5},
        }
        for week in range(weeks)
    ]  # fmt: skip
    return season_charts(periods)


KNOWN = dried(60, heap("fir"), on=date(2026, 6, 10), source=city_weather("Eugene"), read=())


def curve(on: date, rain: date, *readings: date, top: float = 31):
    read = [FaceReading(on=day, mean_pct=top, worst_pct=top + 8) for day in readings]
    return drying_chart(KNOWN, readings=read, on=on, first_rain=rain, title=LONG)


FIRST, LIKELY = KNOWN.days[0], KNOWN.likely or KNOWN.days[-1]
CHARTS = {
    "one column": columns(806),
    "one column of nothing": columns(0),
    "zeros": columns(*[0] * 12),
    "losses only": columns(*[-40 * n - 1300.5 for n in range(12)]),
    "sixty columns": columns(*[1500 - 53 * n for n in range(60)]),
    "months of a large seller": columns(*[1_250_000 * (-1) ** n + n for n in range(13)]),
    "cents": columns(0.01, -0.02, 0.03),
    "long names under columns": columns(*range(6), name=LONG),
    "one stack": stacks(2),
    "a stack of nothing": stacks(1),
    "sixty stacks": stacks(60),
    "little in stacks": stacks(9, scale=0.003),
    "much in stacks": stacks(13, scale=900_000),
    "long names under stacks": stacks(7, name=LONG),
    "one bar": bars(12.5),
    "bars of nothing": bars(0, 0, limit=None),
    "bars that lose": bars(-3, -4000, -1.25),
    "sixty bars": bars(*[90 - 3 * n for n in range(60)]),
    "bars of millions": bars(1_234_567, -9_876_543),
    "long names of bars": bars(1, 2, label=LONG),
    "one range": ranges((12, 25, 36)),
    "ranges below zero": ranges((-900, -20, -1), (0, 0, 0)),
    "a range of a cent": ranges((24.99, 25, 25.01)),
    "ranges of millions": ranges((-2_000_000, 5, 9_000_000)),
    "shares": shares_chart(
        [Share(label=LONG, count=n, of=19, promised=0.8) for n in (0, 7, 19)], key="h", title="Came true"
    ),
    "one lot": calendar(1),
    "sixty lots": calendar(60),
    "lots over three years": calendar(5, months=36),
    "lots over two months": calendar(5, months=2),
    "lots as the year turns": calendar(5, on=date(2026, 12, 30), rain=date(2026, 12, 31)),
    "a month ahead": season(4, 310)[0],
    "a year ahead, hours": season(52, 310)[1],
    "three years ahead of a large seller": season(150, 400_000)[0],
    "dry at today": curve(LIKELY, RAIN),
    "dry at the first rain": curve(ON, LIKELY, LIKELY),
    "dry at all of it": curve(LIKELY, LIKELY, LIKELY, top=25),
    "the first day": curve(FIRST, FIRST, FIRST),
    "the last day": curve(KNOWN.days[-1], KNOWN.days[-1]),
    "a week before": curve(LIKELY - timedelta(7), LIKELY + timedelta(7), LIKELY - timedelta(9)),
    "very wet": curve(ON, RAIN, ON, top=190),
}  # fmt: skip


def boxes(svg: ElementTree.Element, wide_px: float, *, is_wide: bool) -> Iterator[SimpleNamespace]:
    """Each text of a drawing as it is written at a width: a class "w" is shown on wide pages only."""
    for text in svg.iter("text"):
        looks = (text.get("class") or "").split()
        if "w" in looks and not is_wide:
            continue
        place = text.get("x")
        at = float(place.rstrip("%")) / 100 * wide_px if place.endswith("%") else float(place)
        at += float(text.get("dx") or 0)
        size = EM_PX * sum(EM_OF.get(letter, 1.0) for letter in text.text)
        anchor = "end" if "e" in looks else text.get("text-anchor")
        left = at - {"start": 0, "middle": size / 2, "end": size}[anchor]
        foot = float(text.get("y"))
        yield SimpleNamespace(
            text=text.text, left=left, right=left + size, top=foot - ASCENT, foot=foot + DESCENT
        )


def drawings(chart) -> Iterator[tuple[ElementTree.Element, int, int]]:
    """Each drawing with text, and the room beside it."""
    root = ElementTree.fromstring(str(chart))
    boxed = [svg for part in root.iter("div") if part.get("class") == "plotbox" for svg in part.iter("svg")]
    for svg in root.iter("svg"):
        if any(True for _ in svg.iter("text")):
            yield svg, *(PLOTBOX if svg in boxed else (0, 0))


@pytest.mark.parametrize(("card_px", "is_wide"), [(PHONE, False), (700, False), (DESK, True), (1100, True)])
@pytest.mark.parametrize("name", CHARTS)
def test_no_text_meets_another_or_leaves_the_frame(name, card_px, is_wide):
    for svg, before, after in drawings(CHARTS[name]):
        wide_px = card_px - before - after
        found = list(boxes(svg, wide_px, is_wide=is_wide))

        outside = [
            box.text
            for box in found
            if box.left < -before - 0.5
            or box.right > wide_px + after + 0.5
            or box.top < -1
            or box.foot > float(svg.get("height")) + 1
        ]
        meeting = [
            (one.text, other.text)
            for one, other in combinations(found, 2)
            if one.left < other.right
            and other.left < one.right
            and one.top < other.foot - 1
            and other.top < one.foot - 1
        ]

        assert outside == []
        assert meeting == []


@pytest.mark.parametrize("name", CHARTS)
def test_something_is_written_beside_every_axis(name):
    assert any(list(boxes(svg, PHONE, is_wide=False)) for svg, *_ in drawings(CHARTS[name]))

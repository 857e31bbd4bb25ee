"""Charts: their text is never scaled and never meets, the figures stand behind them as a table and CSV."""

import csv
import re
from datetime import date, timedelta
from decimal import Decimal
from io import StringIO
from itertools import pairwise
from urllib.parse import unquote
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.core.charts.bars import Band, Bar, Share, bars_chart, ranges_chart, shares_chart
from inventory.core.charts.calendar import LotBar, readiness_chart
from inventory.core.charts.columns import Column, columns_chart
from inventory.core.charts.figure import Chart, Table
from inventory.core.charts.marks import BadDrawing
from inventory.core.charts.scale import BARS_PX, LETTER_PX, NARROW_PX, WIDE_PX, labels_that_fit, scale_over
from inventory.core.charts.stacks import Stack, stacks_chart
from inventory.drying.chart import HEAD_PX, PLOT_PX, drying_chart
from inventory.drying.history import FaceReading
from inventory.drying.places import city_weather
from tests.inventory.drying.kit import dried, heap

SPLIT_ON = date(2026, 6, 10)
A_DAY = date(2026, 9, 18)
FIRST_RAIN = date(2026, 10, 5)
READING = FaceReading(on=date(2026, 8, 10), mean_pct=31, worst_pct=36)
MONEY = st.decimals(-9000, 9000, places=2)


def curve(*, on=A_DAY, readings=(READING,), of=None, city="Eugene", title="Fir at Upper", language="en"):
    read = tuple((reading.on, reading.mean_pct) for reading in readings)
    known = dried(60, of or heap("fir"), on=SPLIT_ON, source=city_weather(city), read=read)
    return drying_chart(
        known, readings=readings, on=on, first_rain=FIRST_RAIN, title=title, language=language
    )


def lot_bar(code="K1", **changes):
    usual = {
        "text": "early October",
        "early": date(2026, 9, 25),
        "likely": date(2026, 10, 5),
        "late": date(2026, 12, 1),
        "is_ready": False,
    }
    return LotBar(code=code, **usual | changes)


def months(*values):
    return columns_chart(
        [Column(label=f"M{n}", value=Decimal(value)) for n, value in enumerate(values)], key="m", title="Net"
    )


CHARTS = {
    "curve": curve(),
    "curve without readings": curve(readings=()),
    "never dry": curve(of=heap("oak", "deep_heap", shape="round", size_in=14.0), city="Juneau", readings=()),
    "on the day it was split": curve(on=SPLIT_ON),
    "calendar": readiness_chart(
        [lot_bar(), lot_bar("K2 <&>", is_ready=True, href="/seller/lots/K2")], on=A_DAY, first_rain=FIRST_RAIN
    ),
    "bars": bars_chart(
        [Bar(label="Good <b>", value=Decimal(60)), Bar(label="Bad", value=Decimal(-30), kind="planned")],
        key="b",
        title="Left",
        limit=Decimal(25),
    ),
    "ranges": ranges_chart(
        [Band(label="An hour", low=Decimal(12), middle=Decimal(25), high=Decimal(36))],
        key="r",
        title="An hour",
        target=Decimal(25),
    ),
    "stacks": stacks_chart(
        [Stack(label=f"Oct {n}", parts=(n / 2, 3.0, 0.5 * (n % 3))) for n in range(1, 13)],
        names=("dry", "drying", "green <&>"),
        key="s",
        title="Wood, cords",
    ),
    "months": months(1340, -33, 806, 0, 12, 450, 90, 1026, 77, 310, 5, 200),
}


def root_of(chart):
    return ElementTree.fromstring(str(chart))


def every(chart, name):
    return [part for part in root_of(chart).iter() if part.tag == name]


@pytest.mark.parametrize("name", CHARTS)
def test_a_chart_is_well_formed_with_its_title_and_table(name):
    chart = CHARTS[name]

    assert root_of(chart).tag == "figure"
    assert every(chart, "h2")[0].text == chart.title
    assert len(every(chart, "tr")) == len(chart.table.rows) + 1
    assert all(len(row) == len(chart.table.head) for row in chart.table.rows)


@pytest.mark.parametrize("name", CHARTS)
def test_a_chart_keeps_a_strict_content_security_policy(name):
    assert not re.search(r"\sstyle=|<style|<script|\son\w+=|url\(|https?:", str(CHARTS[name]))


@pytest.mark.parametrize("name", CHARTS)
def test_text_is_never_inside_a_drawing_that_stretches(name):
    for svg in every(CHARTS[name], "svg"):
        if svg.get("viewBox"):
            assert not list(svg.iter("text"))
            assert svg.get("preserveAspectRatio") == "none"
        else:
            assert svg.get("width") == "100%"


def boxes_of(svg, wide_px, *, is_wide):
    """Left, right and foot of each text as it is written at a width."""
    for text in svg.iter("text"):
        css = (text.get("class") or "").split()
        if ("w" in css and not is_wide) or not text.get("x").endswith("%"):
            continue
        at = float(text.get("x").rstrip("%")) / 100 * wide_px + float(text.get("dx") or 0)
        size = len(text.text) * LETTER_PX * 0.9
        left = {"start": at, "middle": at - size / 2, "end": at - size}[text.get("text-anchor")]
        yield left, left + size, float(text.get("y"))


@pytest.mark.parametrize("name", CHARTS)
@pytest.mark.parametrize(
    ("wide_px", "is_wide"), [(NARROW_PX, False), (358, False), (WIDE_PX, True), (1100, True)]
)
def test_no_two_texts_of_a_drawing_meet(name, wide_px, is_wide):
    for svg in every(CHARTS[name], "svg"):
        found = list(boxes_of(svg, wide_px, is_wide=is_wide))
        for n, (left, right, foot) in enumerate(found):
            for other_left, other_right, other_foot in found[n + 1 :]:
                assert abs(foot - other_foot) >= 14 or right <= other_left or other_right <= left


@pytest.mark.parametrize(("wide_px", "is_wide"), [(NARROW_PX, False), (WIDE_PX, True)])
def test_no_figure_lies_over_a_neighbors_column(wide_px, is_wide):
    chart = months(1170, 1080, 729, 567, 330, 193, 81, 215, 281, 204, 610, 823)
    [svg] = every(chart, "svg")
    columns = [
        [float(rect.get(name).rstrip("%")) for name in ("x", "width", "y")]
        for rect in svg.iter("rect")
        if rect.get("class") == "col"
    ]
    figures = [box for box in boxes_of(svg, wide_px, is_wide=is_wide) if box[2] < HEAD_PX + PLOT_PX]

    assert len(columns) == 12
    assert len(figures) >= 3
    for left, right, foot in figures:
        under = [
            top for x, wide, top in columns if left < (x + wide) * wide_px / 100 and x * wide_px / 100 < right
        ]
        assert foot <= min(under) + 1


@pytest.mark.parametrize("name", CHARTS)
def test_marks_stay_inside_the_drawing(name):
    for svg in every(CHARTS[name], "svg"):
        for rect in svg.iter("rect"):
            left, wide = (float(rect.get(key).rstrip("%")) for key in ("x", "width"))
            assert left >= -0.01
            assert left + wide <= 100.4
            if svg.get("height") and not svg.get("viewBox"):
                assert float(rect.get("y")) + float(rect.get("height")) <= float(svg.get("height")) + 0.01


@pytest.mark.parametrize("name", CHARTS)
def test_the_csv_holds_the_table(name):
    chart = CHARTS[name]
    href = next(link.get("href") for link in every(chart, "a") if link.get("download"))

    rows = list(csv.reader(StringIO(unquote(href).split(",", 1)[1])))

    assert rows[0] == list(chart.table.head)
    assert len(rows) == len(chart.table.rows) + 1


def test_a_cell_a_spreadsheet_would_run_is_text():
    chart = Chart(key="k", title="T", drawing="", table=Table(head=("a",), rows=(("=1+1",),)))

    assert "'=1+1" in chart.csv


def test_a_loss_is_drawn_left_of_zero_and_outlined():
    good, bad = every(CHARTS["bars"], "rect")

    assert good.get("class") == "col"
    assert bad.get("class") == "neg"
    assert float(bad.get("x").rstrip("%")) < float(good.get("x").rstrip("%"))


def test_planned_is_said_in_a_word_too():
    said = ["".join(row.itertext()) for row in every(CHARTS["bars"], "li")]

    assert "planned" in said[1]
    assert "planned" not in said[0]


def numbers_of(part):
    return [tuple(map(float, pair.split(","))) for pair in part.get("points").split()]


def test_the_curve_falls_and_its_band_holds_it():
    (line,) = every(CHARTS["curve"], "polyline")
    (band,) = every(CHARTS["curve"], "polygon")
    middle, edge = (
        [tuple(map(float, pair.split(","))) for pair in part.get("points").split()] for part in (line, band)
    )
    upper, lower = edge[: len(middle)], edge[len(middle) :][::-1]

    assert [x for x, _ in middle] == sorted(x for x, _ in middle)
    assert middle[-1][1] > middle[0][1] + 20  # y grows downward; a wet spell lifts it here and there
    assert all(top[1] <= mid[1] <= foot[1] for top, mid, foot in zip(upper, middle, lower, strict=True))


def test_each_reading_is_a_dot_with_a_whisker_up_to_its_worst_face():
    (dot,) = [part for part in every(CHARTS["curve"], "circle") if part.get("class") == "dot"]
    (whisker,) = [part for part in every(CHARTS["curve"], "line") if part.get("class") == "whisk"]

    assert dot.get("cx") == whisker.get("x1")
    assert float(whisker.get("y1")) < float(whisker.get("y2")) == float(dot.get("cy"))


@pytest.mark.parametrize("day", [FIRST_RAIN, FIRST_RAIN - timedelta(1), FIRST_RAIN - timedelta(20)])
def test_today_and_the_first_rain_are_written_apart_however_near_they_are(day):
    written = {text.text: float(text.get("y")) for text in every(curve(on=day), "text")}

    assert written["today"] - written["first rain"] > (HEAD_PX + PLOT_PX) / 2


def test_the_answers_date_stands_in_the_finding():
    on_splitting = CHARTS["on the day it was split"].finding
    assert on_splitting.startswith("Likely dry ")
    assert "of being dry before the first rain, Oct 5, 2026" in on_splitting
    assert CHARTS["never dry"].finding.startswith("Not at 25%")


def test_a_chart_is_made_in_the_readers_language():
    drying = curve(title="K1", language="es")
    ready = readiness_chart([lot_bar(text="K1")], on=A_DAY, first_rain=FIRST_RAIN, language="es")

    assert drying.title == "K1, humedad en % del peso seco"
    assert drying.finding == "Probablemente seca desde el 10 sep 2026."
    assert {"hoy", "primera lluvia", "jul 2026"} <= {text.text for text in every(drying, "text")}
    assert drying.table.head == ("Día", "Bajo %", "Probable %", "Alto %")
    assert (ready.title, ready.finding) == ("Cuándo estará seco cada lote", "0 de 1 ya están secos.")
    for chart in (drying, ready):
        assert not re.search(r"\b(?:likely|dry|the|table|of)\b", re.sub(r"<[^>]+>", " ", str(chart)))


def test_the_calendars_table_says_days_in_words_and_none_of_what_is_ready():
    rows = CHARTS["calendar"].table.rows

    assert all(re.fullmatch(r"[A-Z][a-z]{2} \d{1,2}, \d{4}", day) for day in rows[0][2:] if day)
    assert rows[0][3]
    assert rows[1][2:] == ("", "", "")


def test_a_lot_that_dried_has_no_chance_left_to_tell():
    dried_before = curve(on=date(2026, 11, 20), readings=())

    assert re.fullmatch(r"Likely dry since \w+ \d+, 2026\.", dried_before.finding)


def test_nothing_to_show_is_said_rather_than_drawn():
    assert readiness_chart([], on=A_DAY, first_rain=FIRST_RAIN) is None
    with pytest.raises(BadDrawing, match="nothing to show"):
        bars_chart([], key="k", title="T")
    with pytest.raises(BadDrawing, match="nothing to show"):
        months()
    with pytest.raises(BadDrawing, match="no kind"):
        bars_chart([Bar(label="x", value=Decimal(1), kind="loud")], key="k", title="T")
    with pytest.raises(BadDrawing, match="letters, digits"):
        bars_chart([Bar(label="x", value=Decimal(1))], key='k" onload="x', title="T")
    with pytest.raises(BadDrawing, match="out of order"):
        ranges_chart(
            [Band(label="x", low=Decimal(2), middle=Decimal(1), high=Decimal(3))], key="k", title="T"
        )


@settings(max_examples=40, deadline=None)
@given(st.lists(MONEY, min_size=1, max_size=14))
def test_any_months_are_drawn_inside_with_at_most_four_steps(values):
    chart = months(*values)
    scale = scale_over([float(value) for value in values])

    assert len(scale.ticks) <= 5
    assert scale.low <= min(0, *map(float, values)) <= max(0, *map(float, values)) <= scale.high
    (svg,) = every(chart, "svg")
    for rect in svg.iter("rect"):
        assert -0.01 <= float(rect.get("y")) <= float(svg.get("height"))


@given(st.lists(st.tuples(st.floats(0, 100), st.text("abc ", min_size=1, max_size=12)), max_size=20))
def test_labels_that_fit_never_meet(places):
    kept = sorted(labels_that_fit(places, wide_px=NARROW_PX), key=lambda n: places[n][0])

    for here, there in pairwise(kept):
        apart = (places[there][0] - places[here][0]) / 100 * NARROW_PX
        assert apart >= (len(places[here][1]) + len(places[there][1])) * LETTER_PX / 2


def test_every_hundred_dollars_up_to_four_has_its_label_on_a_phone():
    places = [(25 * n, f"${100 * n}") for n in range(5)]

    assert labels_that_fit(places, wide_px=NARROW_PX, first=(0, 4)) == frozenset(range(5))


def test_a_loss_takes_no_label_away_that_has_room_and_bars_use_their_whole_row():
    losses = [(25 * n, text) for n, text in enumerate(("\u2212\u2060$100", "$0", "$100", "$200", "$300"))]
    thousands = [(100 / 3 * n, f"${10 * n},000") for n in range(4)]

    assert labels_that_fit(losses, wide_px=NARROW_PX, first=(0, 4)) == frozenset(range(5))
    assert labels_that_fit(thousands, wide_px=BARS_PX, first=(0, 3)) == frozenset(range(4))


def test_spanish_writes_a_space_before_the_percent_sign_in_charts_too():
    told = [Share(label="p90", promised=0.9, count=9, of=20)]

    english, spanish = (shares_chart(told, key="s", title="t", language=one) for one in ("en", "es"))

    assert "45%" in english.drawing
    assert "45 %" in spanish.drawing
    assert spanish.table.rows[0][1:3] == ("90 %", "45 %")
    assert not re.search(r"\d%<", spanish.drawing)


def test_the_parts_of_a_stack_stand_on_each_other():
    chart = stacks_chart(
        [Stack(label="Oct", parts=(2.0, 1.0))], names=("dry", "drying"), key="s", title="Wood, cords"
    )

    low, upper = every(chart, "rect")

    assert float(upper.get("y")) + float(upper.get("height")) == pytest.approx(float(low.get("y")), abs=0.1)
    assert float(low.get("height")) == pytest.approx(2 * float(upper.get("height")), rel=0.02)
    assert "Green: dry, brown: drying" in str(chart)


@pytest.mark.parametrize("stacks", [[], [Stack(label="Oct", parts=(1.0,))]])
def test_a_stack_needs_columns_and_a_name_for_each_part(stacks):
    with pytest.raises(BadDrawing):
        stacks_chart(stacks, names=("dry", "drying"), key="s", title="Wood")

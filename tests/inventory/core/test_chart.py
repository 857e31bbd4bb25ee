"""Charts as SVG text: well formed, told in words, inside their frame, without inline style."""

import re
from datetime import date, timedelta
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.core.chart import HEIGHT, WIDTH, LotBar, drying_chart, readiness_chart
from inventory.core.climate import steady_climate
from inventory.core.drying import Drying, FaceReading, forecast

SPLIT_ON = date(2026, 6, 10)
A_DAY = date(2026, 9, 18)
FIRST_RAIN = date(2026, 10, 5)
READING = FaceReading(on=date(2026, 8, 10), mean_pct=31, worst_pct=36)
SVG = "{http://www.w3.org/2000/svg}"


def known(share=0.75, start_pct=60.0, readings=(), limit_pct=25.0):
    lot = Drying(
        start_on=SPLIT_ON,
        start_pct=start_pct,
        rate=0.02,
        share=share,
        climate=steady_climate(),
        readings=readings,
    )
    return forecast(lot, limit_pct=limit_pct)


def curve(*, title="Fir at Upper", on=A_DAY, readings=(READING,), **lot):
    return drying_chart(
        known(readings=readings, **lot), readings=readings, on=on, first_rain=FIRST_RAIN, title=title
    )


def bar(code="K1", **changes):
    usual = {
        "words": "early October",
        "early": date(2026, 9, 25),
        "likely": date(2026, 10, 5),
        "late": date(2026, 12, 1),
        "is_ready": False,
    }
    return LotBar(code=code, **usual | changes)


def parts(svg, name):
    root = ElementTree.fromstring(svg)
    return [part for part in root.iter() if part.tag.removeprefix(SVG) == name]


def words_in(svg):
    return ["".join(part.itertext()) for part in parts(svg, "text")]


def numbers_of(points):
    return [tuple(map(float, pair.split(","))) for pair in points.split()]


CHARTS = [
    pytest.param(curve(), id="curve"),
    pytest.param(curve(readings=()), id="curve without readings"),
    pytest.param(curve(share=0.05, start_pct=120), id="never dry"),
    pytest.param(curve(on=SPLIT_ON), id="on the day it was split"),
    pytest.param(
        readiness_chart([bar(), bar("K2", is_ready=True)], on=A_DAY, first_rain=FIRST_RAIN), id="bars"
    ),
    pytest.param(readiness_chart([], on=A_DAY, first_rain=FIRST_RAIN), id="no bars"),
]


@pytest.mark.parametrize("svg", CHARTS)
def test_a_chart_is_well_formed_and_told_in_words(svg):
    root = ElementTree.fromstring(svg)

    assert root.get("viewBox", "").startswith("0 0 ")
    assert root.get("role") in ("img", "group")
    assert parts(svg, "title")[0].text
    assert parts(svg, "desc")[0].text


@pytest.mark.parametrize("svg", CHARTS)
def test_a_chart_keeps_a_strict_content_security_policy(svg):
    """No style attribute, no script, no reference to anywhere else."""
    assert not re.search(
        r"\sstyle=|<style|<script|\son\w+=|url\(|https?:", svg.replace("http://www.w3.org", "")
    )


@pytest.mark.parametrize("svg", CHARTS[:4])
def test_everything_drawn_lies_inside_the_frame(svg):
    (line,) = parts(svg, "polyline")
    (band,) = parts(svg, "polygon")
    drawn = numbers_of(line.get("points")) + numbers_of(band.get("points"))

    assert all(0 <= x <= WIDTH and 0 <= y <= HEIGHT for x, y in drawn)
    assert all(0 <= float(text.get("x")) <= WIDTH for text in parts(svg, "text"))


def test_the_curve_falls_from_left_to_right_and_its_band_holds_it():
    (line,) = parts(curve(), "polyline")
    (band,) = parts(curve(), "polygon")
    middle, edge = numbers_of(line.get("points")), numbers_of(band.get("points"))
    upper, lower = edge[: len(middle)], edge[len(middle) :][::-1]

    assert [x for x, _ in middle] == sorted(x for x, _ in middle)
    assert [y for _, y in middle] == sorted(y for _, y in middle)  # y grows downward
    assert all(
        top[1] <= between[1] <= bottom[1] for top, between, bottom in zip(upper, middle, lower, strict=True)
    )


def test_each_reading_is_a_dot_with_a_whisker_up_to_its_worst_face():
    (dot,) = [part for part in parts(curve(), "circle") if "dot" in part.get("class", "")]
    (whisker,) = [part for part in parts(curve(), "path") if part.get("class") == "whisker"]
    ends = [float(number) for number in re.findall(r"[\d.]+", whisker.get("d"))]

    assert float(dot.get("cx")) == ends[0]
    assert float(dot.get("cy")) == ends[1] > ends[2]


def test_the_limit_the_rain_and_the_day_are_named():
    words = words_in(curve())

    assert any("25 % on the pin" in text for text in words)
    assert {"first rain", "today"} <= set(words)


@pytest.mark.parametrize("day", [FIRST_RAIN, FIRST_RAIN - timedelta(1), FIRST_RAIN - timedelta(20)])
def test_today_and_the_first_rain_are_written_apart_however_near_they_are(day):
    """One stands on top and one at the foot: read side by side they named each other's line."""
    written = {"".join(part.itertext()): float(part.get("y")) for part in parts(curve(on=day), "text")}

    assert written["today"] - written["first rain"] > HEIGHT / 2


@pytest.mark.parametrize("days", [0, 14, 40, 100, 160])
def test_the_limit_is_named_where_no_upright_crosses_its_words(days):
    svg = curve(on=SPLIT_ON + timedelta(days))
    (words,) = [part for part in parts(svg, "text") if "on the pin" in "".join(part.itertext())]
    start = float(words.get("x"))
    uprights = [
        float(re.findall(r"[\d.]+", part.get("d"))[0])
        for part in parts(svg, "path")
        if part.get("class") in ("rain", "today")
    ]

    assert len(uprights) == 2
    assert not any(start <= x < start + 120 for x in uprights)


def test_another_limit_is_drawn_under_its_own_number():
    words = words_in(curve(limit_pct=20.0))

    assert any("20 % on the pin" in text for text in words)
    assert not any("25 % on the pin" in text for text in words)


def test_the_words_beside_a_curve_give_the_numbers_it_shows():
    told = parts(curve(readings=()), "desc")[0].text
    low, high = known().band_on(A_DAY)

    assert f"{known().median_on(A_DAY):.0f} % on the pin" in told
    assert f"between {low:.0f} and {high:.0f}" in told
    assert "likely dry on 8 September 2026" in told
    assert (
        "not at 25 % within three years"
        in parts(curve(share=0.05, start_pct=120, readings=()), "desc")[0].text
    )


def test_what_a_seller_typed_cannot_become_markup():
    title = 'Fir "<script>alert(1)</script>" & oak'
    svg = curve(title=title)

    assert parts(svg, "title")[0].text == title
    assert "<script>" not in svg

    bars = readiness_chart(
        [bar("<b>K1</b>", words="a & b", href="/lots/1?a=1&b=2")], on=A_DAY, first_rain=FIRST_RAIN
    )
    assert any("<b>K1</b> a & b" in text for text in words_in(bars))
    assert parts(bars, "a")[0].get("href") == "/lots/1?a=1&b=2"


def test_every_lot_has_its_row_its_words_and_its_mark():
    bars = [
        bar("K1"),
        bar("K2", is_ready=True, words="ready now"),
        bar("K3", early=None, likely=None, late=None),
    ]
    svg = readiness_chart(bars, on=A_DAY, first_rain=FIRST_RAIN)

    told = parts(svg, "desc")[0].text
    assert all(f"{one.code}: {one.words}" in told for one in bars)
    assert [sum(one.code in text for text in words_in(svg)) for one in bars] == [1, 1, 1]
    assert len([part for part in parts(svg, "rect") if part.get("class") in ("band", "col near")]) == 3


@settings(max_examples=40, deadline=None)
@given(
    st.floats(min_value=0.1, max_value=1.1),
    st.integers(min_value=-400, max_value=1500),
    st.integers(min_value=-400, max_value=1500),
    st.text(max_size=20),
)
def test_any_day_and_any_title_give_a_chart_that_parses(share, days, rain_days, title):
    drawn = drying_chart(
        known(share=round(share, 1)),
        readings=(READING,),
        on=SPLIT_ON + timedelta(days),
        first_rain=SPLIT_ON + timedelta(rain_days),
        title=title,
    )

    assert ElementTree.fromstring(drawn).tag.endswith("svg")

"""Charts are whole, accessible pictures that say their figures in words."""

import re
from decimal import Decimal
from fractions import Fraction
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from routing.core.charts import (
    Band,
    Bar,
    bars_chart,
    margins_chart,
    months_chart,
    near_far_chart,
    ranges_chart,
    shares_chart,
    swings_chart,
)
from routing.core.costs import minutes_rule
from routing.core.drawing import BadDrawing
from routing.core.guesses import Guess, HourGuesses, swings, wage_range
from routing.core.margins import Sale, WoodCost, margins_of_load
from routing.core.market import haul_or_not, kept_instead, side_of
from routing.core.shares import split_load
from routing.core.woodpiles import weight_beam, woodpile
from routing.core.worth import worth_by
from tests.routing.core.earned.demo import RATES, marrow_and_larch
from tests.routing.core.earned.test_market import coast
from tests.routing.core.earned.test_worth import SEASON

SVG = "{http://www.w3.org/2000/svg}"
RULE = minutes_rule()
GUESSES = HourGuesses(
    hours=(Guess.of("rounds", "2.5", "3", "4"), Guess.of("split", "1", "1.2", "1.5")),
    revenue=Guess.of("revenue", 250, 260, 280),
    expenses=Guess.known("expenses", 65),
)


def load_margin():
    wood = WoodCost(cash=Decimal(32), hours=Fraction("5.45"))
    return margins_of_load(
        (
            Sale(order="A", price=Decimal(100), cords=Fraction(1, 3), wood=wood),
            Sale(order="B", price=Decimal(242), cords=Fraction(2, 3), wood=wood, is_stacked=True),
        ),
        shares=split_load(marrow_and_larch(), rates=RATES, rule=RULE),
        rule=RULE,
        name="Friday <load>",
    )


def every_chart():
    answer = haul_or_not(
        side_of(coast(375), RULE), kept_instead(Decimal(150), Fraction(1)), target_wage=Decimal(25)
    )
    wages = wage_range(GUESSES)
    return {
        "margins": margins_chart([load_margin()], key="m"),
        "near and far": near_far_chart(answer, key="n"),
        "ranges": ranges_chart(
            [Band(label="an hour", low=wages.worst, middle=wages.likely, high=wages.best)],
            key="r",
            title="An hour",
            target=Decimal(25),
        ),
        "swings": swings_chart(swings(GUESSES), key="s", likely=wages.likely),
        "months": months_chart(worth_by(SEASON, "month"), key="o"),
        "shares": shares_chart(load_margin().shares, key="h"),
        "pile": woodpile(key="p", share=0.83, title="Fill"),
        "overfull pile": woodpile(key="q", share=1.4, title="Fill"),
        "beam": weight_beam(key="b", lb=5337, limit_lb=5100, title="Weight"),
    }


@pytest.mark.parametrize("name", every_chart())
def test_a_chart_is_one_named_picture_without_inline_style(name):
    text = every_chart()[name]
    root = ElementTree.fromstring(text)

    title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"
    assert title.text
    assert description.text.endswith(".")
    assert "style=" not in text
    assert "<script" not in text


@pytest.mark.parametrize("name", every_chart())
def test_a_chart_stays_inside_its_frame(name):
    root = ElementTree.fromstring(every_chart()[name])
    width, height = (float(part) for part in root.get("viewBox").split()[2:])

    for mark in root.iter():
        for reach, limit in (("x", width), ("x1", width), ("x2", width), ("y", height), ("y2", height)):
            if mark.get(reach) is not None:
                assert -0.01 <= float(mark.get(reach)) <= limit + 0.01
        if mark.tag == f"{SVG}rect":
            assert float(mark.get("x")) + float(mark.get("width")) <= width + 0.01
            assert float(mark.get("y")) + float(mark.get("height")) <= height + 0.01
        if mark.tag == f"{SVG}circle":
            assert float(mark.get("cx")) + float(mark.get("r")) <= width + 0.01


def test_a_description_says_the_figures():
    charts = every_chart()

    assert "Friday &lt;load&gt; $281.72 ($31.59/h)" in charts["margins"]
    assert "A pays $3.15, alone $5.32, saves $0.98 if dropped" in charts["shares"]
    assert "Nov $1,026" in charts["months"]
    assert "Apr -$33" in charts["months"]
    assert "5,337 of 5,100 lb, 237 lb too heavy." in charts["beam"]


def test_the_strongest_guess_stands_on_top():
    labels = re.findall(r">(rounds|split|revenue)<", every_chart()["swings"])

    assert labels == ["rounds", "revenue", "split"]


def test_a_loss_is_drawn_left_of_zero_and_marked():
    text = bars_chart(
        [Bar(label="Good", value=Decimal(60)), Bar(label="Bad", value=Decimal(-30))], key="k", title="T"
    )
    good, bad = ElementTree.fromstring(text).findall(f"{SVG}rect")

    assert (good.get("x"), good.get("width")) == ("120", "240")
    assert (bad.get("x"), bad.get("width"), bad.get("class")) == ("0", "120", "col bad")


@given(st.floats(0, 3, allow_nan=False))
def test_a_pile_is_full_only_when_the_load_is(share):
    text = woodpile(key="p", share=share, title="Fill")
    whole, gaps, over = (text.count(f'class="{kind}"') for kind in ("log-end", "log-gap", "log-over"))

    assert whole + gaps == 24
    assert (gaps == 0) == (share >= 1)
    assert (over > 0) == (share > 1)
    assert (whole == 0) == (share == 0)


def test_nothing_to_show_is_said_rather_than_drawn():
    with pytest.raises(BadDrawing, match="nothing to show"):
        bars_chart([], key="k", title="T")
    with pytest.raises(BadDrawing, match="less than empty"):
        woodpile(key="k", share=-0.1, title="T")
    with pytest.raises(BadDrawing, match="letters, digits"):
        woodpile(key='k" onload="x', share=0.1, title="T")
    with pytest.raises(BadDrawing, match="no month"):
        months_chart(worth_by(SEASON, "season"), key="k")

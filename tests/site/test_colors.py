"""Charts and maps hold for color-blind eyes, by day and by night: what stands together is told apart."""

import re
from itertools import combinations
from pathlib import Path

import pytest

from routing.maps.run_drawing import RUN_COLORS
from tests.site.color_vision import EYES, contrast, difference, lab, seen_by

ROOT = Path(__file__).resolve().parents[2]
CSS = (ROOT / "firewood_site/static/firewood_site/site.css").read_text("utf-8")
AT_A_GLANCE = 10  # CIEDE2000
A_MARK = 3  # WCAG 2.2, 1.4.11: a mark against what it lies on
WORDS = 4.5  # WCAG 2.2, 1.4.3: words on it
TOGETHER = {
    "parts of a stack, near beside far": ("near", "col", "planned"),
    "bars with a loss": ("col", "neg", "limit"),
    "near and less than wanted": ("far", "below", "limit"),
    "a calendar": ("near", "band", "whisk", "rain"),
    "a drying curve": ("band", "line", "dot", "rain"),
    "a range": ("band", "act", "whisk"),
}
ONE_SHAPE = {
    "runs on a map": ("run-a", "run-b", "run-c"),
    "log ends, filled": ("wood", "moss", "sunk"),
    "log ends, outlined": ("bar", "ochre", "bark"),
    "a load's weight, and too much of it": ("wood", "ember"),
    "a heap's pieces": ("t1", "t2", "t3", "t4"),
}


def names_in(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})\b", block))


BY_DAY, BY_NIGHT = (
    block[1] for block in re.finditer(r"^ *:root \{(.*?)\}", CSS, re.M | re.S) if "--moss" in block[1]
)
HEAP = names_in(re.search(r"^\.heap \{(.*?)\}", CSS, re.M)[1])
LIGHTS = {"day": names_in(BY_DAY) | HEAP, "night": names_in(BY_DAY) | HEAP | names_in(BY_NIGHT)}


def color_of(look: str, light: str) -> str:
    """The color a kind of mark is drawn in: its line where it has one, as outlined marks do."""
    rules = "".join(
        body
        for heads, body in re.findall(r"([^{}]*)\{([^{}]*)\}", CSS)
        if f".plot .{look}" in [head.strip() for head in heads.split(",")]
    )
    drawn = dict(re.findall(r"(fill|stroke): var\(--([\w-]+)\)", rules))
    if look in ("dot", "act"):  # their line only parts them from what lies below
        drawn.pop("stroke")
    return LIGHTS[light][drawn.get("stroke") or drawn["fill"]]


def told_apart(colors: dict[str, str]) -> list[tuple[str, str, str, int]]:
    return [
        (one, other, eyes, round(apart))
        for eyes in EYES
        for one, other in combinations(colors, 2)
        if colors[one] != colors[other]
        and (apart := difference(*(lab(seen_by(colors[name], eyes)) for name in (one, other)))) < AT_A_GLANCE
    ]


@pytest.mark.parametrize("light", LIGHTS)
@pytest.mark.parametrize("picture", TOGETHER)
def test_marks_of_a_chart_are_told_apart_and_stand_out(picture, light):
    colors = {look: color_of(look, light) for look in TOGETHER[picture]}

    assert told_apart(colors) == []
    assert {
        look: color for look, color in colors.items() if contrast(color, LIGHTS[light]["sheet"]) < A_MARK
    } == {}


@pytest.mark.parametrize("light", LIGHTS)
@pytest.mark.parametrize("picture", ONE_SHAPE)
def test_colors_that_alone_tell_two_things_apart_do_it_for_every_eye(picture, light):
    assert told_apart({name: LIGHTS[light][name] for name in ONE_SHAPE[picture]}) == []


@pytest.mark.parametrize("light", LIGHTS)
@pytest.mark.parametrize("run", ONE_SHAPE["runs on a map"])
def test_a_run_stands_out_on_the_map_and_its_number_is_read(run, light):
    here = LIGHTS[light]

    assert contrast(here[run], here["map-paper"]) >= A_MARK
    assert contrast(here[run], here["run-ink"]) >= WORDS


def test_a_printed_map_has_the_colors_of_the_page():
    assert tuple(LIGHTS["day"][name] for name in ONE_SHAPE["runs on a map"]) == RUN_COLORS


@pytest.mark.parametrize(
    ("one", "other", "apart"),
    [
        ((50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425),
        ((50, -1, 2), (50, 0, 0), 2.3669),
        ((50, 2.49, -0.001), (50, -2.49, 0.0009), 7.1792),
        ((50, 2.5, 0), (73, 25, -18), 27.1492),
        ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
        ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
    ],
)  # pairs of Sharma, Wu and Dalal 2005, table 1
def test_the_difference_is_the_published_one(one, other, apart):
    assert difference(one, other) == pytest.approx(apart, abs=5e-5)


def test_every_eye_sees_white_and_black_as_they_are():
    for eyes in EYES:
        assert seen_by("#ffffff", eyes) == pytest.approx((1, 1, 1), abs=0.001)
        assert seen_by("#000000", eyes) == (0, 0, 0)

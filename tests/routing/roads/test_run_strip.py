"""A run as a line of time: promised hours that overlap are told apart."""

import re

from routing.maps.run_strip import HOUR, StripHalt, draw_strip


def drop(mark, *window):
    begin = int(window[0] * HOUR) if window else 8 * HOUR
    return StripHalt(
        kind="drop", mark=mark, name=f"Drop {mark}", arrive_s=begin, begin_s=begin, leave_s=begin + 600,
        window=(int(window[0] * HOUR), int(window[1] * HOUR)) if window else None,
    )  # fmt: skip


def brackets(*halts):
    """Of each promise its lane's height on the drawing, from left to right; and the drawing's own height."""
    drawn = draw_strip(halts, leaves_s=7 * HOUR, first_s=7 * HOUR, last_s=15 * HOUR, run=0, says="A run")
    found = re.findall(r'class="window" x1="([\d.]+)%" x2="([\d.]+)%" y1="(\d+)" y2="\3"', drawn)
    rows = sorted((float(left), float(right), int(y)) for left, right, y in found)
    return [y for _, _, y in rows], int(re.search(r'height="(\d+)"', drawn)[1])


def test_promises_that_overlap_stand_one_above_the_other():
    high, _ = brackets(drop("1", 8.5, 10), drop("2", 9.5, 12), drop("3", 11, 12.5))

    assert high[0] != high[1] != high[2]
    assert high[0] == high[2]  # the first is over before the third begins


def test_promises_that_share_an_end_are_told_apart():
    high, _ = brackets(drop("1", 8, 10), drop("2", 10, 12))

    assert high[0] != high[1]


def test_the_drawing_grows_with_its_lanes_only():
    _, none = brackets(drop("1"))
    _, one = brackets(drop("1", 8, 9), drop("2", 10, 11))
    _, two = brackets(drop("1", 8, 11), drop("2", 10, 12))

    assert none < one < two


def test_a_load_filled_at_two_yards_has_one_name():
    def filled(hour):
        at = int(hour * HOUR)
        return StripHalt(
            kind="load", mark="", name="Yard", arrive_s=at, begin_s=at, leave_s=at + HOUR, share=0.5
        )

    halts = [filled(8), drop("1", 9.5, 10), filled(10), filled(11.5), drop("2", 13, 14)]
    drawn = draw_strip(halts, leaves_s=7 * HOUR, first_s=7 * HOUR, last_s=15 * HOUR, run=0, says="A run")

    assert re.findall(r">(L(?:oad )?\d)<", drawn) == ["Load 1", "Load 2", "Load 2"]

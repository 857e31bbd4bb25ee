"""A run as a line of time: promised hours that overlap are told apart."""

import re
from types import SimpleNamespace

from routing.core.day_clock import HaltTimes, time_at
from routing.maps.run_strip import HOUR, draw_strip


def halt(kind, begin, *, minutes, mark="", name="Yard", hours=None, box_share=0.0):
    at, leave = time_at(int(begin * HOUR)), time_at(int(begin * HOUR) + 60 * minutes)
    planned = HaltTimes(arrive_at=at, begin_at=at, leave_at=leave, leg_meters=0, leg_seconds=0)
    return SimpleNamespace(
        kind=kind, mark=mark, name=name, planned=planned, hours=hours, box_share=box_share, is_done=False
    )


def drop(mark, *hours):
    hours = tuple(time_at(int(hour * HOUR)) for hour in hours)
    begin = hours[0].hour + hours[0].minute / 60 if hours else 8
    return halt("drop", begin, minutes=10, mark=mark, name=f"Drop {mark}", hours=hours or None)


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
        return halt("load", hour, minutes=60, box_share=0.5)

    halts = [filled(8), drop("1", 9.5, 10), filled(10), filled(11.5), drop("2", 13, 14)]
    drawn = draw_strip(halts, leaves_s=7 * HOUR, first_s=7 * HOUR, last_s=15 * HOUR, run=0, says="A run")

    assert re.findall(r">(L(?:oad )?\d)<", drawn) == ["Load 1", "Load 2", "Load 2"]

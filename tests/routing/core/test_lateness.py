"""New times keep the plan's drives and move only the clock."""

import itertools

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from routing.core.lateness import Halt, chance_in_time, new_times

HOUR, MINUTE = 3600, 60


def at(hour: int, minute: int = 0) -> int:
    return hour * HOUR + minute * MINUTE


def morning() -> list[Halt]:
    """The first load of worked example 11: Creek, Marrow, Siding, Marrow, Larch."""
    plan = [
        ("Creek", 17, 46, at(7), at(7, 47)),
        ("Marlow", 18, 40, at(8, 30), at(8, 51)),
        ("Siding", 8, 46, at(6), at(9, 39)),
        ("Greta", 8, 20, at(8), at(10, 33)),
        ("Pilar", 25, 80, at(11), at(11, 18)),
    ]
    return [
        Halt(name=name, drive_s=drive * 60, stay_s=stay * 60, begins_from_s=opens, planned_arrive_s=arrive)
        for name, drive, stay, opens, arrive in plan
    ]


def test_a_run_that_leaves_on_time_keeps_the_plans_times():
    times = new_times(morning(), left_s=at(7, 30), now_s=at(7, 30))

    assert [time.late_s for time in times] == [0, 0, 0, 0, 0]
    assert times[-1].leave_s == at(12, 38)


def test_leaving_half_an_hour_late_moves_every_halt_by_half_an_hour():
    times = new_times(morning(), left_s=at(8), now_s=at(8))

    assert {time.late_minutes for time in times} == {30}


def test_a_window_that_opens_later_swallows_earliness():
    times = new_times(morning(), left_s=at(7), now_s=at(7))

    assert times[0].late_minutes == -30
    assert times[1].leave_s == at(9, 10)  # there at 8:21, may begin at 8:30


def test_a_halt_that_takes_longer_than_planned_pushes_the_next_ones():
    halts = morning()
    halts[0] = Halt(
        name="Creek",
        drive_s=17 * 60,
        stay_s=46 * 60,
        planned_arrive_s=at(7, 47),
        arrived_s=at(7, 47),
        done_s=at(9),
    )

    times = new_times(halts, left_s=at(7, 30), now_s=at(9, 5))

    assert times[0].is_done
    assert times[1].arrive_s == at(9, 18)
    assert times[1].late_minutes == 27


def test_a_halt_not_reached_yet_is_not_reached_before_now():
    times = new_times(morning(), left_s=at(7, 30), now_s=at(8, 15))

    assert times[0].arrive_s == at(8, 15)


@settings(suppress_health_check=[HealthCheck.too_slow])  # a busy machine draws slowly
@given(
    left=st.integers(0, 40_000),
    now=st.integers(0, 80_000),
    legs=st.lists(st.tuples(st.integers(0, 9_000), st.integers(0, 9_000)), min_size=1, max_size=8),
)
def test_times_never_run_backward(left, now, legs):
    halts = [Halt(name=str(n), drive_s=drive, stay_s=stay) for n, (drive, stay) in enumerate(legs)]

    times = new_times(halts, left_s=left, now_s=now)

    for before, after in itertools.pairwise(times):
        assert before.arrive_s <= before.leave_s <= after.arrive_s


def test_the_chance_to_be_in_time_falls_along_a_run_and_rises_with_spare_time():
    early, late = chance_in_time([1800], spare_s=1800), chance_in_time([1800] * 9, spare_s=1800)

    assert 0.5 < late < early < 1
    assert chance_in_time([1800] * 9, spare_s=7200) > 0.99
    assert chance_in_time([1800], spare_s=0) == pytest.approx(0.5)
    assert chance_in_time([1800], spare_s=-3600) < 0.01
    assert (chance_in_time([], spare_s=0), chance_in_time([], spare_s=-1)) == (1, 0)

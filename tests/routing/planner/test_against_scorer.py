"""The clock and the referee against the given scorer, on random tiny plans with every optional field."""

import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from routing.planner.clock import NoSuchTime, timed
from routing.planner.hand_edits import judged
from routing.planner.plan_format import problem_from, runs_document, sketch_from

from .test_referee import scorer

SCORE = scorer().score
HOUR = 3600
# what the scorer calls a reason and the referee a rule; the scorer knows no pins, crews or stated times
KEYWORDS = {"plan", "date", "trailer", "capacity", "fill", "stock", "split", "road"}
KEYWORDS |= {"clock", "shared", "pause", "hours"}


def drawn(draw: random.Random, *, most: int = 5) -> tuple[dict[str, Any], dict[str, Any]]:
    """An instance of two yards, two or three rigs, a few orders, each optional field in it or not; a plan."""
    orders = draw.randint(2, most)
    size = 2 + orders
    rigs = [_rig(draw, f"R{n}") for n in range(draw.randint(2, 3))]
    instance = {
        "format": "firewood-plan-2",
        "name": "drawn",
        "dates": ["Monday", "Tuesday"],
        "woods": [
            {"id": "fir", "lb_12": 240, "ft3_12": 15},
            {"id": "kindling", "lb_12": draw.choice([190, 200]), "ft3_12": 12, "bed": True},
            {"id": "cedar", "lb_12": 170, "ft3_12": 13, "bed": draw.random() < 0.5},
        ],
        "yards": [
            {
                "id": f"Y{n}",
                "loc": n,
                "open_s": draw.choice([6, 8]) * HOUR,
                "close_s": draw.choice([9, 18, 18, 18]) * HOUR,
                "load_fixed_s": draw.choice([0, 600]),
                "load_s_12": draw.choice([60, 173]),
                "stock_12": {
                    "fir": draw.choice([3, 40, 40]),
                    "kindling": 30,
                    "cedar": draw.choice([0, 30, 30]),
                },
            }
            for n in range(2)
        ],
        "trucks": [{"id": "T", "hitch_s": draw.choice([0, 900])}],
        "rigs": rigs,
        "runs": [_run(draw, f"S{n}", draw.choice(rigs)["id"]) for n in range(3)],
        "orders": [_order(draw, n) for n in range(orders)],
        "fill_yards": draw.choice([1, 2, 2]),
        "road_tables": {
            name: _table(draw, size, nulls=name != "plain") for name in ("plain", "light", "heavy")
        },
    }
    return instance, {"runs": _plan(draw, instance)}


def _rig(draw: random.Random, name: str) -> dict[str, Any]:
    rig: dict[str, Any] = {
        "id": name,
        "home": "Y0",
        "trailer": draw.random() < 0.7,
        "cap_ft3": draw.choice([90, 180]),
        "cap_lb": draw.choice([1500, 3000, 3000]),
        "loaded_c_km": 5 * draw.randint(5, 12),
        "empty_c_km": 5 * draw.randint(4, 10),
        "fixed_c": draw.choice([0, 500]),
        "road": "plain",
    }
    if draw.random() < 0.6:
        rig["truck"] = "T"
    if draw.random() < 0.5:
        rig |= {"bed_ft3": draw.choice([20, 45]), "bed_lb": draw.choice([0, 500, 900])}
    if draw.random() < 0.5:
        bands = [{"over_lb": 0, "table": "plain"}, {"over_lb": 700, "table": "light"}]
        rig["roads"] = bands + [{"over_lb": 1440, "table": "heavy"}] * draw.randint(0, 1)
    return rig


def _run(draw: random.Random, name: str, rig: str) -> dict[str, Any]:
    run: dict[str, Any] = {
        "id": name,
        "rig": rig,
        "date": draw.choice([0, 0, 0, 0, 1]),
        "start_s": draw.choice([6, 7]) * HOUR,
        "end_s": draw.choice([11, 20, 20]) * HOUR,
        "max_s": draw.choice([3, 12, 12]) * HOUR,
        "wage_c_h": draw.choice([0, 2417]),
    }
    if draw.random() < 0.5:
        run["driver"] = "Ruth"
    if draw.random() < 0.5:
        first = draw.choice([8, 9, 11]) * HOUR
        run |= {
            "break_s": draw.choice([900, 2700]),
            "break_window_s": [first, first + draw.choice([0, 3600])],
        }
    return run


def _order(draw: random.Random, number: int) -> dict[str, Any]:
    start = draw.choice([6, 7, 9])
    woods = draw.sample(["fir", "kindling", "cedar"], draw.choice([1, 1, 2]))
    parts = [{"id": f"O{number}.1", "lines": {wood: draw.randint(1, 5) for wood in woods}}]
    if draw.random() < 0.1:
        parts.append({"id": f"O{number}.2", "lines": {"fir": 2}})
    return {
        "id": f"O{number}",
        "loc": 2 + number,
        "window_s": [start * HOUR, (start + draw.choice([2, 12, 12, 12])) * HOUR],
        "dates": draw.choice([[0], [0, 1], [0, 1], [0, 1]]),
        "no_trailer": draw.random() < 0.05,
        "stop_s": draw.choice([300, 1500]),
        "unload_s_12": 50,
        "price_c": 0,
        "value_c": draw.randint(1000, 9000),
        "postpone_c": 100,
        "parts": parts,
    }


def _table(draw: random.Random, size: int, *, nulls: bool) -> dict[str, list[list[int | None]]]:
    meters: list[list[int | None]] = [
        [0 if a == b else draw.randint(500, 9_000) for b in range(size)] for a in range(size)
    ]
    seconds = [[None if m is None else m * draw.choice([7, 9]) // 100 for m in row] for row in meters]
    if nulls:
        for _ in range(draw.randint(0, 2)):
            a, b = draw.randrange(size), draw.randrange(size)
            if a != b:
                meters[a][b] = seconds[a][b] = None
    return {"meters": meters, "seconds": seconds}


def _plan(draw: random.Random, instance: dict[str, Any]) -> list[dict[str, Any]]:
    """A few loads in a few runs; now and then a part is forgotten, named twice or filled at two yards."""
    parts = [part["id"] for order in instance["orders"] for part in order["parts"]]
    draw.shuffle(parts)
    parts = parts[: draw.randint(1, min(4, len(parts)))]
    runs = draw.sample(instance["runs"], draw.choice([1, 2, 2, 3]))
    rows: list[dict[str, Any]] = [{"run": run["id"], "loads": []} for run in runs]
    while parts:
        stops = [parts.pop() for _ in range(min(len(parts), draw.randint(1, 3)))]
        load: dict[str, Any] = {"yard": draw.choice(["Y0", "Y1"]), "stops": stops}
        if len(stops) > 1 and draw.random() < 0.4:
            load = {
                "fill": [{"yard": "Y1", "parts": stops[1:]}, {"yard": "Y0", "parts": stops[:1]}],
                "stops": stops,
            }
        draw.choice(rows)["loads"].append(load)
    return [row for row in rows if row["loads"]]


@settings(max_examples=400, deadline=None)
@given(seed=st.integers(0, 10**9))
def test_the_referee_says_what_the_scorer_says(seed):
    """Same verdict and same cost; where both refuse, the same reasons."""
    instance, document = drawn(random.Random(seed))
    problem = problem_from(instance)

    plan, verdict = judged(problem, sketch_from(document))

    given_verdict = SCORE(instance, document)
    assert verdict.ok == given_verdict["feasible"], (verdict.faults, given_verdict["errors"])
    assert set(verdict.rules) & KEYWORDS == set(given_verdict["reasons"])
    assert verdict.cost_c == given_verdict["cost_c"]
    if verdict.ok:
        assert runs_document(timed(problem, plan.sketch)) == document["runs"]


def test_enough_of_what_is_drawn_can_be_driven_with_every_field():
    """The property above would say little of plans that are all refused."""
    drivable = paused = two_yards = shared = 0
    for seed in range(600):
        instance, document = drawn(random.Random(seed))
        problem = problem_from(instance)
        if not SCORE(instance, document)["feasible"]:
            continue
        plan = timed(problem, sketch_from(document))
        drivable += 1
        paused += any(run.pause_s for run in plan.runs)
        two_yards += any(len(load.fills) > 1 for run in plan.runs for load in run.loads)
        runs = {run.id: run for run in problem.runs}
        shared += any(
            problem.wait_between(runs[a.id], runs[b.id]) is not None for a in plan.runs for b in plan.runs
        )
    assert drivable >= 100
    assert min(paused, two_yards, shared) >= 5, (paused, two_yards, shared)


@pytest.mark.parametrize("seed", range(60))
def test_a_run_no_clock_can_keep_is_named(seed):
    """The clock refuses exactly the plans in which the referee finds clock, road or pause at fault."""
    instance, document = drawn(random.Random(seed))
    problem = problem_from(instance)
    _, verdict = judged(problem, sketch_from(document))

    try:
        timed(problem, sketch_from(document))
        is_kept = True
    except NoSuchTime:
        is_kept = False

    assert is_kept == (not {"clock", "shared", "pause", "road"} & set(verdict.rules))

"""Small named days, and a maker of random ones, for the planner's tests."""

import random
from fractions import Fraction
from itertools import permutations, product
from typing import Any

from routing.planner.clock import NoSuchTime, timed
from routing.planner.fleet import PlanRig, PlanRun, RoadBand, Roads
from routing.planner.plan import Plan
from routing.planner.problem import DayProblem, PlanOrder, PlanPart, PlanYard, Wood
from routing.planner.sketches import RunSketch

FIR = Wood(id="fir", lb_per_cord=2880, ft3_per_cord=180, name="dry fir")
OAK = Wood(id="oak", lb_per_cord=4200, ft3_per_cord=180, name="dry oak")


def roads_between(places: list[tuple[int, int]], *, m_per_step: int = 1000, s_per_step: int = 90) -> Roads:
    """Roads along a grid: so many meters and seconds a step."""
    steps = [[abs(x1 - x2) + abs(y1 - y2) for x2, y2 in places] for x1, y1 in places]
    return Roads.of(
        [[m_per_step * n for n in row] for row in steps], [[s_per_step * n for n in row] for row in steps]
    )


def yard(name: str, loc: int, **changes: Any) -> PlanYard:
    """A yard open from six to six with two cords of fir."""
    given: dict[str, Any] = {
        "id": name,
        "loc": loc,
        "open_s": 6 * 3600,
        "close_s": 18 * 3600,
        "load_fixed_s": 300,
        "load_s_per_cord": 1200,
        "stock": (("fir", 24),),
    }
    return PlanYard(**given | changes)


def rig(name: str, home: str, **changes: Any) -> PlanRig:
    """A one-cord trailer."""
    given: dict[str, Any] = {
        "id": name,
        "home": home,
        "roads": (RoadBand(over_lb=0, table="road"),),
        "has_trailer": True,
        "cap_ft3": 180,
        "cap_lb": 5100,
        "loaded_c_km": Fraction(50),
        "empty_c_km": Fraction(40),
        "fixed_c": 500,
    }
    return PlanRig(**given | changes)


def rig_run(name: str, of: str, **changes: Any) -> PlanRun:
    """Seven to five at 24 dollars an hour."""
    given: dict[str, Any] = {
        "id": name,
        "rig": of,
        "date": 0,
        "start_s": 7 * 3600,
        "end_s": 17 * 3600,
        "max_s": 9 * 3600,
        "wage_c_h": 2400,
    }
    return PlanRun(**given | changes)


def order(name: str, loc: int, **changes: Any) -> PlanOrder:
    """Half a cord of fir, any time of the day, worth a hundred dollars."""
    quantity = changes.pop("quantity", 6)
    wood = changes.pop("wood", "fir")
    given: dict[str, Any] = {
        "id": name,
        "loc": loc,
        "window_s": (8 * 3600, 17 * 3600),
        "dates": (0,),
        "parts": (PlanPart(id=f"{name}.1", lines=((wood, quantity),)),),
        "stop_s": 400,
        "unload_s_per_cord": 600,
        "value_c": 10_000,
        "postpone_c": 500,
    }
    return PlanOrder(**given | changes)


def day(**changes: Any) -> DayProblem:
    """Two yards, one trailer, five drops."""
    places = [(0, 0), (10, 0), (3, 4), (12, 3), (8, -5), (-4, 2), (14, -2)]
    given: dict[str, Any] = {
        "name": "two yards, five drops",
        "dates": ("Friday",),
        "woods": (FIR, OAK),
        "yards": (yard("Siding", 0), yard("Creek", 1, stock=(("fir", 12), ("oak", 12)))),
        "rigs": (rig("big", "Siding"),),
        "runs": (rig_run("Friday-big", "big"),),
        "orders": (
            order("Finch", 2),
            order("Sool", 3, quantity=4, wood="oak"),
            order("Tanner", 4, window_s=(8 * 3600, 10 * 3600)),
            order("Keats", 5, quantity=3),
            order("Bardo", 6, quantity=12),
        ),
        "roads": (("road", roads_between(places)),),
    }
    return DayProblem(**given | changes)


def random_day(seed: int, *, orders: int = 4, runs: int = 1, yards: int = 2) -> DayProblem:
    """A small day drawn by chance: windows, woods, stock, two-part orders and no-trailer places among it."""
    draw = random.Random(seed)
    places = [(draw.randint(-15, 15), draw.randint(-15, 15)) for _ in range(yards + orders)]
    made = []
    for n in range(orders):
        start = draw.choice([8, 8, 10, 13])
        lines = ((draw.choice(["fir", "oak"]), draw.choice([3, 4, 6, 8])),)
        parts = [PlanPart(id=f"O{n}.1", lines=lines)]
        if draw.random() < 0.2:
            parts.append(PlanPart(id=f"O{n}.2", lines=(("fir", 6),)))
        made.append(
            order(
                f"O{n}",
                yards + n,
                parts=tuple(parts),
                window_s=(start * 3600, (start + draw.choice([2, 4, 9])) * 3600),
                dates=(0,) if draw.random() < 0.7 else (0, 1),
                no_trailer=draw.random() < 0.15,
                value_c=draw.choice([1500, 4000, 9000, 15000]),
                unload_s_per_cord=draw.choice([600, 3240]),
            )
        )
    # a pair of rigs for every two runs, so that no two runs of a date wait for one another
    pairs = ["", *(str(n) for n in range(2, runs // 2 + 2))]
    rigs = [rig(f"big{n}", "Y0") for n in pairs]
    rigs += [rig(f"small{n}", "Y0", has_trailer=False, cap_ft3=90, cap_lb=2100, fixed_c=200) for n in pairs]
    return day(
        name=f"drawn {seed}",
        dates=("Friday", "Saturday"),
        yards=tuple(
            yard(f"Y{n}", n, stock=(("fir", draw.choice([0, 8, 30])), ("oak", draw.choice([0, 12, 30]))))
            for n in range(yards)
        ),
        rigs=tuple(rigs),
        runs=tuple(
            rig_run(
                f"S{n}",
                draw.choice(["big", "small"]) + pairs[n // 2],
                date=n % 2,
                max_s=draw.choice([4, 7, 9]) * 3600,
            )
            for n in range(runs)
        ),
        orders=tuple(made),
        roads=(("road", roads_between(places)),),
    )


def all_plans(problem: DayProblem) -> list[Plan]:
    """Every plan of a one-run day: each choice, order, cut into loads and yards. For very small days."""
    [only] = problem.runs
    parts = [part.id for o in problem.orders for part in o.parts]
    found = [Plan()]
    for size in range(1, len(parts) + 1):
        for sequence in permutations(parts, size):
            for cuts in product([False, True], repeat=size - 1):
                loads = _cut(sequence, cuts)
                for yards in product([y.id for y in problem.yards], repeat=len(loads)):
                    sketch: RunSketch = (only.id, tuple(zip(yards, loads, strict=True)))
                    try:
                        found.append(timed(problem, (sketch,)))
                    except NoSuchTime:
                        continue
    return found


def _cut(sequence: tuple[str, ...], cuts: tuple[bool, ...]) -> list[tuple[str, ...]]:
    loads = [[sequence[0]]]
    for part, is_cut in zip(sequence[1:], cuts, strict=True):
        if is_cut:
            loads.append([])
        loads[-1].append(part)
    return [tuple(load) for load in loads]

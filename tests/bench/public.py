"""Public routing instances as day problems, so that the same planner solves them.

CVRP (Augerat et al., EUC_2D rounded) and MDVRP (Cordeau, Gendreau, Laporte, real distances times 10,000): a
depot is a yard, a vehicle is a run with one load. Nothing may be left out.
"""

import csv
import math
from fractions import Fraction
from pathlib import Path

from routing.planner.fleet import PlanRig, PlanRun, RoadBand, Roads
from routing.planner.problem import DayProblem, PlanOrder, PlanPart, PlanYard, Wood

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "instances" / "public"
MDVRP_SCALE = 10_000
MUST_CENTS = 50_000_000
LONG_S = 10_000_000


def best_known() -> dict[str, float]:
    """Best cost known of each public instance."""
    with (FOLDER / "best_known.csv").open(encoding="utf-8") as file:
        return {row["name"]: float(row["best_known"]) for row in csv.DictReader(file)}


def public_names() -> list[str]:
    """All public instances at hand."""
    return [
        *sorted(p.stem for p in FOLDER.glob("cvrp-*/*.vrp")),
        *sorted(p.stem for p in FOLDER.glob("mdvrp*/*.txt")),
    ]


def public_problem(name: str) -> tuple[DayProblem, float]:
    """The problem and by how much its cost in cents is scaled."""
    [path] = [*FOLDER.glob(f"cvrp-*/{name}.vrp"), *FOLDER.glob(f"mdvrp*/{name}.txt")]
    if path.suffix == ".vrp":
        return _cvrp(name, path.read_text(encoding="utf-8")), 1.0
    return _mdvrp(name, path.read_text(encoding="utf-8")), float(MDVRP_SCALE)


def _cvrp(name: str, text: str) -> DayProblem:
    lines = text.split("\n")
    capacity = int(next(line for line in lines if line.startswith("CAPACITY")).split(":")[1])
    at = {key: next(n for n, line in enumerate(lines) if line.startswith(key)) for key in _SECTIONS}
    places = [tuple(map(float, line.split()[1:3])) for line in lines[at["NODE"] + 1 : at["DEMAND"]]]
    demands = [int(line.split()[1]) for line in lines[at["DEMAND"] + 1 : at["DEPOT"]]]
    distances = [[math.floor(math.hypot(x1 - x2, y1 - y2) + 0.5) for x2, y2 in places] for x1, y1 in places]
    fleet = int(name.rsplit("-k", 1)[1])
    return _problem(name, distances, [0], demands[1:], capacity, [fleet], [None])


_SECTIONS = {"NODE": "NODE_COORD_SECTION", "DEMAND": "DEMAND_SECTION", "DEPOT": "DEPOT_SECTION"}


def _mdvrp(name: str, text: str) -> DayProblem:
    rows = [line.split() for line in text.split("\n") if line.strip()]
    _, vehicles, customers, depots = map(int, rows[0][:4])
    limits = [(float(row[0]), int(row[1])) for row in rows[1 : 1 + depots]]
    nodes = [(float(row[1]), float(row[2])) for row in rows[1 + depots : 1 + depots + customers + depots]]
    demands = [int(row[4]) for row in rows[1 + depots : 1 + depots + customers]]
    service = [float(row[3]) for row in rows[1 + depots : 1 + depots + customers]]
    places = nodes[customers:] + nodes[:customers]
    distances = [
        [round(MDVRP_SCALE * math.hypot(x1 - x2, y1 - y2)) for x2, y2 in places] for x1, y1 in places
    ]
    longest = [round(MDVRP_SCALE * duration) if duration else None for duration, _ in limits]
    return _problem(
        name,
        distances,
        list(range(depots)),
        demands,
        limits[0][1],
        [vehicles] * depots,
        longest,
        [round(MDVRP_SCALE * s) for s in service],
    )


def _problem(
    name: str,
    distances: list[list[int]],
    depots: list[int],
    demands: list[int],
    capacity: int,
    fleets: list[int],
    longest: list[int | None],
    service: list[int] | None = None,
) -> DayProblem:
    """Each depot's vehicles load once: loading takes longer than half of the yard's day."""
    stay = LONG_S
    return DayProblem(
        name=name,
        dates=("day",),
        woods=(Wood(id="w", lb_per_cord=0, ft3_per_cord=1),),
        yards=tuple(
            PlanYard(
                id=f"Y{d}",
                loc=d,
                open_s=0,
                close_s=stay,
                load_fixed_s=stay,
                load_s_per_cord=0,
                stock=(("w", sum(demands)),),
            )
            for d in depots
        ),
        rigs=tuple(
            PlanRig(
                id=f"R{d}-{v}",  # one each: runs of one rig are driven one after the other
                home=f"Y{d}",
                roads=(RoadBand(over_lb=0, table="road"),),
                has_trailer=False,
                cap_ft3=capacity,
                cap_lb=0,
                loaded_c_km=Fraction(1000),
                empty_c_km=Fraction(1000),
            )
            for d, fleet in zip(depots, fleets, strict=True)
            for v in range(fleet)
        ),
        runs=tuple(
            PlanRun(
                id=f"S{d}-{v}",
                rig=f"R{d}-{v}",
                date=0,
                start_s=0,
                end_s=stay + (10**9 if limit is None else limit),
                max_s=stay + (10**9 if limit is None else limit),
                wage_c_h=0,
            )
            for d, fleet, limit in zip(depots, fleets, longest, strict=True)
            for v in range(fleet)
        ),
        orders=tuple(
            PlanOrder(
                id=f"O{n}",
                loc=len(depots) + n,
                window_s=(0, 10**9),
                dates=(0,),
                parts=(PlanPart(id=f"O{n}.1", lines=(("w", demand),)),),
                stop_s=service[n] if service else 0,
                value_c=MUST_CENTS,
            )
            for n, demand in enumerate(demands)
        ),
        roads=(("road", Roads.of(distances, distances)),),
        wood_units_per_cord=1,
    )

"""The planning bench: every instance planned in its own process, priced by the given scorer."""

import csv
import importlib.util
import json
import os
import resource
import subprocess
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

from routing.planner.plan_format import plan_document, problem_from
from routing.planner.solve import StopRule, plan, warm_up
from tests.bench.public import best_known, public_names, public_problem

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "instances"
HEADINGS = (
    f"{'instance':<12}{'cost':>12}{'bound':>12}{'gap %':>8}{'best known':>12}{'to best %':>10}"
    f"{'first s':>8}{'best s':>8}{'all s':>7}{'MB':>6}  status"
)


def reference() -> dict[str, dict[str, str]]:
    """The reference costs by instance."""
    with (FOLDER / "reference.csv").open(encoding="utf-8") as file:
        return {row["name"]: row for row in csv.DictReader(file)}


def scorer() -> ModuleType:
    """The given scorer, the outside judge."""
    spec = importlib.util.spec_from_file_location("score", FOLDER / "score.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def planned(name: str, *, seconds: float, seed: int, threads: int) -> dict[str, Any]:
    """Plan one instance in this process and say what came out."""
    warm_up()
    is_public = not (FOLDER / f"{name}.json").exists()
    scale = 1.0
    if is_public:
        problem, scale = public_problem(name)
    else:
        instance = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
        problem = problem_from(instance)
    result = plan(problem, stop=StopRule(seconds=seconds), seed=seed, threads=threads)
    cost = float(result.cost_c)
    if not is_public:
        judged = scorer().score(instance, plan_document(problem, result))
        if not judged["feasible"]:
            raise SystemExit(f"{name}: the scorer refuses the plan: {judged['errors']}")
        cost = float(judged["cost_c"])
    improved = [moment for moment in result.history if moment.cost_c == result.cost_c]
    return {
        "cost": cost / scale,
        "bound": None if result.lower_bound_c is None else result.lower_bound_c / scale,
        "status": result.status,
        "first_s": result.history[0].seconds if result.history else 0.0,
        "best_s": improved[0].seconds if improved else result.seconds,
        "seconds": result.seconds,
        "steps": result.steps,
        "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
    }


def in_own_process(module: str, name: str, options: list[str]) -> dict[str, Any]:
    """Run one instance in a fresh interpreter on one thread."""
    one_thread = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "NUMBA_NUM_THREADS": "1"}
    done = subprocess.run(
        [sys.executable, "-m", module, "--one", name, *options],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | one_thread,
    )
    if done.returncode:
        raise SystemExit(f"{name}: {done.stderr or done.stdout}")
    answer: dict[str, Any] = json.loads(done.stdout.strip().split("\n")[-1])
    return answer


def table_row(name: str, found: dict[str, Any], best: float | None) -> str:
    """One line of the table."""
    bound, cost = found["bound"], found["cost"]
    digits = 0 if cost == int(cost) else 2
    gap = "" if bound is None else f"{100 * (cost - bound) / cost if cost else 0:.2f}"
    to_best = "" if best is None else f"{100 * (cost / best - 1):+.2f}"
    said = "" if bound is None else f"{bound:.{digits}f}"
    return (
        f"{name:<12}{cost:>12.{digits}f}{said:>12}{gap:>8}"
        f"{'' if best is None else f'{best:g}':>12}{to_best:>10}"
        f"{found['first_s']:>8.2f}{found['best_s']:>8.1f}{found['seconds']:>7.1f}"
        f"{found['peak_mb']:>6.0f}  {found['status']}"
    )


def names_wanted(only: list[str], *, with_public: bool, largest: int) -> list[str]:
    """The instances to run: those named, or all."""
    names = list(reference()) + (public_names() if with_public else [])
    if only:
        known = [*reference(), *public_names()]
        unknown = [name for name in only if name not in known]
        if unknown:
            raise SystemExit(f"No such instance: {', '.join(unknown)}. There are: {', '.join(known)}.")
        return only
    return [name for name in names if name in reference() or len(public_problem(name)[0].orders) <= largest]


def best_costs() -> dict[str, float]:
    """Best cost known of every instance."""
    return {name: float(row["best_c"]) for name, row in reference().items()} | best_known()

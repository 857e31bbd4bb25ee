"""Two trailers behind one pickup: their runs go one behind the other."""

from collections import defaultdict
from dataclasses import replace
from datetime import time
from itertools import permutations

from routing.core.check import Verdict
from routing.core.edit import judged
from routing.core.plan import Plan, RunPlan
from routing.models import Rig
from routing.selectors.problems import Prepared

HITCHING_SECONDS = 15 * 60  # from one trailer to the other (common practice)
MOST_TRAILERS = 4
LATEST = 24 * 3600 - 60


def one_behind_the_other(prepared: Prepared, plan: Plan, verdict: Verdict) -> tuple[Prepared, Plan, Verdict]:
    """The plan with later starts for runs whose pickup is still out, where windows and hours allow it.

    Of all orders of a pickup's runs the cheapest is kept; where none can be driven the plan stays as it
    is and the day's page says that both are out at once.
    """
    for runs in _sharing(prepared, plan):
        best: tuple[Prepared, Plan, Verdict] | None = None
        for order in permutations(runs):
            tried = _in_turn(prepared, plan, [run.shift for run in order])
            if tried is not None and (best is None or tried[2].cost_c < best[2].cost_c):
                best = tried
        if best is not None:
            prepared, plan, verdict = best
    return prepared, plan, verdict


def _sharing(prepared: Prepared, plan: Plan) -> list[list[RunPlan]]:
    """Runs of one date and pickup that are out at the same time; runs under way are left alone."""
    trucks = dict(Rig.objects.exclude(truck="").values_list("pk", "truck"))
    fixed = {run.shift for run in prepared.problem.frozen}
    groups: dict[tuple[object, str], list[RunPlan]] = defaultdict(list)
    for outing in prepared.outings:
        run = plan.run_of(outing.shift)
        if run is not None and outing.rig_id in trucks and outing.shift not in fixed:
            groups[outing.on, trucks[outing.rig_id]].append(run)
    return [
        runs
        for runs in groups.values()
        if 1 < len(runs) <= MOST_TRAILERS
        and any(a is not b and a.leave_s < b.home_s and b.leave_s < a.home_s for a in runs for b in runs)
    ]


def _in_turn(prepared: Prepared, plan: Plan, order: list[str]) -> tuple[Prepared, Plan, Verdict] | None:
    """Each run as early as its pickup is back from the one before; None when the hours do not reach."""
    free_from = 0
    for shift in order:
        earliest = prepared.problem
        start = max(free_from, next(row.start_s for row in earliest.shifts if row.id == shift))
        if start > LATEST:
            return None
        prepared = _starting(prepared, shift, start)
        plan, verdict = judged(prepared.problem, plan.sketch)
        if not verdict.ok:
            return None
        run = plan.run_of(shift)
        free_from = (run.home_s if run else start) + HITCHING_SECONDS
    return prepared, plan, verdict


def _starting(prepared: Prepared, shift: str, start: int) -> Prepared:
    minutes = -(-start // 60)
    at = time(minutes // 60, minutes % 60)
    return replace(
        prepared,
        problem=replace(
            prepared.problem,
            shifts=tuple(
                replace(row, start_s=minutes * 60) if row.id == shift else row
                for row in prepared.problem.shifts
            ),
        ),
        outings=tuple(
            replace(outing, starts_at=at) if outing.shift == shift else outing for outing in prepared.outings
        ),
    )

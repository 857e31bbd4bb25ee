"""A plan put in an order that can be driven.

The search knows what runs share, but takes the hours of fixed runs as they stand. Where a run beside one of
them cannot be driven after all, it is left out, with the reason.
"""

from collections.abc import Iterable

from routing.planner.fault_sentences import fault_sentence, holder_label, out_with
from routing.planner.hand_edits import as_it_stands, without_parts
from routing.planner.plan import Plan, Postponed
from routing.planner.problem import DayProblem
from routing.planner.referee import check_plan
from routing.planner.sketches import RunSketch
from routing.planner.turns import in_turn
from routing.planner.verdict import Fault


def made_drivable(
    problem: DayProblem, sketch: Iterable[RunSketch]
) -> tuple[tuple[RunSketch, ...], dict[str, Postponed]]:
    """The runs that can be driven, in turn, and why each order of the others is left out.

    Of two runs that need the same truck or driver at once the one worth more stays; a fixed run always does.
    """
    runs = in_turn(problem, sketch)
    causes: dict[str, tuple[str, Fault]] = {}  # order: the run it was on and what was wrong with it
    while True:
        plan = as_it_stands(problem, runs)
        fault = next(iter(check_plan(problem, plan).faults), None)
        if fault is None:
            return runs, {order: _reason(problem, plan, order, *why) for order, why in causes.items()}
        if fault.order and not fault.run:
            gone = {fault.order}
            run_id = next(run for run, was in causes.values())
        else:
            run_id = _to_drop(problem, plan, fault)
            dropped = plan.run_of(run_id)
            gone = set() if dropped is None else {stop.order for load in dropped.loads for stop in load.stops}
        parts = {part.id for order in problem.orders if order.id in gone for part in order.parts}
        for order in gone:
            causes.setdefault(order, (run_id, fault))
        left = [(run, tuple(without_parts(load, parts) for load in loads)) for run, loads in runs]
        runs = in_turn(problem, [run for run in left if run[0] != run_id or fault.order])
        if not gone:
            raise ValueError(f"nothing to leave out for {fault}")


def _to_drop(problem: DayProblem, plan: Plan, fault: Fault) -> str:
    frozen = {run for run, _ in problem.frozen}
    worth = {part.id: order.left_out_c for order in problem.orders for part in order.parts}
    able = [run for run in (fault.run, fault.other_run) if run and run not in frozen] or [fault.run]

    def value(run_id: str) -> int:
        run = plan.run_of(run_id)
        return sum(worth[part] for part in run.parts) if run is not None else 0

    return min(able, key=value)


def _reason(problem: DayProblem, plan: Plan, order: str, run_id: str, fault: Fault) -> Postponed:
    if fault.rule != "shared":
        return Postponed(order=order, code=fault.rule, reason=fault_sentence(problem, fault))
    kept_id = fault.other_run if run_id == fault.run else fault.run
    kept = plan.run_of(kept_id)
    if kept is None:
        return Postponed(order=order, code="shared", reason=fault_sentence(problem, fault))
    rigs = {rig.id: rig.label for rig in problem.rigs}
    rig = next(rigs[run.rig] for run in problem.runs if run.id == kept_id)
    holder = holder_label(problem, fault)
    return Postponed(order=order, code="shared", reason=out_with(holder, rig, kept.home_s))

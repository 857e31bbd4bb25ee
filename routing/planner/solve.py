"""plan(): the best plan found within a stop rule, with its proof.

Three layers, one answer: the search finds a good plan at once and betters it, the bound says how far from the
best it can be, the exact layer proves small days. The bound comes first, for as long as it would have without
a proof, and the proof after it can only raise it. The referee has the last word on every plan that leaves
here.
"""

from collections.abc import Callable
from fractions import Fraction
from functools import cache

import numpy as np

from inventory.core.gaps import InTurn
from routing.core import RoutingError
from routing.planner.clock import timed
from routing.planner.drivable import made_drivable
from routing.planner.exact.load_bound import first_bound
from routing.planner.exact.load_pricing import PartPrices, warm_load_loops
from routing.planner.exact.run_bound import run_bound
from routing.planner.fault_sentences import fault_sentences
from routing.planner.fleet import PlanRig, PlanRun, RoadBand, Roads
from routing.planner.job import Job
from routing.planner.job import StopRule as StopRule
from routing.planner.lay_out import lay_out
from routing.planner.params import SEARCH, STAGES
from routing.planner.plan import Moment, Plan, PlanResult, Status, half_up_cents
from routing.planner.problem import DayProblem, PlanOrder, PlanPart, PlanYard, Wood
from routing.planner.reasons import left_out_reasons
from routing.planner.referee import check_plan
from routing.planner.search.annealing import Annealing
from routing.planner.search.closing import Closing
from routing.planner.search.repair import put_order_in_run, take_order_off
from routing.planner.sketches import RunSketch


class RefusedPlan(RoutingError):
    """The referee found fault with the planner's own plan: a bug in the planner, never shown as a plan."""

    says = "The planner's plan was refused by the referee: {faults}"
    in_words = {"faults": InTurn}


def plan(
    problem: DayProblem,
    *,
    stop: StopRule,
    seed: int = 0,
    threads: int = 1,
    start: Plan | None = None,
    progress: Callable[[Moment], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> PlanResult:
    """The best plan found, its cost, the bound, the orders left out with reasons.

    `start` is improved upon when it keeps the rules. `progress` hears every better plan and bound;
    when `cancelled` says yes the best so far is returned.

    Errors
        NoSuchTime: a fixed run cannot keep its hours.
    """
    warm_up()
    laid = lay_out(problem)
    search = Annealing(laid, seed=seed)
    job = Job(problem=problem, laid=laid, search=search, stop=stop, progress=progress, cancelled=cancelled)
    if search.is_idle:
        job.bound_c = half_up_cents(job.constant_units + job.all_prizes)
        return _result(job, ())
    if len(laid.arrays.mates):
        job.closing = Closing(laid, seed=seed)
    sketch = start.sketch if start is not None else ()
    search.begin(sketch)
    for number in range(1, threads):
        job.helpers.append(Annealing(laid, seed=seed + STAGES.thread_seed * number))
        job.helpers[-1].begin(sketch)
    job.note()
    job.note(first_bound(laid.arrays))
    if job.is_small:
        job.look(until=job.share_before_proof)
        if stop.seconds is not None and search.steps < STAGES.steps_before_proof:
            job.walk(until=STAGES.latest_proof, most_steps=STAGES.steps_before_proof)
        # the bound has as long as it would have without a proof after it
        until = job.part_done + STAGES.bound_until - STAGES.bound_at[0][1]
        job.bound_by_runs(job.bound_by_loads(until=until), until=until)
        if job.prove():
            return _result(job, search.best_sketch())
    else:
        share = next(share for most, share in STAGES.bound_at if len(laid.part_ids) <= most)
        job.look(until=share if job.closing is None else STAGES.shared_bound_at)
        prices = job.bound_by_loads(until=STAGES.bound_until)
        job.bound_by_runs(prices, until=STAGES.bound_until)
        job.recombine()
    job.look(until=1.0, hottest=SEARCH.warm)
    return _result(job, search.best_sketch())


@cache
def warm_up() -> None:
    """Compile the inner loops, or read them from disk, so that no plan's seconds are spent on it."""
    search = Annealing(lay_out(_tiny()), seed=0)
    search.begin()
    search.run(2, part_done=0.5)
    arrays = search.laid.arrays
    warm_load_loops()
    run_bound(
        arrays,
        runs=search.pooled(),
        begin=PartPrices(arrays.prize.astype(np.float64), np.zeros(arrays.stock.shape)),
        upper=search.best_units,
        should_stop=lambda: False,
        tell=lambda lower: None,
        turns=1,
    )
    take_order_off(arrays, search.state, 0)
    put_order_in_run(arrays, search.state, 0, 0)


def _tiny() -> DayProblem:
    return DayProblem(
        name="warm-up",
        dates=("a day",),
        woods=(Wood(id="w", lb_per_cord=1, ft3_per_cord=1),),
        yards=(
            PlanYard(
                id="y", loc=0, open_s=0, close_s=36_000, load_fixed_s=1, load_s_per_cord=0, stock=(("w", 3),)
            ),
        ),
        rigs=(
            PlanRig(
                id="r",
                home="y",
                roads=(RoadBand(over_lb=0, table="road"),),
                has_trailer=False,
                cap_ft3=9,
                cap_lb=9,
                loaded_c_km=Fraction(1),
                empty_c_km=Fraction(1),
            ),
        ),
        runs=(PlanRun(id="s", rig="r", date=0, start_s=0, end_s=36_000, max_s=36_000, wage_c_h=1),),
        orders=tuple(
            PlanOrder(
                id=f"o{loc}",
                loc=loc,
                window_s=(0, 36_000),
                dates=(0,),
                parts=(PlanPart(id=f"o{loc}.1", lines=(("w", 1),)),),
                stop_s=600,
                value_c=999,
            )
            for loc in (1, 2, 3)
        ),
        roads=(("road", Roads.of([[0, 9, 9, 9]] * 4, [[0, 60, 60, 60]] * 4)),),
    )


def _result(job: Job, sketch: tuple[RunSketch, ...]) -> PlanResult:
    """The plan with its clock, judged by the referee, and the reasons of what it leaves out."""
    whole, undrivable = made_drivable(job.problem, (*job.laid.fixed_sketch, *sketch))
    finished = timed(job.problem, whole)
    verdict = check_plan(job.problem, finished)
    if not verdict.ok:
        raise RefusedPlan(faults=fault_sentences(job.problem, verdict))
    bound_c = None if job.bound_c is None else min(job.bound_c, verdict.cost_c)
    status: Status = "best found"
    if bound_c is not None:
        status = "optimal" if bound_c == verdict.cost_c else "bounded"
    return PlanResult(
        plan=finished,
        cost_c=verdict.cost_c,
        lower_bound_c=bound_c,
        status=status,
        postponed=left_out_reasons(
            job.problem,
            finished,
            verdict.left_out,
            {postponed.order: postponed for postponed in job.laid.hopeless} | undrivable,
        ),
        history=tuple(job.history),
        steps=job.steps,
        seconds=job.seconds,
        was_cancelled=job.was_cancelled,
    )

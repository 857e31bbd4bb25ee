"""plan(): the best plan found within a stop rule, with its proof.

Three layers, one answer: `search` finds a good plan at once and betters it, `exact` proves small days,
`polish` and `bound` recombine the runs seen and say how far from the best they can be. The referee in
`check` has the last word on every plan that leaves here.
"""

import math
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache

import numpy as np

from routing.core import RoutingError
from routing.core.anneal import Annealing
from routing.core.arrays import Laid, lay_out
from routing.core.bound import DropPrices, first_bound, grow, load_prices
from routing.core.check import check_plan
from routing.core.exact import Limits, can_price, can_prove, prove
from routing.core.plan import Moment, Plan, PlanResult, RunSketch, Status, half_up_cents, timed
from routing.core.polish import recombined
from routing.core.problem import DayProblem, PlanOrder, PlanPart, PlanRig, PlanYard, Roads, Shift, Wood
from routing.core.reasons import left_out_reasons
from routing.core.run_bound import run_bound
from routing.core.search import put_order_in_shift, take_order_off

CHUNK_SECONDS = 0.03
WARM = 0.3
THREAD_SEED = 7919
STEPS_PER_CHUNK = 50
PROOF_AT_SHARE = 0.05
PROOF_AT_SECONDS = 0.6
PROOF_AT_STEPS = 0.3
STEPS_BEFORE_PROOF = 20_000
LATEST_PROOF = 0.35
PROOF_UNTIL = 0.85
SOME_PARTS = 45
BOUND_AT = ((SOME_PARTS, 0.45), (85, 0.55))
BOUND_LATE = 0.65
BOUND_UNTIL = 0.87
BOUND_AFTER_PROOF = 0.08
LOAD_TURNS = 300
LOAD_TURNS_BY_STEPS = 6
RUN_TURNS = 400
SECONDS_PER_PAIR = 4e-4
SLOW_SECONDS = 10.0
RUNS_SHARE = 0.25
POLISH_SHARE = 0.4
SOLVER_EFFORT = 60.0
LABELS_BY_STEPS = 60_000


class BadStopRule(RoutingError):
    """A stop rule that never stops, or stops before it starts."""

    def __init__(self) -> None:
        super().__init__("Say when to stop: a number of seconds or of steps, above zero.")


class RefusedPlan(RoutingError):
    """The referee found fault with the planner's own plan: a bug in the planner, never shown as a plan."""

    def __init__(self, *, faults: tuple[str, ...]) -> None:
        self.faults = faults
        super().__init__("The planner's plan was refused by the referee: " + " ".join(faults))


@dataclass(frozen=True, slots=True, kw_only=True)
class StopRule:
    """Stop after so many seconds or search steps, whichever comes first; equal steps give equal plans."""

    seconds: float | None = None
    steps: int | None = None

    def __post_init__(self) -> None:
        given = [limit for limit in (self.seconds, self.steps) if limit is not None]
        if not given or min(given) <= 0:
            raise BadStopRule


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
    job = _Job(problem=problem, laid=lay_out(problem), stop=stop, progress=progress, cancelled=cancelled)
    search = Annealing(job.laid, seed=seed)
    if search.is_idle:
        return _result(job, (), bound=job.constant_units + _all_prizes(job.laid))
    begun = start.sketch if start is not None else ()
    search.begin(begun)
    for number in range(1, threads):
        job.helpers.append(Annealing(job.laid, seed=seed + THREAD_SEED * number))
        job.helpers[-1].begin(begun)
    job.note(search)
    job.note(search, _bound_cents(job, first_bound(job.laid.arrays)))
    if can_prove(job.laid.arrays):
        _walk(job, search, until=job.share_before_proof)
        if job.stop.seconds is not None and search.steps < STEPS_BEFORE_PROOF:
            _walk(job, search, until=LATEST_PROOF, most_steps=STEPS_BEFORE_PROOF)
        if _proven(job, search):
            return _result(job, search.best_sketch(), bound=None)
        _load_bound(job, search, until=job.part_done + BOUND_AFTER_PROOF)
    else:
        parts = len(job.laid.part_ids)
        _walk(job, search, until=next((share for most, share in BOUND_AT if parts <= most), BOUND_LATE))
        _bound(job, search)
        _polish(job, search)
    _walk(job, search, until=1.0, hottest=WARM)
    return _result(job, search.best_sketch(), bound=None)


@cache
def warm_up() -> None:
    """Compile the inner loops, or read them from disk, so that no plan's seconds are spent on it."""
    roads = Roads.of([[0, 1], [1, 0]], [[0, 60], [60, 0]])
    tiny = DayProblem(
        name="warm-up",
        dates=("a day",),
        woods=(Wood(id="w", lb_per_cord=1, ft3_per_cord=1),),
        yards=(
            PlanYard(
                id="y", loc=0, open_s=0, close_s=900, load_fixed_s=1, load_s_per_cord=0, stock=(("w", 1),)
            ),
        ),
        rigs=(
            PlanRig(
                id="r",
                home="y",
                loaded_roads="road",
                empty_roads="road",
                has_trailer=False,
                cap_ft3=9,
                cap_lb=9,
                loaded_c_km=Fraction(1),
                empty_c_km=Fraction(1),
            ),
        ),
        shifts=(Shift(id="s", rig="r", date=0, start_s=0, end_s=900, max_s=900, wage_c_h=1),),
        orders=(
            PlanOrder(
                id="o",
                loc=1,
                window_s=(0, 900),
                dates=(0,),
                parts=(PlanPart(id="o1", lines=(("w", 1),)),),
                value_c=999,
            ),
        ),
        roads=(("road", roads),),
    )
    search = Annealing(lay_out(tiny), seed=0)
    search.begin()
    search.run(2, part_done=0.5)
    nothing, tables = np.zeros(1), np.zeros((2, 1))
    grow(
        nothing,
        tables[:1],
        nothing,
        np.ones(1, np.int64),
        tables,
        tables,
        tables.astype(int),
        tables.astype(int),
    )
    run_bound(
        search.laid.arrays,
        runs=search.pooled(),
        begin=DropPrices(np.zeros(1), np.zeros((1, 1))),
        upper=search.best_units,
        should_stop=lambda: False,
        tell=lambda lower: None,
        turns=1,
    )
    take_order_off(search.laid.arrays, search.routes, 0)
    put_order_in_shift(search.laid.arrays, search.routes, 0, 0)


@dataclass(slots=True, kw_only=True)
class _Job:
    """One call of plan(): its clock, its limits and what it has told."""

    problem: DayProblem
    laid: Laid
    stop: StopRule
    progress: Callable[[Moment], None] | None
    cancelled: Callable[[], bool] | None
    began: float = field(default_factory=time.monotonic)
    steps: int = 0
    history: list[Moment] = field(default_factory=list)
    bound_c: int | None = None
    was_cancelled: bool = False
    helpers: list[Annealing] = field(default_factory=list)

    @property
    def constant_units(self) -> int:
        return self.laid.fixed_units + self.laid.left_units

    @property
    def seconds(self) -> float:
        return time.monotonic() - self.began

    @property
    def part_done(self) -> float:
        """Share of the stop rule used up."""
        shares = [0.0]
        if self.stop.seconds is not None:
            shares.append(self.seconds / self.stop.seconds)
        if self.stop.steps is not None:
            shares.append(self.steps / self.stop.steps)
        return max(shares)

    @property
    def share_before_proof(self) -> float:
        """How far to search before proving: long enough for a good plan, short enough to be done at once."""
        if self.stop.seconds is None:
            return PROOF_AT_STEPS
        return min(0.3, max(PROOF_AT_SHARE, PROOF_AT_SECONDS / self.stop.seconds))

    def seconds_left(self, until: float = 1.0) -> float:
        """Seconds until a share of the stop rule is used up; long when only steps count."""
        if self.stop.seconds is None:
            return 600.0
        return max(0.05, until * self.stop.seconds - self.seconds)

    def out_of_time(self, until: float = 1.0) -> bool:
        """Whether to break off a proof: time is up, or somebody cancelled."""
        late = self.stop.seconds is not None and self.seconds >= until * self.stop.seconds
        return late or self.should_stop()

    def should_stop(self) -> bool:
        if self.cancelled is not None and not self.was_cancelled:
            self.was_cancelled = self.cancelled()
        return self.was_cancelled

    def note(self, search: Annealing, bound_c: int | None = None) -> None:
        """Write down, and tell, a better plan or bound."""
        self.steps = search.steps
        cost = half_up_cents(search.best_units + self.constant_units)
        if bound_c is not None and (self.bound_c is None or bound_c > self.bound_c):
            self.bound_c = bound_c
        last = self.history[-1] if self.history else None
        if last is not None and cost >= last.cost_c and last.lower_bound_c == self.bound_c:
            return
        left = self._left_out(search)
        moment = Moment(
            seconds=self.seconds,
            steps=self.steps,
            cost_c=cost,
            lower_bound_c=self.bound_c,
            left_out=len(left),
            left_out_c=sum(order.left_out_c for order in left),
        )
        self.history.append(moment)
        if self.progress is not None:
            self.progress(moment)

    def _left_out(self, search: Annealing) -> list[PlanOrder]:
        sketches = (*self.laid.fixed_sketch, *search.best_sketch())
        brought = {part for _, loads in sketches for _, parts in loads for part in parts}
        return [order for order in self.problem.orders if not all(p.id in brought for p in order.parts)]


def _walk(
    job: _Job, search: Annealing, *, until: float, hottest: float = 1.0, most_steps: int | None = None
) -> None:
    """Anneal from now until a share of the stop rule is used up; helpers walk beside on their own threads."""
    steps = STEPS_PER_CHUNK if job.stop.seconds is None else 1
    from_share = job.part_done
    while (done := job.part_done) < until and not job.should_stop():
        if most_steps is not None and search.steps >= most_steps:
            break
        if job.stop.steps is not None:
            steps = min(steps, max(1, round(until * job.stop.steps) - search.steps))
        began = time.monotonic()
        part_done = min(1.0, (done - from_share) / (until - from_share))
        _side_by_side([search, *job.helpers], steps, part_done, hottest)
        if job.stop.seconds is not None:
            took = max(time.monotonic() - began, 1e-6)
            steps = max(1, round(steps * min(4.0, CHUNK_SECONDS / took)))
        job.note(search)
    best = min(job.helpers, key=lambda helper: helper.best_units, default=search)
    if best.best_units < search.best_units:
        search.adopt(best.best_sketch())
        job.note(search)
    for helper in job.helpers:
        helper.adopt(search.best_sketch())


def _side_by_side(searches: list[Annealing], steps: int, part_done: float, hottest: float) -> None:
    if len(searches) == 1:
        searches[0].run(steps, part_done=part_done, hottest=hottest)
        return
    with ThreadPoolExecutor(len(searches)) as pool:
        for walking in [
            pool.submit(one.run, steps, part_done=part_done, hottest=hottest) for one in searches
        ]:
            walking.result()


def _proven(job: _Job, search: Annealing) -> bool:
    """Try to prove the best plan; True when it is now proven. The bound is kept either way."""
    limits = Limits(
        should_stop=lambda: job.out_of_time(PROOF_UNTIL),
        solver_seconds=lambda: job.seconds_left(PROOF_UNTIL),
        solver_effort=SOLVER_EFFORT,
    )
    if job.stop.seconds is None:
        limits.labels = LABELS_BY_STEPS

    def tell(lower: float) -> None:
        job.note(search, _bound_cents(job, lower))

    proof = prove(
        job.laid.arrays, seeds=search.pooled(), upper=search.best_units, limits=limits, tell_bound=tell
    )
    if proof.choice is not None and proof.choice.cost < search.best_units:
        search.adopt_columns(proof.choice.columns)
    is_proven = proof.choice is not None and proof.choice.is_best
    if proof.lower > 0:
        job.note(search, _bound_cents(job, proof.lower))
    return is_proven


def _polish(job: _Job, search: Annealing) -> None:
    """Recombine the runs seen on the way by set partition."""
    if job.out_of_time() or search.steps == 0:
        return
    choice = recombined(
        job.laid.arrays,
        search.pooled(),
        upper=search.best_units,
        seconds=job.seconds_left() * POLISH_SHARE,
        effort=SOLVER_EFFORT,
    )
    if choice is not None and choice.cost < search.best_units:
        search.adopt_columns(choice.columns)
        job.note(search)
    search.resume()


def _bound(job: _Job, search: Annealing) -> None:
    """Say how far from the best the plan can be: by loads, by whole runs where there is time for them, and by
    runs that serve no drop twice where drops are few and time is long.
    """
    begin = _load_bound(job, search, until=BOUND_UNTIL)
    left = BOUND_UNTIL * (job.stop.seconds or 0.0) - job.seconds
    if begin is None or left < len(job.laid.part_ids) ** 2 * SECONDS_PER_PAIR:
        return
    arrays = job.laid.arrays
    slow = can_price(arrays) and len(arrays.part) <= SOME_PARTS and left >= SLOW_SECONDS
    until = BOUND_UNTIL if not slow else job.part_done + (BOUND_UNTIL - job.part_done) * RUNS_SHARE

    def tell(lower: float) -> None:
        job.note(search, _bound_cents(job, lower))

    run_bound(
        arrays,
        runs=search.pooled(),
        begin=begin,
        upper=search.best_units,
        should_stop=lambda: job.out_of_time(until),
        tell=tell,
        turns=RUN_TURNS,
    )
    if slow:
        limits = Limits(
            should_stop=lambda: job.out_of_time(BOUND_UNTIL), may_enumerate=False, turns=LOAD_TURNS
        )
        prove(arrays, seeds=search.pooled(), upper=search.best_units, limits=limits, tell_bound=tell)


def _load_bound(job: _Job, search: Annealing, *, until: float) -> DropPrices | None:
    """The bound by loads, and the drops' prices it came to."""
    _, prices = load_prices(
        job.laid.arrays,
        runs=[(run.shift, run.tokens) for run in search.pooled()],
        upper=search.best_units,
        should_stop=lambda: job.out_of_time(until),
        tell=lambda lower: job.note(search, _bound_cents(job, lower)),
        turns=LOAD_TURNS_BY_STEPS if job.stop.seconds is None else LOAD_TURNS,
    )
    return prices


def _bound_cents(job: _Job, lower: float) -> int:
    """A bound in cost units as whole cents; a plan's cost is rounded half up, so a bound may be too."""
    return half_up_cents(math.floor(lower + job.constant_units))


def _all_prizes(laid: Laid) -> int:
    return int(
        sum(prize % laid.bonus if prize >= laid.bonus else prize for prize in laid.arrays.prize.tolist())
    )


def _result(job: _Job, sketch: tuple[RunSketch, ...], *, bound: int | None) -> PlanResult:
    """The plan with its clock, judged by the referee, and the reasons of what it leaves out."""
    finished = timed(job.problem, (*job.laid.fixed_sketch, *sketch))
    verdict = check_plan(job.problem, finished)
    if not verdict.ok:
        raise RefusedPlan(faults=verdict.sentences)
    bound_c = job.bound_c if bound is None else half_up_cents(bound)
    if bound_c is not None:
        bound_c = min(bound_c, verdict.cost_c)
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
            {postponed.order: postponed for postponed in job.laid.hopeless},
        ),
        history=tuple(job.history),
        steps=job.steps,
        seconds=job.seconds,
        was_cancelled=job.was_cancelled,
    )

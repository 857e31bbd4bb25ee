"""One call of `plan`: its clock, its limits, what it has told, and the stages it goes through."""

import math
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

from routing.core import RoutingError
from routing.planner.arrays import Laid
from routing.planner.compiled import IS_COMPILED
from routing.planner.exact.load_bound import load_prices
from routing.planner.exact.load_pricing import PartPrices
from routing.planner.exact.master import recombined
from routing.planner.exact.proof import Limits, can_prove, prove
from routing.planner.exact.run_bound import run_bound
from routing.planner.params import BOUND, PROOF, SEARCH, STAGES
from routing.planner.plan import Moment, half_up_cents
from routing.planner.problem import DayProblem, PlanOrder
from routing.planner.search.annealing import Annealing
from routing.planner.search.closing import Closing


class BadStopRule(RoutingError):
    """A stop rule that never stops, or stops before it starts."""

    says = "Say when to stop: a number of seconds or of steps, above zero."


@dataclass(frozen=True, slots=True, kw_only=True)
class StopRule:
    """Stop after so many seconds or search steps, whichever comes first; equal steps give equal plans."""

    seconds: float | None = None
    steps: int | None = None

    def __post_init__(self) -> None:
        given = [limit for limit in (self.seconds, self.steps) if limit is not None]
        if not given or min(given) <= 0:
            raise BadStopRule


@dataclass(slots=True, kw_only=True)
class Job:
    """The search with its bound and its clock."""

    problem: DayProblem
    laid: Laid
    search: Annealing
    stop: StopRule
    progress: Callable[[Moment], None] | None = None
    cancelled: Callable[[], bool] | None = None
    began: float = field(default_factory=time.monotonic)
    history: list[Moment] = field(default_factory=list)
    bound_c: int | None = None
    was_cancelled: bool = False
    helpers: list[Annealing] = field(default_factory=list)
    closing: Closing | None = None
    closed_steps: int = 0

    @property
    def constant_units(self) -> int:
        """Cost of what was decided beforehand."""
        return self.laid.fixed_units + self.laid.left_units

    @property
    def all_prizes(self) -> int:
        """Cost units of leaving every order out."""
        return int((self.laid.arrays.prize % self.laid.bonus).sum())

    @property
    def is_small(self) -> bool:
        """Whether to try a proof."""
        return can_prove(self.laid.arrays)

    @property
    def steps(self) -> int:
        """Search steps taken."""
        return self.search.steps + self.closed_steps

    @property
    def seconds(self) -> float:
        """Since the call."""
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
            return STAGES.proof_at_steps
        share = max(STAGES.proof_at_share, STAGES.proof_at_seconds / self.stop.seconds)
        return min(STAGES.proof_at_most, share)

    def seconds_left(self, until: float = 1.0) -> float:
        """Seconds until a share of the stop rule is used up; long when only steps count."""
        if self.stop.seconds is None:
            return 600.0
        return max(0.05, until * self.stop.seconds - self.seconds)

    def out_of_time(self, until: float = 1.0) -> bool:
        """Whether to break off a bound or a proof: time is up, or somebody cancelled."""
        late = self.stop.seconds is not None and self.seconds >= until * self.stop.seconds
        return late or self.should_stop()

    def should_stop(self) -> bool:
        """Whether somebody cancelled."""
        if self.cancelled is not None and not self.was_cancelled:
            self.was_cancelled = self.cancelled()
        return self.was_cancelled

    def note(self, lower: float | None = None) -> None:
        """Write down, and tell, a better plan or bound. lower: cost units, what was decided before not
        counted.
        """
        cost = half_up_cents(self.search.best_units + self.constant_units)
        if lower is not None:
            # a plan's cost is rounded half up, so a bound may be too
            bound_c = half_up_cents(math.floor(lower + self.constant_units))
            self.bound_c = bound_c if self.bound_c is None else max(bound_c, self.bound_c)
        last = self.history[-1] if self.history else None
        if last is not None and cost >= last.cost_c and last.lower_bound_c == self.bound_c:
            return
        left = self._left_out()
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

    def _left_out(self) -> list[PlanOrder]:
        sketches = (*self.laid.fixed_sketch, *self.search.best_sketch())
        brought = {part for _, loads in sketches for _, parts in loads for part in parts}
        return [order for order in self.problem.orders if not all(p.id in brought for p in order.parts)]

    def look(self, *, until: float, hottest: float = 1.0) -> None:
        """Search until a share of the stop rule is used up; some of it with runs closed where runs share."""
        if self.closing is None:
            self.walk(until=until, hottest=hottest)
            return
        begun, whole = self.part_done, until - self.part_done
        self.walk(until=begun + SEARCH.closed_from * whole, hottest=hottest)
        self.walk_closed(self.closing, until=begun + SEARCH.closed_until * whole)
        self.walk(until=until, hottest=SEARCH.warm)

    def walk_closed(self, closing: Closing, *, until: float) -> None:
        """Rounds with one or two runs of the best plan closed, until a share of the stop rule is used up."""
        while (best := self.search.best_sketch()) and self.part_done < until and not self.should_stop():
            search, steps = closing.next_search(best)
            while search.steps < steps and self.part_done < until and not self.should_stop():
                chunk = self._at_most(STAGES.chunk_steps, until)
                search.run(chunk, part_done=search.steps / steps)
                self.closed_steps += chunk
            if search.best_units < self.search.best_units:
                self.search.adopt(search.best_sketch())
                self.note()

    def walk(self, *, until: float, hottest: float = 1.0, most_steps: int | None = None) -> None:
        """Anneal until a share of the stop rule is used up; helpers walk beside on their own threads."""
        steps = STAGES.chunk_steps if self.stop.seconds is None else 1
        from_share = self.part_done
        while (done := self.part_done) < until and not self.should_stop():
            if most_steps is not None and self.steps >= most_steps:
                break
            steps = self._at_most(steps, until)
            began = time.monotonic()
            self._side_by_side(steps, min(1.0, (done - from_share) / (until - from_share)), hottest)
            if self.stop.seconds is not None:
                took = max(time.monotonic() - began, 1e-6)
                steps = max(1, round(steps * min(4.0, STAGES.chunk_seconds / took)))
            self.note()
        best = min(self.helpers, key=lambda helper: helper.best_units, default=self.search)
        if best.best_units < self.search.best_units:
            self.search.adopt(best.best_sketch())
            self.note()
        for helper in self.helpers:
            helper.adopt(self.search.best_sketch())

    def _at_most(self, steps: int, until: float) -> int:
        """So many steps, or as many as a stop rule by steps leaves until a share of it."""
        if self.stop.steps is None:
            return steps
        return min(steps, max(1, round(until * self.stop.steps) - self.steps))

    def _side_by_side(self, steps: int, part_done: float, hottest: float) -> None:
        searches = [self.search, *self.helpers]
        if len(searches) == 1:
            self.search.run(steps, part_done=part_done, hottest=hottest)
            return
        with ThreadPoolExecutor(len(searches)) as pool:
            for walking in [
                pool.submit(one.run, steps, part_done=part_done, hottest=hottest) for one in searches
            ]:
                walking.result()

    def bound_by_loads(self, *, until: float) -> PartPrices | None:
        """Say how far from the best the plan can be, and the parts' prices that say so."""
        _, prices = load_prices(
            self.laid.arrays,
            runs=self.search.pooled(),
            upper=self.search.best_units,
            should_stop=lambda: self.out_of_time(until),
            tell=self.note,
            turns=BOUND.turns_by_steps if self.stop.seconds is None else BOUND.turns,
            is_labeled=IS_COMPILED and self.stop.seconds is not None,
        )
        return prices

    def bound_by_runs(self, begin: PartPrices | None, *, until: float) -> None:
        """Better the bound by pricing whole runs, where there is time for it."""
        left = until * (self.stop.seconds or 0.0) - self.seconds
        parts, arrays = len(self.laid.part_ids), self.laid.arrays
        if begin is None or left < parts**2 * STAGES.seconds_per_pair:
            return
        run_bound(
            arrays,
            runs=self.search.pooled(),
            begin=begin,
            upper=self.search.best_units,
            should_stop=lambda: self.out_of_time(until),
            tell=self.note,
            turns=BOUND.run_turns,
        )

    @property
    def proof_until(self) -> float:
        """Share of the stop rule at which the proof makes way for the last search."""
        is_long = self.closing is not None and len(self.laid.part_ids) > STAGES.shared_parts
        return STAGES.shared_proof_until if is_long else STAGES.proof_until

    def prove(self) -> bool:
        """Try to prove the best plan; True when it is now proven. The bound is kept either way."""
        limits = Limits(
            labels=PROOF.labels if self.stop.seconds is not None else PROOF.labels_by_steps,
            should_stop=lambda: self.out_of_time(self.proof_until),
            solver_seconds=lambda: self.seconds_left(self.proof_until),
            solver_effort=STAGES.solver_effort,
        )
        proof = prove(
            self.laid.arrays,
            seeds=self.search.pooled(),
            upper=self.search.best_units,
            limits=limits,
            tell_bound=self.note,
        )
        if proof.choice is not None and proof.choice.cost < self.search.best_units:
            self.search.adopt_columns(proof.choice.columns)
        if proof.lower > 0:
            self.note(proof.lower)
        is_best = proof.choice is not None and proof.choice.is_best
        return is_best and self.search.best_units <= proof.lower

    def recombine(self) -> None:
        """The best plan that the runs seen on the way can make together."""
        if self.out_of_time() or self.steps == 0:
            return
        choice = recombined(
            self.laid.arrays,
            self.search.pooled(),
            upper=self.search.best_units,
            seconds=self.seconds_left() * STAGES.polish_share,
            effort=STAGES.solver_effort,
        )
        if choice is not None and choice.cost < self.search.best_units:
            self.search.adopt_columns(choice.columns)
            self.note()
        self.search.resume()

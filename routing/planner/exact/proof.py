"""Proof for ordinary days: column generation, then every run that could still matter, then CP-SAT.

The master's linear relaxation, priced exactly by `labeling`, bounds every plan from below; every run of a
cheaper plan has a reduced cost under the gap (Baldacci, Christofides and Mingozzi 2008), so when all such
runs are at hand and CP-SAT chooses the best of them in whole cost units, the plan is proven best.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from routing.planner.arrays import PlanArrays, row_of
from routing.planner.exact.labeling import Earnings, RunFinder, Runs
from routing.planner.exact.load_sequences import TooMany
from routing.planner.exact.master import Choice, Duals, choose, solve_master
from routing.planner.exact.sharing import second_prices, shared_hours
from routing.planner.params import PROOF
from routing.planner.tokens import Column


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """What exact solving found: a bound in cost units, and the best choice where it is proven."""

    lower: float
    choice: Choice | None = None


@dataclass(slots=True, kw_only=True)
class Limits:
    """How much work may be spent."""

    sequences: int = PROOF.sequences
    labels: int = PROOF.labels
    runs: int = PROOF.runs
    turns: int = PROOF.turns
    solver_seconds: Callable[[], float] = field(default=lambda: 30.0)
    solver_effort: float = 1e9
    should_stop: Callable[[], bool] = field(default=lambda: False)


def can_prove(arrays: PlanArrays) -> bool:
    """Whether the problem is small enough to try: parts are kept as bits of one whole number.

    Loads of three yards are not in `labeling`.
    """
    if arrays.fill_yards > 2:
        return False
    if arrays.is_tight:
        return len(arrays.part_wood) <= PROOF.coded_parts and len(arrays.yard.loc) <= PROOF.coded_yards
    return len(arrays.part_wood) <= PROOF.most_parts


def prove(
    arrays: PlanArrays,
    *,
    seeds: Sequence[Column],
    upper: int,
    limits: Limits,
    tell_bound: Callable[[float], None],
) -> Proof:
    """A lower bound and, when the work fits the limits, the proven best choice of runs.

    Units
        upper: cost units of the best plan known. seeds: runs known, the best plan's among them.
    """
    generation = _Generation(arrays, seeds, upper, limits, tell_bound)
    try:
        if not generation.is_settled():
            return Proof(lower=generation.lower)
        return generation.enumerated()
    except TooMany:
        return Proof(lower=generation.lower)


class _Generation:
    """Column generation under way: the runs at hand, the prices, the bound."""

    def __init__(
        self,
        arrays: PlanArrays,
        seeds: Sequence[Column],
        upper: int,
        limits: Limits,
        tell_bound: Callable[[float], None],
    ) -> None:
        # an order dearer to leave out than the whole plan known is never left out by a cheaper one
        self.arrays = arrays._replace(prize=np.minimum(arrays.prize, upper))
        self.upper, self.limits, self.tell_bound = upper, limits, tell_bound
        self.shared = shared_hours(arrays)
        self.columns = {_key(arrays, column): column for column in _paused(arrays, seeds)}
        # dear orders begin cheaper, which steadies the prices and only lowers the bound; raised where it
        # shows
        first_cap = int(upper * PROOF.first_cap / max(1, len(arrays.prize)))
        self.caps = np.minimum(self.arrays.prize, first_cap)
        self.lower = 0.0
        self.least = 0.0
        self.duals: Duals | None = None
        self.finders: list[RunFinder] = []
        self.earnings: list[Earnings] = []

    def is_settled(self) -> bool:
        """Price runs until none pays any more; False when work or time gave out before.

        Errors
            TooMany: time is up.
        """
        limits = self.limits
        self.finders = [
            RunFinder(self.arrays, s, limits.sequences, limits.should_stop)
            for s in range(len(self.arrays.run.home))
        ]
        labels = PROOF.quick_labels
        for _ in range(limits.turns):
            self.duals = duals = solve_master(
                self.arrays._replace(prize=self.caps), self.columns.values(), self.shared
            )
            if duals is None:
                return False
            self.earnings = self._earnings(duals)
            found, is_complete = self._price(labels)
            if is_complete and duals.value + self.least > self.lower:
                self.lower = duals.value + self.least
                self.tell_bound(self.lower)
            capped = (duals.left_out > PROOF.capped_share) & (self.caps < self.arrays.prize)
            if capped.any() and found < PROOF.few_runs:
                raised = np.minimum(self.arrays.prize, self.caps * PROOF.cap_step)
                self.caps = np.where(capped, raised, self.caps)
                continue
            is_close = self.upper - self.lower < PROOF.close_enough * self.upper
            if is_complete and (not found or is_close):
                return True
            if found < PROOF.few_runs and not is_complete:
                labels *= PROOF.more_labels
                if labels > limits.labels:
                    return False
        return False

    def _price(self, labels: int) -> tuple[int, bool]:
        """New runs that pay at these prices; how many, and whether none was overlooked."""
        found, is_complete = 0, True
        self.least = 0.0
        for s, finder in enumerate(self.finders):
            runs = finder.find(
                self.earnings[s],
                below=-PROOF.slack_units,
                most_labels=labels,
                most_runs=PROOF.runs_per_turn,
            )
            found += _add(self.arrays, self.columns, s, runs)
            is_complete = is_complete and runs.is_complete
            self.least += float(runs.reduced[0]) if len(runs.reduced) else -PROOF.slack_units
        return found, is_complete

    def _earnings(self, duals: Duals) -> list[Earnings]:
        second, use = second_prices(len(self.finders), self.shared, duals.shared)
        return [
            Earnings(part=duals.part, run=float(duals.count[s]) - use[s], wood=duals.wood, second=second[s])
            for s in range(len(second))
        ]

    def enumerated(self) -> Proof:
        """All runs that a cheaper plan could use, and the best choice of them.

        A plan's cost is at least the master's value plus the reduced costs of its runs, each at least its
        run's least one: so a run of a plan cheaper than `upper` has one under upper - value - least.
        """
        assert self.duals is not None
        limits, known, total = self.limits, dict(self.columns), 0
        below = self.upper - self.duals.value - min(0.0, self.least) + PROOF.slack_units
        for s, finder in enumerate(self.finders):
            runs = finder.find(
                self.earnings[s],
                below=below,
                most_labels=limits.labels,
                most_runs=limits.runs + 1,
                keep_usage=bool(self.arrays.is_tight),
            )
            total += len(runs.cost)
            if total > limits.runs or not runs.is_complete:
                return Proof(lower=self.lower)
            _add(self.arrays, known, s, runs)
        choice = choose(
            self.arrays,
            list(known.values()),
            seconds=limits.solver_seconds(),
            effort=limits.solver_effort,
            upper=self.upper,
        )
        if choice is None or not choice.is_best:
            return Proof(lower=self.lower, choice=choice)
        return Proof(lower=float(min(choice.cost, self.upper)), choice=choice)


def _paused(arrays: PlanArrays, columns: Sequence[Column]) -> list[Column]:
    """Runs of the search, whose clocks know no pause, with the pause in them where they need it."""
    found = []
    for column in columns:
        s, (e, d, l) = column.run, column.clock
        run = row_of(arrays.run, s)
        if e < run.pause_from and e + d > run.pause_to:
            d += int(run.pause)
            l = min(l, int(run.end) - d)
        if e <= l:
            found.append(replace(column, clock=(e, d, l)))
    return found


def _key(arrays: PlanArrays, column: Column) -> object:
    """Equal for runs of which only the cheapest matters."""
    clock = column.clock if arrays.run.group[column.run] >= 0 else None
    return column.run, clock, tuple(sorted(column.stops))


def _add(arrays: PlanArrays, columns: dict[object, Column], s: int, runs: Runs) -> int:
    """Put new runs in; returns how many were new or cheaper."""
    added = 0
    for cost, tokens, clock in zip(runs.cost.tolist(), runs.tokens, runs.clock, strict=True):
        column = Column.of(s, int(cost), tokens, len(arrays.part_wood), clock)
        key = _key(arrays, column)
        old = columns.get(key)
        if old is None or cost < old.cost:
            columns[key] = column
            added += 1
    return added

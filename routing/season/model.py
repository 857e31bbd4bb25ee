"""The season as a linear program over scenarios, solved by OR-Tools' GLOP.

Two stages: what is done this period, and how each lot of split wood is treated, is one decision for all
scenarios; later weeks may follow each scenario, since the plan is made anew every week. README.md has the
sets, rows and what is relaxed.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import combinations
from math import inf
from typing import Any

from routing.season.block import ROUNDS, Block, Place, Terms
from routing.season.plan import AheadTask, PeriodSums, SeasonPlan, Task
from routing.season.problem import GREEN, SEASONED, Choice, Season, SeasonProblemError, Step
from routing.season.scenarios import Scenario

NEAR_ONE = 1 - 1e-6
WORTH_A_TRY = 1.0  # dollars
NEAR_BOUND = 0.001  # of the season's net: lots rounded that near to the relaxation are left so
LEAST_HOURS = 0.25  # of a task ahead, mean of the scenarios: less is no beginning
TEND_PERIODS = 4  # a lot's treatment is done within the first month


class SeasonNotSolved(SeasonProblemError):
    """The solver gave no answer; the rows contradict each other."""

    def __init__(self) -> None:
        super().__init__("No plan keeps all limits of the season: look at yard room, cash and promised wood.")


def solve_season(
    season: Season, scenarios: tuple[Scenario, ...], *, choices: dict[str, str] | None = None
) -> SeasonPlan:
    """The plan with the best expected net over the scenarios; equal input gives an equal plan.

    Lot choices are whole: they are rounded one by one from the relaxation, each time solved again from the
    last basis, then changed one at a time while that gains. `bound` is what the relaxation promised, so the
    loss by rounding is known.

    Shapes
        choices: lot key to choice key, to hold some lots to a given treatment.

    Errors
        SeasonNotSolved: the rows contradict each other.
    """
    return planned(season, scenarios, choices=choices)[1]


def planned(
    season: Season, scenarios: tuple[Scenario, ...], *, choices: dict[str, str] | None = None
) -> tuple["Program", SeasonPlan]:
    """The plan and the solved program behind it, for questions such as "what if not this week?"."""
    program = Program(season, scenarios)
    for lot, choice in (choices or {}).items():
        program.fix(lot, choice)
    bound = program.solve()
    while decided := program.decided():
        for lot, choice in decided.items():
            program.fix(lot, choice)
        program.solve()
    program.better_one_choice(bound, held=choices or {})
    return program, program.plan(bound)


class Program:
    """The rows and columns; one block of columns for each scenario, tied together in the first week."""

    def __init__(self, season: Season, scenarios: tuple[Scenario, ...]) -> None:
        from ortools.linear_solver import pywraplp  # 45 MB: only where a season is planned

        self.season, self.scenarios = season, scenarios
        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        self.from_scratch = pywraplp.MPSolverParameters()
        self.from_scratch.SetIntegerParam(
            pywraplp.MPSolverParameters.INCREMENTALITY, pywraplp.MPSolverParameters.INCREMENTALITY_OFF
        )
        self.objective = self.solver.Objective()
        self.objective.SetMaximization()
        self.share = 1.0 / len(scenarios)
        self.now: dict[tuple[Step, str], Any] = {}
        self.penalties: Terms = []
        self.choice = {
            (lot.key, choice.key): self.column(upper=1.0) for lot in season.lots for choice in lot.choices
        }
        for lot in season.lots:
            self.row(1.0, 1.0, [(self.choice[lot.key, choice.key], 1.0) for choice in lot.choices])
        self.fixed: set[str] = {lot.key for lot in season.lots if len(lot.choices) == 1}
        self.tend = [self.column() for _ in range(min(TEND_PERIODS, season.periods))]
        tending = [(self.choice[lot.key, c.key], -c.hours) for lot in season.lots for c in lot.choices]
        self.row(0.0, None, [*((column, 1.0) for column in self.tend), *tending])
        self.blocks = [Block(self, scenario) for scenario in scenarios]
        self.now_rows = self.hours_rows(0, list(self._now_terms()), 1.0)
        for column in self.now.values():
            self.gain(column, -season.hour_worth)
        for lot in season.lots:
            for choice in lot.choices:
                self.gain(self.choice[lot.key, choice.key], -choice.cash)

    # -- building -------------------------------------------------------------------------------------

    def column(self, upper: float | None = None) -> Any:
        return self.solver.NumVar(0.0, self.solver.infinity() if upper is None else upper, "")

    def row(self, low: float | None, high: float | None, terms: Iterable[tuple[Any, float]]) -> Any:
        infinity = self.solver.infinity()
        row = self.solver.Constraint(-infinity if low is None else low, infinity if high is None else high)
        sums: dict[int, tuple[Any, float]] = {}
        for column, factor in terms:
            index = column.index()
            sums[index] = (column, sums[index][1] + factor if index in sums else factor)
        for column, factor in sums.values():
            row.SetCoefficient(column, factor)
        return row

    def gain(self, column: Any, dollars: float) -> None:
        self.objective.SetCoefficient(column, self.objective.GetCoefficient(column) + dollars)

    def hours_now(self, step: Step, target: str) -> Any:
        """Hours of this week's step at a place: one column for all scenarios."""
        if (step, target) not in self.now:
            self.now[step, target] = self.column()
        return self.now[step, target]

    def _now_terms(self) -> Iterable[tuple[Step, Terms]]:
        yield from ((step, [(column, 1.0)]) for (step, _), column in self.now.items())
        yield Step.TEND, [(self.tend[0], 1.0)]

    def hours_rows(self, period: int, work: list[tuple[Step, Terms]], factor: float) -> list[Any]:
        """People's hours: for every group of people, what only they can do fits their hours.

        By the max-flow min-cut theorem these rows hold exactly when the hours can be handed out to people.
        """
        people = self.season.people
        rows = []
        for size in range(1, len(people) + 1):
            for group in combinations(people, size):
                others = frozenset[Step]().union(*(p.steps for p in people if p not in group))
                bound = sum(person.hours[period] for person in group) * factor
                terms = [term for step, terms in work if step not in others for term in terms]
                if terms and (size == len(people) or others != frozenset(Step)):
                    rows.append(self.row(None, bound, terms))
        total = sum(person.hours[period] for person in people) * factor
        for step in self.season.allowed:
            share = self.season.share_allowed(step, period)
            terms = [term for other, terms in work if other == step for term in terms]
            if share < 1.0 and terms:
                self.row(None, share * total, terms)
        return rows

    # -- solving --------------------------------------------------------------------------------------

    def solve(self) -> float:
        """Solve from the last basis, once more from scratch if that ends unsurely; the objective.

        Errors
            SeasonNotSolved: no plan keeps all rows.
        """
        status = self.solver.Solve()
        if status != self.solver.OPTIMAL:
            status = self.solver.Solve(self.from_scratch)
        if status != self.solver.OPTIMAL:
            raise SeasonNotSolved
        return float(self.objective.Value())

    def money(self) -> float:
        """The solved objective in real dollars: without what broken promises are charged."""
        charged = sum(column.solution_value() * dollars for column, dollars in self.penalties)
        return float(self.objective.Value()) + charged

    def short(self) -> dict[str, float]:
        """Mean cords each promise is short in the solution, by its name."""
        return {
            promise.name: sum(b.short[i].solution_value() for b in self.blocks) * self.share
            for i, promise in enumerate(self.season.promises)
        }

    def fix(self, lot: str, choice: str) -> None:
        for (lot_key, key), column in self.choice.items():
            if lot_key == lot:
                wanted = 1.0 if key == choice else 0.0
                column.SetBounds(wanted, wanted)
        self.fixed.add(lot)

    def better_one_choice(self, bound: float, *, held: dict[str, str]) -> None:
        """Change one lot's choice at a time while that gains, where rounding may have cost something."""
        net = self.solve()
        taken = self.taken()
        tries = [(lot.key, c.key) for lot in self.season.lots for c in lot.choices if lot.key not in held]
        improved = bound - net > max(WORTH_A_TRY, NEAR_BOUND * abs(bound))
        while improved:
            improved = False
            for lot, choice in tries:
                if (
                    choice != taken[lot]
                    and (other := self.net_with(lot, choice, taken[lot])) > net + WORTH_A_TRY
                ):
                    net, taken[lot], improved = other, choice, True
                    self.fix(lot, choice)
        self.solve()

    def taken(self) -> dict[str, str]:
        """The choice each lot came out with."""
        return {
            lot.key: max(lot.choices, key=lambda c: self.choice[lot.key, c.key].solution_value()).key
            for lot in self.season.lots
        }

    def net_without(self, tasks: Iterable[tuple[Step, str]]) -> tuple[float, dict[str, float]]:
        """Expected money when some tasks are left this week, all else planned anew, and cords then short."""
        columns = [self.now[task] for task in tasks]
        for column in columns:
            column.SetBounds(0.0, 0.0)
        self.solve()
        money, short = self.money(), self.short()
        for column in columns:
            column.SetBounds(0.0, self.solver.infinity())
        return money, short

    def net_until(self, tasks: Iterable[tuple[Step, str]]) -> tuple[float, dict[str, float]]:
        """Expected money when some tasks are left this week and in all periods told apart, all else anew."""
        tasks = list(tasks)
        columns = [column for b in self.blocks for task in tasks for _, column, _ in b.ahead.get(task, ())]
        before = [(column, column.ub()) for column in columns]
        for column in columns:
            column.SetBounds(0.0, 0.0)
        found = self.net_without(task for task in tasks if task in self.now)
        for column, upper in before:
            column.SetBounds(0.0, upper)
        return found

    def net_unthinned(self, ground: str) -> float:
        """Expected money when a ground is not thinned this year, all else planned anew."""
        columns = [column for b in self.blocks for column in b.thinned[ground]]
        before = [(column, column.ub()) for column in columns]
        for column in columns:
            column.SetBounds(0.0, 0.0)
        self.solve()
        money = self.money()
        for column, upper in before:
            column.SetBounds(0.0, upper)
        return money

    def net_with(self, lot: str, choice: str, taken: str) -> float:
        """The objective when a lot is treated otherwise, all else planned anew; -inf if it can't be."""
        self.fix(lot, choice)
        try:
            return self.solve()
        except SeasonNotSolved:
            return -inf
        finally:
            self.fix(lot, taken)

    def decided(self) -> dict[str, str]:
        """Open lots whose choice came out whole, and the one nearest to it; empty when none is open."""
        found: dict[str, str] = {}
        nearest: tuple[float, str, str] | None = None
        for lot in self.season.lots:
            if lot.key in self.fixed:
                continue
            value, choice = max((self.choice[lot.key, c.key].solution_value(), c.key) for c in lot.choices)
            if value >= NEAR_ONE:
                found[lot.key] = choice
            elif nearest is None or value > nearest[0]:
                nearest = (value, lot.key, choice)
        if nearest:
            found[nearest[1]] = nearest[2]
        return found

    def plan(self, bound: float) -> SeasonPlan:
        season = self.season
        tasks = tuple(
            Task(step=step, target=target, hours=hours, amount=self._amount_now(step, target))
            for (step, target), column in self.now.items()
            if (hours := column.solution_value()) > 1e-6
        )
        taken = self.taken()
        periods = range(season.periods)
        first = sum(row.dual_value() for row in self.now_rows)
        places = self.blocks[0].places
        return SeasonPlan(
            net=float(self.objective.Value()),
            bound=bound,
            nets=tuple(self._net(block, taken) for block in self.blocks),
            hours=tuple(self._hours(block, taken) for block in self.blocks),
            tasks=tasks,
            choices=taken,
            sales=self._sales_now(),
            periods=tuple(self._sums(period) for period in periods),
            hour_price=(first, *(sum(b.hour_dual(period) for b in self.blocks) for period in periods[1:])),
            cord_price={
                place: tuple(self._dual(b.balance[place, period] for b in self.blocks) for period in periods)
                for place in places
            },
            room_price={
                yard.key: sum(row.dual_value() for b in self.blocks for row in b.room_rows.get(yard.key, ()))
                for yard in season.yards
            },
            trip_price={
                market.key: tuple(
                    self._dual(b.trip_rows[market.key, period] for b in self.blocks) for period in periods
                )
                for market in season.markets
                if market.trip_cords is not None
            },
            short=self.short(),
            thinned=self._acres(lambda block: block.thinned),
            cleared=self._acres(lambda block: block.cleared),
            slash_late={
                ground.key: self.share * sum(b.slash_late[ground.key].solution_value() for b in self.blocks)
                for ground in season.grounds
                if ground.key in self.blocks[0].slash_late
            },
            ahead=tuple(self._ahead()),
            made={place: self._made(place) for place in places if place in season.ready},
            cash_short=max(
                (b.cash_short.solution_value() for b in self.blocks if b.cash_short is not None), default=0.0
            ),
        )

    def _acres(self, of: Callable[[Block], Mapping[str, list[Any]]]) -> dict[str, tuple[float, ...]]:
        return {
            ground.key: tuple(
                self.share * sum(of(b)[ground.key][period].solution_value() for b in self.blocks)
                for period in range(self.season.periods)
            )
            for ground in self.season.grounds
        }

    def _ahead(self) -> Iterator[AheadTask]:
        for step, target in self.blocks[0].ahead:
            hours: defaultdict[int, float] = defaultdict(float)
            amount = 0.0
            for b in self.blocks:
                for period, column, each in b.ahead[step, target]:
                    hours[period] += self.share * column.solution_value() * each
                    if column.index() not in b.no_amount:
                        amount += self.share * column.solution_value()
            begun = [period for period, spent in sorted(hours.items()) if spent > LEAST_HOURS]
            if begun:
                yield AheadTask(
                    step=step, target=target, hours=sum(hours.values()), amount=amount, first=begun[0]
                )

    def _made(self, place: Place) -> tuple[float, ...]:
        return tuple(
            self.share * sum(b.made[place, period].solution_value() for b in self.blocks)
            for period in range(self.season.periods)
        )

    def _taken(self, taken: dict[str, str]) -> Iterable[Choice]:
        return (c for lot in self.season.lots for c in lot.choices if taken[lot.key] == c.key)

    def _net(self, block: Block, taken: dict[str, str]) -> float:
        money = sum(block.period_net(period) for period in range(self.season.periods))
        return money + block.kept() - sum(choice.cash for choice in self._taken(taken))

    def _hours(self, block: Block, taken: dict[str, str]) -> float:
        steps = sum(block.step_hours(step, period) for step in Step for period in range(self.season.periods))
        return steps + sum(choice.hours for choice in self._taken(taken))

    def _sales_now(self) -> dict[tuple[str, Place, str], float]:
        found: dict[tuple[str, Place, str], float] = {}
        for block in self.blocks:
            for market, place, dryness, column in block.sold_now:
                key = (market, place, dryness)
                found[key] = found.get(key, 0.0) + column.solution_value() * self.share
        return {key: cords for key, cords in found.items() if cords > 1e-6}

    def _dual(self, rows: Iterable[Any]) -> float:
        return sum(row.dual_value() for row in rows)

    def _amount_now(self, step: Step, target: str) -> float:
        return self.share * sum(
            column.solution_value()
            for b in self.blocks
            for column, _ in b.amounts_now.get((step, target), ())
            if column.index() not in b.no_amount
        )

    def _sums(self, period: int) -> PeriodSums:
        def mean(values: Iterable[float]) -> float:
            return self.share * sum(values)

        blocks = self.blocks
        return PeriodSums(
            hours={step: mean(b.step_hours(step, period) for b in blocks) for step in Step},
            seasoned_cords=mean(b.on_hand(SEASONED, period) for b in blocks),
            drying_cords=mean(b.on_hand("drying", period) for b in blocks),
            green_cords=mean(b.on_hand(GREEN, period) for b in blocks),
            rounds_cords=mean(b.on_hand(ROUNDS, period) for b in blocks),
            sold={m.key: mean(b.sold_to(m.key, period) for b in blocks) for m in self.season.markets},
            net=mean(b.period_net(period) for b in blocks),
        )

"""The season as a linear program over scenarios, solved by OR-Tools' GLOP.

Two stages: what is done this period, and how each lot of split wood is treated, is one decision for all
scenarios; later weeks may follow each scenario, since the plan is made anew every week. What has to be whole
is chosen in `whole`, the answer read in `reading`. README.md has the sets, rows and what is relaxed.
"""

from collections.abc import Iterable
from math import floor, inf
from typing import Any

from routing.season.block import TIE, Block, HourRow, Terms
from routing.season.ledger import Ledger, of_program
from routing.season.people import limits, offered
from routing.season.plan import SeasonPlan
from routing.season.problem import Season, SeasonNotSolved, Step
from routing.season.reading import plan_of
from routing.season.scenarios import Scenario
from routing.season.whole import choose_whole

TEND_PERIODS = 4  # a lot's treatment is done within the first month


def solve_season(
    season: Season, scenarios: tuple[Scenario, ...], *, choices: dict[str, str] | None = None
) -> SeasonPlan:
    """The plan with the best expected net over the scenarios; equal input gives an equal plan.

    Lot choices and this week's far trips are whole. `bound` is the most any whole choice can still bring, so
    the loss by stopping early is known.

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
    bound = choose_whole(program, held=set(choices or {}))
    return program, plan_of(program, bound)


class Program:
    """The rows and columns; one block of columns for each scenario, tied together in the first week."""

    def __init__(self, season: Season, scenarios: tuple[Scenario, ...]) -> None:
        from ortools.linear_solver import pywraplp  # 45 MB: only where a season is planned

        self.season, self.scenarios = season, scenarios
        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        terms = pywraplp.MPSolverParameters
        self.from_scratch, self.from_last = terms(), terms()
        self.from_scratch.SetIntegerParam(terms.INCREMENTALITY, terms.INCREMENTALITY_OFF)
        # Presolved rows differ from plan to plan, so that no basis would fit the next: a third of the time.
        self.from_last.SetIntegerParam(terms.PRESOLVE, terms.PRESOLVE_OFF)
        self.objective = self.solver.Objective()
        self.objective.SetMaximization()
        self.share = 1.0 / len(scenarios)
        self.now: dict[tuple[Step, str], Any] = {}
        self.choice = {
            (lot.key, choice.key): self.column(upper=1.0) for lot in season.lots for choice in lot.choices
        }
        for lot in season.lots:
            self.row(1.0, 1.0, [(self.choice[lot.key, choice.key], 1.0) for choice in lot.choices])
        self.trips_now = {
            market.key: self.column(upper=float(floor(market.trips[0])))
            for market in season.markets
            if market.trip_cords is not None
        }
        self.tend = [self.column() for _ in range(min(TEND_PERIODS, season.periods))]
        tending = [(self.choice[lot.key, c.key], -c.hours) for lot in season.lots for c in lot.choices]
        self.row(0.0, 0.0, [*((column, 1.0) for column in self.tend), *tending])
        self.blocks = [Block(self, scenario) for scenario in scenarios]
        self.now_rows = self.hours_rows(0, list(self._now_terms()), 1.0)
        for column in (*self.now.values(), self.tend[0]):
            self.gain(column, -season.hour_worth - TIE / season.periods / 4)  # no hour for nothing
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

    def hours_rows(self, period: int, work: list[tuple[Step, Terms]], factor: float) -> list[HourRow]:
        """Hours by step that people can be given: a row for each set of steps that needs one."""
        hours = tuple(each * factor for each in offered(self.season, period))
        rows = []
        for limit in limits(self.season, period):
            terms = [term for step, terms in work if step in limit.steps for term in terms]
            if terms:
                rows.append(HourRow(self.row(None, limit.hours(hours), terms), limit))
        return rows

    # -- solving --------------------------------------------------------------------------------------

    def solve(self) -> float:
        """Solve from the last basis, once more from scratch if that ends unsurely; the objective.

        Errors
            SeasonNotSolved: no plan keeps all rows.
        """
        status = self.solver.Solve(self.from_last)
        if status != self.solver.OPTIMAL:
            status = self.solver.Solve(self.from_scratch)
        if status != self.solver.OPTIMAL:
            raise SeasonNotSolved
        return float(self.objective.Value())

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

    def taken(self) -> dict[str, str]:
        """The choice each lot came out with."""
        return {
            lot.key: max(lot.choices, key=lambda c: self.choice[lot.key, c.key].solution_value()).key
            for lot in self.season.lots
        }

    def without(self, tasks: Iterable[tuple[Step, str]]) -> tuple[Ledger, dict[str, float]]:
        """Expected money when some tasks are left this week, all else planned anew, and cords then short."""
        tasks = list(tasks)
        columns = [self.now[task] for task in tasks]
        columns += [self.trips_now[target] for _, target in tasks if target in self.trips_now]
        before = self._left_out(columns)
        self.solve()
        found = of_program(self), self.short()
        self._put_back(before)
        return found

    def _left_out(self, columns: list[Any]) -> list[tuple[Any, float, float]]:
        """Hold columns at nothing; with the bounds they had."""
        before = [(column, column.lb(), column.ub()) for column in columns]
        for column in columns:
            column.SetBounds(0.0, 0.0)
        return before

    def _put_back(self, before: list[tuple[Any, float, float]]) -> None:
        for column, low, high in before:
            column.SetBounds(low, high)

    def without_until(self, tasks: Iterable[tuple[Step, str]]) -> tuple[Ledger, dict[str, float]]:
        """Expected money when some tasks are left this week and in all periods told apart, all else anew."""
        tasks = list(tasks)
        columns = [column for b in self.blocks for task in tasks for _, column, _ in b.ahead.get(task, ())]
        before = self._left_out(columns)
        found = self.without(task for task in tasks if task in self.now)
        self._put_back(before)
        return found

    def unthinned(self, ground: str) -> Ledger:
        """Expected money when a ground is not thinned this year, all else planned anew."""
        columns = [column for b in self.blocks for column in b.thinned[ground]]
        before = self._left_out(columns)
        self.solve()
        found = of_program(self)
        self._put_back(before)
        return found

    def treated(self, lot: str, choice: str, taken: str) -> tuple[float, Ledger]:
        """The objective and the money when a lot is treated otherwise, all else planned anew; -inf where
        that can't be."""
        self.fix(lot, choice)
        try:
            return self.solve(), of_program(self)
        except SeasonNotSolved:
            return -inf, {}
        finally:
            self.fix(lot, taken)

    def eased(self, rows: Iterable[tuple[Any, float]]) -> tuple[Ledger, dict[str, float]]:
        """Expected money when some rows allow so much more, all else planned anew, and cords then short."""
        before = [(row, row.lb(), row.ub(), more) for row, more in rows]
        for row, low, high, more in before:
            row.SetBounds(low + more if low == high else low, high + more)
        self.solve()
        found = of_program(self), self.short()
        for row, low, high, _ in before:
            row.SetBounds(low, high)
        return found

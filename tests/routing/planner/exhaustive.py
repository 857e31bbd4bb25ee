"""Exhaustive search of a small day: every run any rig could drive, every choice of them, in every turn.

Knows the referee and plain arithmetic, nothing of the planner's search, bound or proof. A branch is left only
when what its roads and its work alone cost, with what the orders not in it cost at least, is no less than the
limit, or when its earliest clock has missed a window or the end of the run.
"""

from collections import defaultdict
from itertools import permutations, product
from typing import Any

from routing.planner.clock import NoSuchTime
from routing.planner.hand_edits import judged
from routing.planner.problem import DayProblem, load_seconds
from routing.planner.sketches import LoadSketch

# rules that say nothing of a load by itself
OF_THE_RUN = {"split", "clock", "hours", "pause", "road"}


class OneRun:
    """Every run of one rig on one date that costs less than a limit."""

    def __init__(self, problem: DayProblem, run: Any, limit: float, least: dict[str, float]) -> None:
        self.problem, self.run, self.limit, self.least = problem, run, limit, least
        self.rig = next(rig for rig in problem.rigs if rig.id == run.rig)
        self.yards = {yard.id: yard for yard in problem.yards}
        self.home = self.yards[self.rig.home].loc
        self.roads = dict(problem.roads)
        self.order = {part.id: order for order in problem.orders for part in order.parts}
        self.part = {part.id: part for order in problem.orders for part in order.parts}
        pounds = {wood.id: wood.lb_per_cord / problem.wood_units_per_cord for wood in problem.woods}
        self.lb = {
            part.id: sum(units * pounds[wood] for wood, units in part.lines) for part in self.part.values()
        }
        self.fillings = self._fillings()
        self.found: list[tuple[float, tuple[str, ...], tuple[LoadSketch, ...]]] = []
        self._grow((), (), self.home, run.start_s, self.rig.fixed_c, 0)

    def leg(self, start: int, end: int, lb: float, *, is_loaded: bool) -> tuple[float, int] | None:
        """Cents of the road and seconds of one leg with so much aboard."""
        band = [band for band in self.rig.roads if not band.over_lb or band.over_lb < lb][-1]
        way = self.roads[band.table].leg(start, end)
        if way is None:
            return None
        rate = self.rig.loaded_c_km if is_loaded else self.rig.empty_c_km
        return float(way[0] * rate / 1000), way[1]

    def _fillings(self) -> dict[tuple[str, ...], list[Any]]:
        """For every set of parts the ways to fill them that a load of the rig holds."""
        parts, found = list(self.part), defaultdict(list)
        for mask in range(1, 1 << len(parts)):
            some = tuple(part for k, part in enumerate(parts) if mask >> k & 1)
            ways: list[Any] = list(self.yards)
            if self.problem.fill_yards > 1:
                for first, second in permutations(self.yards, 2):
                    for late in product([False, True], repeat=len(some)):
                        if any(late) and not all(late):
                            early, others = (
                                tuple(p for p, is_late in zip(some, late, strict=True) if is_late == wanted)
                                for wanted in (False, True)
                            )
                            ways.append(((first, early), (second, others)))
            for way in ways:
                _, verdict = judged(self.problem, ((self.run.id, ((way, some),)),))
                if not set(verdict.rules) - OF_THE_RUN:
                    found[some].append(way)
        return found

    def _grow(
        self,
        loads: tuple[LoadSketch, ...],
        done: tuple[str, ...],
        here: int,
        now: int,
        cost: float,
        work: int,
    ) -> None:
        """Runs that go on from some loads: the clock and the cost are the least they can be."""
        back = self.leg(here, self.home, 0, is_loaded=False)
        if loads and back is not None and now + back[1] <= self.run.end_s:
            self._keep(loads, done, cost + back[0], work + back[1])
        for some, ways in self.fillings.items():
            if not set(some) & set(done):
                for way in ways:
                    self._fill(loads, done, some, way, here, now, cost, work)

    def _fill(self, loads, done, some, way, here, now, cost, work):  # type: ignore[no-untyped-def]
        fills = ((way, some),) if isinstance(way, str) else way
        lb = 0.0
        for number, (name, parts) in enumerate(fills):
            yard = self.yards[name]
            leg = self.leg(here, yard.loc, lb, is_loaded=number > 0)
            hours = self.problem.hours_of(yard, self.run.date)
            if leg is None or hours is None:
                return
            stay = load_seconds(
                yard.load_fixed_s,
                yard.load_s_per_cord,
                sum(self.part[part].quantity for part in parts),
                self.problem.wood_units_per_cord,
            )
            now = max(now + leg[1], hours[0]) + stay
            if now > hours[1]:
                return
            cost, work, here = cost + leg[0], work + leg[1] + stay, yard.loc
            lb += sum(self.lb[part] for part in parts)
        self._stop(loads, done, way, (), some, here, now, cost, work, lb)

    def _stop(self, loads, done, way, stops, left, here, now, cost, work, lb):  # type: ignore[no-untyped-def]
        """Drop the parts left of a load in every order."""
        if self._is_too_dear((*done, *stops), cost, work):
            return
        if not left:
            self._grow((*loads, (way, stops)), (*done, *stops), here, now, cost, work)
            return
        for part in left:
            order = self.order[part]
            leg = self.leg(here, order.loc, lb, is_loaded=True)
            if leg is None or now + leg[1] > order.window_s[1]:
                continue
            stay = load_seconds(
                order.stop_s,
                order.unload_s_per_cord,
                self.part[part].quantity,
                self.problem.wood_units_per_cord,
            )
            self._stop(
                loads,
                done,
                way,
                (*stops, part),
                tuple(other for other in left if other != part),
                order.loc,
                max(now + leg[1], order.window_s[0]) + stay,
                cost + leg[0],
                work + leg[1] + stay,
                lb - self.lb[part],
            )

    def _wage(self, seconds: int) -> float:
        return seconds * self.run.wage_c_h / 3600

    def _is_too_dear(self, parts: tuple[str, ...], cost: float, work: int) -> bool:
        others = sum(cents for part, cents in self.least.items() if part not in parts)
        return work > self.run.max_s or cost + self._wage(work) + others >= self.limit

    def _keep(self, loads: tuple[LoadSketch, ...], parts: tuple[str, ...], cost: float, work: int) -> None:
        if self._is_too_dear(parts, cost, work):
            return
        try:
            _, verdict = judged(self.problem, ((self.run.id, loads),))
        except NoSuchTime:
            return
        if not set(verdict.rules) - {"split"}:
            # what it costs at least, whenever it leaves: roads and work, never less
            self.found.append((cost + self._wage(work), tuple(sorted(parts)), loads))


def least_of_each(problem: DayProblem) -> dict[str, float]:
    """Cents no plan brings a part for less, nor leaves it out: its last leg and its unloading by any rig."""
    found = {}
    runs = {rig.id: [run for run in problem.runs if run.rig == rig.id] for rig in problem.rigs}
    for order in problem.orders:
        for part in order.parts:
            stay = load_seconds(
                order.stop_s, order.unload_s_per_cord, part.quantity, problem.wood_units_per_cord
            )
            ways = [
                float(way[0] * rig.loaded_c_km / 1000) + (way[1] + stay) * run.wage_c_h / 3600
                for rig in problem.rigs
                for run in runs[rig.id]
                for _, table in problem.roads
                for start in range(len(table.meters))
                if start != order.loc and (way := table.leg(start, order.loc)) is not None
            ]
            found[part.id] = min([order.left_out_c / len(order.parts), *ways])
    return found


def cheaper_plan(problem: DayProblem, limit_c: int) -> int | None:
    """The cost of a plan that costs less than a limit, or None when there is none."""
    least = least_of_each(problem)
    choices = []
    for run in problem.runs:
        runs = sorted(OneRun(problem, run, limit_c, least).found, key=lambda choice: choice[0])
        choices.append((run.id, [(0.0, (), ()), *runs]))
    return _chosen(problem, choices, (), 0.0, frozenset(), least, limit_c)


def _chosen(problem, choices, chosen, cost, brought, least, limit_c):  # type: ignore[no-untyped-def]
    """Runs of some rigs chosen: those of the next, as long as all may together cost less than the limit."""
    others = sum(cents for part, cents in least.items() if part not in brought)
    if cost + others >= limit_c:
        return None
    if not choices:
        return _cheapest_turn(problem, chosen, cost, brought, limit_c)
    (run, options), *rest = choices
    for alone, some, loads in options:
        if cost + alone >= limit_c:
            break
        if brought.isdisjoint(some):
            more = (*chosen, (run, loads)) if some else chosen
            found = _chosen(problem, rest, more, cost + alone, brought | set(some), least, limit_c)
            if found is not None:
                return found
    return None


def _cheapest_turn(problem, chosen, cost, brought, limit_c):  # type: ignore[no-untyped-def]
    out = 0
    for order in problem.orders:
        parts = {part.id for part in order.parts}
        if not parts <= brought:
            if parts & brought:
                return None
            out += order.left_out_c
    if cost + out >= limit_c:
        return None
    for turn in permutations(chosen):
        _, verdict = judged(problem, turn)
        if verdict.ok and verdict.cost_c < limit_c:
            return verdict.cost_c
    return None

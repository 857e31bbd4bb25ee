"""Where else a drop could go, and what that costs: only what the referee lets be driven."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Self

from routing.planner.hand_edits import Edit, Judge, move_part
from routing.planner.plan import Plan
from routing.planner.problem import DayProblem
from routing.planner.referee import check_plan
from routing.planner.verdict import Verdict

type Begun = Mapping[str, tuple[int, ...]]  # by run: its loads on the road, each with its drops that are over


@dataclass(frozen=True, slots=True, kw_only=True)
class Spent:
    """What a plan takes. Units: cents with the driver's hours, cents of the road alone, seconds paid."""

    cost_c: int
    road_c: int
    paid_s: int

    @classmethod
    def of(cls, plan: Plan, verdict: Verdict) -> Self:
        """Of all its runs; what it leaves out counts nothing."""
        return cls(
            cost_c=verdict.cost_c - verdict.left_out_c,
            road_c=verdict.road_c + verdict.fixed_c,
            paid_s=sum(run.paid_s for run in plan.runs),
        )

    def minus(self, other: Self) -> "Spent":
        """How much more than another."""
        return Spent(
            cost_c=self.cost_c - other.cost_c,
            road_c=self.road_c - other.road_c,
            paid_s=self.paid_s - other.paid_s,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One other place of a drop, and the plan with it there.

    Units
        load, position: from 0, as the run stands before the move; load past the last one: a load of its own.
        change: what the plan takes more; below zero when it saves.
    """

    run: str
    load: int
    position: int
    change: Spent
    edit: Edit

    @property
    def change_c(self) -> int:
        """Cents the plan costs more."""
        return self.change.cost_c


def stays_aboard(begun: Begun, origin: tuple[str, int, int] | None, place: tuple[str, int, int]) -> bool:
    """Whether a move leaves the road alone: a drop aboard keeps to its load, and no other joins it."""
    run, load, position = place
    loads = begun.get(run, ())
    if origin is not None and origin[1] < len(begun.get(origin[0], ())):
        return origin[:2] == (run, load) and origin[2] >= loads[load] and position >= loads[load]
    return load >= len(loads)


def possible_moves(
    problem: DayProblem, plan: Plan, *, part: str, yard: str, begun: Begun | None = None
) -> tuple[Move, ...]:
    """Every other place of a part in the runs of a plan that keeps all rules, cheapest first.

    yard: where its wood is; it is filled there when it opens a load or its load is filled elsewhere.
    begun: what is on the road already and stays as it is.
    """
    judge = Judge(problem)
    before = Spent.of(plan, judge.referee.check(plan))
    origin = plan.place_of(part)
    fixed = {run for run, _ in problem.frozen}
    loads_of = {run.id: run.loads for run in plan.runs}
    found = []
    for run in problem.runs:
        if run.id in fixed:
            continue
        loads = loads_of.get(run.id, ())
        for load in range(len(loads) + 1):
            positions = range(len(loads[load].stops) + 1) if load < len(loads) else range(1)
            for position in positions:
                if origin is not None and _is_same(plan, origin, (run.id, load, position)):
                    continue
                if begun and not stays_aboard(begun, origin, (run.id, load, position)):
                    continue
                edit = move_part(
                    problem,
                    plan,
                    part=part,
                    run=run.id,
                    load=load,
                    position=position,
                    yard=yard,
                    judge=judge,
                )
                if edit.ok:
                    found.append(
                        Move(
                            run=run.id,
                            load=load,
                            position=position,
                            change=Spent.of(edit.plan, edit.verdict).minus(before),
                            edit=edit,
                        )
                    )
    return tuple(sorted(found, key=lambda move: (move.change_c, move.run, move.load, move.position)))


def cheapest_way_in(
    problem: DayProblem, plan: Plan, *, parts: Iterable[tuple[str, str]], begun: Begun | None = None
) -> tuple[Edit, Spent] | None:
    """The plan with left-out parts put in one after the other where each costs least; None: one can't go.

    parts: (part, the yard its wood is at).
    """
    before, edit = Spent.of(plan, check_plan(problem, plan)), None
    for part, yard in parts:
        ways = possible_moves(problem, edit.plan if edit else plan, part=part, yard=yard, begun=begun)
        if not ways:
            return None
        edit = ways[0].edit
    return (edit, Spent.of(edit.plan, edit.verdict).minus(before)) if edit else None


def _is_same(plan: Plan, origin: tuple[str, int, int], place: tuple[str, int, int]) -> bool:
    """Whether a place is where the part is now: there, just behind it, or a new load for a lone one."""
    run, load, position = origin
    if place[:2] == (run, load):
        return place[2] in (position, position + 1)
    here = plan.run_of(run)
    is_alone = here is not None and len(here.loads[load].stops) == 1
    return is_alone and here is not None and place[0] == run and place[1] == len(here.loads) == load + 1

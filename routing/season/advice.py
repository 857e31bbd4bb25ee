"""This week's decisions with their worth, and what would change them.

A task's worth is what the season loses when it is left undone this week and everything else is planned anew;
work that begins in the weeks after is worth what the season loses when none of it is done in them; a lot's
treatment is worth what the season loses under the next best one. Nothing here moves wood or money.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from routing.season.guesses import GuessEffect, guess_effects
from routing.season.ledger import Ledger, Part, Sum, What, added, difference, total
from routing.season.model import Program, planned
from routing.season.one_more import OneMore, one_more
from routing.season.plan import AheadTask, SeasonPlan, Task, TaskPart
from routing.season.problem import Season, SplitLot, Step
from routing.season.scenarios import draw_scenarios

SCENARIOS = 8
DECISIONS = 3
SHORT = 0.01  # cords: less is nothing
LEAST_WORTH = 1.0  # dollars: below this a decision makes no difference worth a sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkDecision:
    """Work to do this week at a ground, a lot or a kind@yard; steps in the job's order.

    gains: what the season has more than when it is left. keeps: promises that would be broken if it were
    left; its gains are then what they pay. begins: the first period with some of it; above 0 hours, amount
    and gains are those of all periods ahead (AHEAD_PERIODS).
    """

    steps: tuple[Step, ...]
    target: str
    hours: float
    amount: float
    gains: Ledger
    keeps: tuple[str, ...] = ()
    begins: int = 0
    parts: tuple[TaskPart, ...] = ()

    @property
    def worth(self) -> float:
        return total(self.gains)


@dataclass(frozen=True, slots=True, kw_only=True)
class LotDecision:
    """How to treat a lot of split wood; worth against the next best choice."""

    lot: str
    choice: str
    instead: str
    gains: Ledger

    @property
    def worth(self) -> float:
        return total(self.gains)


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What the season planner has to say. net_low, net_high: the scenarios' ends; per_hour likewise."""

    plan: SeasonPlan
    work: tuple[WorkDecision, ...]
    lots: tuple[LotDecision, ...]
    net_low: float
    net_high: float
    per_hour: tuple[float, float, float]
    guesses: tuple[GuessEffect, ...]
    ground: dict[str, Ledger]  # what the season loses when a ground is not thinned in it
    more: tuple[OneMore, ...]


def advise(season: Season, *, seed: int = 1, scenarios: int = SCENARIOS, dry_by: int = 0) -> Advice:
    """Plan the season and explain it. Equal input and seed give equal advice.

    dry_by: the period by which one more dry cord is priced.

    Errors
        SeasonNotSolved: the rows contradict each other.
    """
    drawn = draw_scenarios(season, count=scenarios, seed=seed)
    program, plan = planned(season, drawn)
    work = _work(program, plan, plan.tasks)
    told = {decision.target for decision in work}
    work += _work(program, plan, [task for task in plan.ahead if task.target not in told])
    lots = [found for lot in season.lots if (found := _treatment(program, plan, lot))]
    rates = sorted(way.net / way.hours for way in plan.ways if way.hours > 0)
    return Advice(
        plan=plan,
        work=tuple(sorted(work, key=lambda d: (not d.keeps, -d.worth))),
        lots=tuple(sorted((d for d in lots if d.worth >= LEAST_WORTH), key=lambda d: -d.worth)),
        net_low=min(plan.nets),
        net_high=max(plan.nets),
        per_hour=(rates[0], plan.mean_net / plan.mean_hours, rates[-1]) if rates else (0.0, 0.0, 0.0),
        guesses=guess_effects(season),
        ground={
            ground.key: difference(plan.money, program.unthinned(ground.key))
            if sum(plan.thinned[ground.key])
            else {}
            for ground in season.grounds
        },
        more=one_more(program, plan, dry_by=dry_by),
    )


def _treatment(program: Program, plan: SeasonPlan, lot: SplitLot) -> LotDecision | None:
    """A lot's choice against the next best one; nothing where there is no other."""
    taken = plan.choices[lot.key]
    others = [
        (*program.treated(lot.key, choice.key, taken), choice.key)
        for choice in lot.choices
        if choice.key != taken
    ]
    if not others:
        return None
    _, money, instead = max(others, key=lambda other: other[0])
    return LotDecision(lot=lot.key, choice=taken, instead=instead, gains=difference(plan.money, money))


def _work[T: (Task, AheadTask)](program: Program, plan: SeasonPlan, tasks: Iterable[T]) -> list[WorkDecision]:
    """Tasks by place, each with what leaving them would cost; what costs nothing is left out."""
    found = []
    for group in _groups(tasks):
        begins = min(task.first if isinstance(task, AheadTask) else 0 for task in group)
        keys = [(task.step, task.target) for task in group]
        left, short = program.without_until(keys) if begins else program.without(keys)
        broken = {
            name: cords - plan.short[name]
            for name, cords in short.items()
            if cords - plan.short[name] > SHORT
        }
        gains = _paid(program.season, broken) if broken else difference(plan.money, left)
        if total(gains) < LEAST_WORTH:
            continue
        hours = sum(task.hours for task in group)
        parts = tuple(part for task in group for part in task.parts)
        found.append(
            WorkDecision(
                steps=tuple(task.step for task in group),
                target=group[0].target,
                hours=hours,
                amount=group[0].amount,
                gains=gains,
                keeps=tuple(sorted(broken)),
                begins=begins,
                parts=parts,
            )
        )
    return found


def _paid(season: Season, cords: Mapping[str, float]) -> Ledger:
    """What promised wood pays, less its driving money."""
    markets = {market.key: market for market in season.markets}
    promises = {promise.name: promise for promise in season.promises}
    lines: list[Ledger] = []
    for name, amount in sorted(cords.items()):
        promise, market = promises[name], markets[promises[name].market]
        sale = Part(What.SALE, market.key, promise.kind, promise.dryness, name)
        lines.append({sale: Sum(amount, amount * season.promised_price(promise))})
        if market.cash and not promise.is_pick_up:
            lines.append({Part(What.DRIVE, market.key): Sum(amount, -amount * market.cash)})
    return added(lines)


def _groups[T: (Task, AheadTask)](tasks: Iterable[T]) -> list[list[T]]:
    """Tasks of one place belong together: wood that is split is stacked, ground that is felled is hauled."""
    groups: dict[str, list[T]] = {}
    for task in tasks:
        groups.setdefault(task.target, []).append(task)
    order = list(Step)
    return [sorted(group, key=lambda task: order.index(task.step)) for group in groups.values()]

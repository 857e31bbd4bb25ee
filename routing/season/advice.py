"""This week's decisions with their worth, and what would change them.

A task's worth is what the season loses when it is left undone this week and everything else is planned anew;
work that begins in the weeks after is worth what the season loses when none of it is done in them; a lot's
treatment is worth what the season loses under the next best one. Nothing here moves wood or money.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from routing.season.model import Program, planned, solve_season
from routing.season.plan import AheadTask, SeasonPlan, Task
from routing.season.problem import Range, Season, Step
from routing.season.scenarios import draw_scenarios, likely_scenario

SCENARIOS = 8
DECISIONS = 3
SHORT = 0.01  # cords: less is nothing
LEAST_WORTH = 1.0  # dollars: below this a decision makes no difference worth a sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkDecision:
    """Work to do this week at a ground, a lot or a kind@yard; steps in the job's order, worth in dollars.

    keeps: promises that would be broken if it were left; its worth is then what they pay. begins: the first
    period with some of it; above 0 hours, amount and worth are those of all periods ahead (AHEAD_PERIODS).
    """

    steps: tuple[Step, ...]
    target: str
    hours: float
    amount: float
    worth: float
    keeps: tuple[str, ...] = ()
    begins: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class LotDecision:
    """How to treat a lot of split wood; worth against the next best choice."""

    lot: str
    choice: str
    instead: str
    worth: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GuessEffect:
    """A guess at its low and high end: expected net there, and whether this week's work would change."""

    name: str
    net_low: float
    net_high: float
    changes_week: bool


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
    ground: dict[str, float]  # dollars the season loses when a ground is not thinned in it


def advise(season: Season, *, seed: int = 1, scenarios: int = SCENARIOS) -> Advice:
    """Plan the season and explain it. Equal input and seed give equal advice.

    Errors
        SeasonNotSolved: the rows contradict each other.
    """
    drawn = draw_scenarios(season, count=scenarios, seed=seed)
    program, plan = planned(season, drawn)
    money = program.money()
    work = _work(program, plan, plan.tasks, money)
    told = {decision.target for decision in work}
    work += _work(program, plan, [task for task in plan.ahead if task.target not in told], money)
    lots = []
    for lot in season.lots:
        taken = plan.choices[lot.key]
        others = [
            (program.net_with(lot.key, choice.key, taken), choice.key)
            for choice in lot.choices
            if choice.key != taken
        ]
        if others:
            net, instead = max(others)
            lots.append(LotDecision(lot=lot.key, choice=taken, instead=instead, worth=plan.net - net))
    rates = sorted(net / hours for net, hours in zip(plan.nets, plan.hours, strict=True) if hours > 0)
    return Advice(
        plan=plan,
        work=tuple(sorted(work, key=lambda d: (not d.keeps, -d.worth))),
        lots=tuple(sorted((d for d in lots if d.worth >= LEAST_WORTH), key=lambda d: -d.worth)),
        net_low=min(plan.nets),
        net_high=max(plan.nets),
        per_hour=(rates[0], plan.mean_net / plan.mean_hours, rates[-1]) if rates else (0.0, 0.0, 0.0),
        guesses=_guess_effects(season),
        ground={
            ground.key: money - program.net_unthinned(ground.key) if sum(plan.thinned[ground.key]) else 0.0
            for ground in season.grounds
        },
    )


def _work[T: (Task, AheadTask)](
    program: Program, plan: SeasonPlan, tasks: Iterable[T], money: float
) -> list[WorkDecision]:
    """Tasks by place, each with what leaving them would cost; what costs nothing is left out."""
    found = []
    for group in _groups(tasks):
        begins = min(task.first if isinstance(task, AheadTask) else 0 for task in group)
        keys = [(task.step, task.target) for task in group]
        left, short = program.net_until(keys) if begins else program.net_without(keys)
        broken = {
            name: cords - plan.short[name]
            for name, cords in short.items()
            if cords - plan.short[name] > SHORT
        }
        worth = _paid(program.season, broken) if broken else money - left
        if worth < LEAST_WORTH:
            continue
        found.append(
            WorkDecision(
                steps=tuple(task.step for task in group),
                target=group[0].target,
                hours=sum(task.hours for task in group),
                amount=group[0].amount,
                worth=worth,
                keeps=tuple(sorted(broken)),
                begins=begins,
            )
        )
    return found


def _paid(season: Season, cords: Mapping[str, float]) -> float:
    """What promised wood pays, less its driving money."""
    markets = {market.key: market for market in season.markets}
    promises = {promise.name: promise for promise in season.promises}
    found = 0.0
    for name, amount in cords.items():
        promise, market = promises[name], markets[promises[name].market]
        found += amount * (market.price.get((promise.kind, promise.dryness), 0.0) - market.cash)
    return found


def _groups[T: (Task, AheadTask)](tasks: Iterable[T]) -> list[list[T]]:
    """Tasks of one place belong together: wood that is split is stacked, ground that is felled is hauled."""
    groups: dict[str, list[T]] = {}
    for task in tasks:
        groups.setdefault(task.target, []).append(task)
    order = list(Step)
    return [sorted(group, key=lambda task: order.index(task.step)) for group in groups.values()]


def _week_of(plan: SeasonPlan) -> tuple[frozenset[tuple[Step, str]], dict[str, str]]:
    return frozenset((task.step, task.target) for task in plan.tasks if task.hours > 0.25), plan.choices


def _guess_effects(season: Season) -> tuple[GuessEffect, ...]:
    """Each guess at its ends, all others likely, largest swing first."""
    base = _week_of(solve_season(season, (likely_scenario(season),)))
    found = []
    for name, at in _guesses(season):
        low, high = at(0), at(2)
        if low == season and high == season:
            continue
        plans = [solve_season(asked, (likely_scenario(asked),)) for asked in (low, high)]
        found.append(
            GuessEffect(
                name=name,
                net_low=plans[0].net,
                net_high=plans[1].net,
                changes_week=any(_week_of(plan) != base for plan in plans),
            )
        )
    return tuple(sorted(found, key=lambda effect: -abs(effect.net_high - effect.net_low)))


def _guesses(season: Season) -> list[tuple[str, Callable[[int], Season]]]:
    """Every guess by name, and the season with it at its low (0) or high (2) end."""

    def end(guess: Range, which: int) -> float:
        return (guess.low, guess.likely, guess.high)[which]

    def hours(step: Step) -> Callable[[int], Season]:
        def at(which: int) -> Season:
            value = Range.exactly(end(season.hours_per_cord[step], which))
            return replace(season, hours_per_cord={**season.hours_per_cord, step: value})

        return at

    def demand(which: int) -> Season:
        return replace(season, demand_factor=Range.exactly(end(season.demand_factor, which)))

    def drying(which: int) -> Season:
        ready = {place: tuple((w[which],) * 3 for w in splits) for place, splits in season.ready.items()}
        lots = tuple(
            replace(lot, choices=tuple(replace(c, ready=(c.ready[which],) * 3) for c in lot.choices))
            for lot in season.lots
        )
        return replace(season, ready=ready, lots=lots)

    def yields(which: int) -> Season:
        grounds = tuple(
            replace(
                ground,
                cords_per_acre={
                    kind: cords * end(ground.yields, which) for kind, cords in ground.cords_per_acre.items()
                },
                yields=Range.exactly(1.0) if which != 1 else ground.yields,
            )
            for ground in season.grounds
        )
        unsure = any(ground.yields.low < ground.yields.high for ground in season.grounds)
        return replace(season, grounds=grounds) if unsure else season

    return [
        ("demand", demand),
        ("drying", drying),
        ("yields", yields),
        *((str(s), hours(s)) for s in season.hours_per_cord),
    ]

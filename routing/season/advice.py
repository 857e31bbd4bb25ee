"""This week's decisions with their worth, and what would change them.

A task's worth is what the season loses when it is left undone this week and everything else is planned anew;
a lot's treatment is worth what the season loses under the next best one. Nothing here moves wood or money.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from routing.season.model import SeasonPlan, Task, planned, solve_season
from routing.season.problem import Range, Season, Step
from routing.season.scenarios import draw_scenarios, likely_scenario

SCENARIOS = 8
DECISIONS = 3
SHORT = 0.01  # cords: less is nothing
LEAST_WORTH = 1.0  # dollars: below this a decision makes no difference worth a sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkDecision:
    """Work to do this week at a ground, a lot or a kind@yard; steps in the job's order, worth in dollars.

    keeps: promises that would be broken if it were left; its worth is then what they pay.
    """

    steps: tuple[Step, ...]
    target: str
    hours: float
    amount: float
    worth: float
    keeps: tuple[str, ...] = ()


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


def advise(season: Season, *, seed: int = 1, scenarios: int = SCENARIOS) -> Advice:
    """Plan the season and explain it. Equal input and seed give equal advice.

    Errors
        SeasonNotSolved: the rows contradict each other.
    """
    drawn = draw_scenarios(season, count=scenarios, seed=seed)
    program, plan = planned(season, drawn)
    money = program.money()
    work = []
    for group in _groups(plan.tasks):
        left, short = program.net_without((task.step, task.target) for task in group)
        broken = {
            name: cords - plan.short[name]
            for name, cords in short.items()
            if cords - plan.short[name] > SHORT
        }
        work.append(
            WorkDecision(
                steps=tuple(task.step for task in group),
                target=group[0].target,
                hours=sum(task.hours for task in group),
                amount=max(task.amount for task in group),
                worth=_paid(season, broken) if broken else money - left,
                keeps=tuple(sorted(broken)),
            )
        )
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
        work=tuple(
            sorted((d for d in work if d.worth >= LEAST_WORTH), key=lambda d: (not d.keeps, -d.worth))
        ),
        lots=tuple(sorted((d for d in lots if d.worth >= LEAST_WORTH), key=lambda d: -d.worth)),
        net_low=min(plan.nets),
        net_high=max(plan.nets),
        per_hour=(rates[0], plan.mean_net / plan.mean_hours, rates[-1]) if rates else (0.0, 0.0, 0.0),
        guesses=_guess_effects(season),
    )


def _paid(season: Season, cords: Mapping[str, float]) -> float:
    """What promised wood pays, less its driving money."""
    markets = {market.key: market for market in season.markets}
    promises = {promise.name: promise for promise in season.promises}
    found = 0.0
    for name, amount in cords.items():
        promise, market = promises[name], markets[promises[name].market]
        found += amount * (market.price.get((promise.kind, promise.dryness), 0.0) - market.cash)
    return found


def _groups(tasks: Iterable[Task]) -> list[list[Task]]:
    """Tasks of one place belong together: wood that is split is stacked, ground that is felled is hauled."""
    groups: dict[str, list[Task]] = {}
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

"""Which guess would change the plan: each at its ends, all others likely."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from routing.season.ledger import Ledger, total
from routing.season.model import solve_season
from routing.season.plan import SeasonPlan
from routing.season.problem import Range, Season, Step
from routing.season.scenarios import likely_scenario


@dataclass(frozen=True, slots=True, kw_only=True)
class GuessEffect:
    """A guess at its low and high end: the season's money there, and whether this week's work changes."""

    name: str
    low: Ledger
    high: Ledger
    changes_week: bool

    @property
    def net_low(self) -> float:
        return total(self.low)

    @property
    def net_high(self) -> float:
        return total(self.high)


def _week_of(plan: SeasonPlan) -> tuple[frozenset[tuple[Step, str]], dict[str, str]]:
    return frozenset((task.step, task.target) for task in plan.tasks if task.hours > 0.25), plan.choices


def guess_effects(season: Season) -> tuple[GuessEffect, ...]:
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
                low=plans[0].ways[0].money,
                high=plans[1].ways[0].money,
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

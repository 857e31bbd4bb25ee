"""How a season may turn out: drawn once, seeded, shared by every plan that is compared.

Demand has one factor for the whole season and a smaller one for each month; drying is fast, likely or slow
for the whole season (one weather for all lots); hours per cord and the hours people really find vary too.
"""

from dataclasses import dataclass, field

import numpy as np

from routing.season.problem import Season, Step

MONTH_SPREAD = 0.25  # estimate: one month's demand against the season's, standard deviation of the logarithm
HOURS_SPREAD = 0.10  # estimate: hours people find in a period against those they offered
POOR_HOURS = 0.75  # of those offered: two and a half times the spread below
DRYING_SHARES = (0.25, 0.75)  # below: fast; above: slow; between: likely


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """One way a season may turn out.

    Shapes
        demand, hours: a factor for each period. rate: a factor on hours per cord by step.
        drying: 0 fast, 1 likely, 2 slow. yields: a factor on cords an acre by ground, absent = 1.
    """

    demand: tuple[float, ...]
    hours: tuple[float, ...]
    rate: dict[Step, float]
    drying: int
    yields: dict[str, float] = field(default_factory=dict)


def likely_scenario(season: Season) -> Scenario:
    """Everything as guessed likely."""
    return Scenario(
        demand=(season.demand_factor.likely,) * season.periods,
        hours=(1.0,) * season.periods,
        rate=dict.fromkeys(season.hours_per_cord, 1.0),
        drying=1,
    )


def poor_scenario(season: Season) -> Scenario:
    """Demand as likely, but few hours found, every cord at its slow rate, and slow drying."""
    return Scenario(
        demand=(season.demand_factor.likely,) * season.periods,
        hours=(POOR_HOURS,) * season.periods,
        rate={
            step: guess.high / guess.likely if guess.likely > 0 else 1.0
            for step, guess in season.hours_per_cord.items()
        },
        drying=2,
    )


def draw_scenarios(season: Season, *, count: int, seed: int) -> tuple[Scenario, ...]:
    """So many seasons, by Latin hypercube on what a whole season shares, so that few draws cover the range.

    Source
        McKay, Beckman and Conover 1979, Technometrics 21(2): 239-245.
    """
    rng = np.random.default_rng(seed)
    steps = sorted(season.hours_per_cord)
    unsure = [ground for ground in season.grounds if ground.yields.low < ground.yields.high]
    shared = 2 + len(steps) + len(unsure)
    strata = np.stack([(rng.permutation(count) + rng.random(count)) / count for _ in range(shared)])
    found = []
    for n in range(count):
        of_season = season.demand_factor.at(float(strata[0, n]))
        months = np.exp(rng.normal(0.0, MONTH_SPREAD, season.periods // 4 + 1))
        demand = tuple(float(of_season * months[period // 4]) for period in range(season.periods))
        hours = tuple(float(x) for x in np.clip(rng.normal(1.0, HOURS_SPREAD, season.periods), 0.6, 1.2))
        rate = {}
        for row, step in enumerate(steps):
            guess = season.hours_per_cord[step]
            rate[step] = guess.at(float(strata[2 + row, n])) / guess.likely if guess.likely > 0 else 1.0
        fast, slow = DRYING_SHARES
        u = float(strata[1, n])
        drying = 0 if u < fast else 2 if u > slow else 1
        yields = {
            ground.key: ground.yields.at(float(strata[2 + len(steps) + row, n]))
            for row, ground in enumerate(unsure)
        }
        found.append(Scenario(demand=demand, hours=hours, rate=rate, drying=drying, yields=yields))
    return tuple(found)

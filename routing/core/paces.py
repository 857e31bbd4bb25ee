"""How long halts and drives take beside their plan, learned from taps and shrunken toward what is usual."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp, log, sqrt

from inventory.core.figures import NORMAL_80
from routing.core.roads import figure

MOST_TIMES = 4.0  # over or under the plan by more, a tap was forgotten or came late: it teaches nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """Taken over planned time: of what is usual, and an 80% band of one to come.

    count: the taps it rests on.
    """

    ratio: float
    low: float
    high: float
    count: int

    @property
    def percents(self) -> tuple[int, int, int]:
        """How many percent more than planned: usual, and the ends of the band; below zero is less."""
        usual, low, high = (round((ratio - 1) * 100) for ratio in (self.ratio, self.low, self.high))
        return usual, low, high


def pace_of(taken: Iterable[tuple[int, int]], *, around: float = 1.0) -> Pace:
    """From pairs of planned and taken seconds.

    around: the ratio it is shrunken toward, such as that of all yards together for one of them.

    Source
        normal logarithms with a normal prior worth `pace_prior` halts, both in roads.toml.

    >>> round(pace_of([(600, 900)] * 15).ratio, 2)
    1.36
    """
    logs = [
        log(took / planned)
        for planned, took in taken
        if planned > 0 and planned / MOST_TIMES <= took <= planned * MOST_TIMES
    ]
    prior, spread = figure("pace_prior"), figure("pace_spread")
    weight = prior + len(logs)
    middle = (prior * log(around) + sum(logs)) / weight
    variance = (prior * spread**2 + sum((one - middle) ** 2 for one in logs)) / weight
    reach = NORMAL_80 * sqrt(variance * (1 + 1 / weight))
    return Pace(ratio=exp(middle), low=exp(middle - reach), high=exp(middle + reach), count=len(logs))

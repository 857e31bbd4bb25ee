"""One way of deciding against another over many seasons that turn out differently, the same for both."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import mean, stdev

from routing.season.policies import as_last_year, follow_plan
from routing.season.problem import Season
from routing.season.scenarios import Scenario, draw_scenarios
from routing.season.simulate import Lived, Policy, live

TWO_SIDED_95 = 1.96  # normal; for 30 seasons or more


@dataclass(frozen=True, slots=True, kw_only=True)
class Margins:
    """How much more each season brings one way than the other, dollars; both ways' seasons beside."""

    ours: tuple[Lived, ...]
    theirs: tuple[Lived, ...]

    @property
    def each(self) -> list[float]:
        return [a.net - b.net for a, b in zip(self.ours, self.theirs, strict=True)]

    @property
    def likely(self) -> float:
        return mean(self.each)

    @property
    def spread(self) -> float:
        """Standard deviation from season to season."""
        return stdev(self.each)

    @property
    def unsure(self) -> float:
        """How far the mean may be off, either way, nineteen times in twenty."""
        return TWO_SIDED_95 * self.spread / len(self.each) ** 0.5

    @property
    def won(self) -> int:
        return sum(margin > 0 for margin in self.each)

    @property
    def missed(self) -> float:
        """Most promised cords our way failed to deliver in any season."""
        return max(lived.missed for lived in self.ours)


def plan_against_habit(season: Season, *, seasons: int, seed: int) -> Margins:
    """So many seeded seasons lived twice: under the plan made anew each period, and as last year."""
    truths = draw_scenarios(season, count=seasons, seed=seed)
    return Margins(ours=lived(season, truths, follow_plan), theirs=lived(season, truths, as_last_year))


def lived(season: Season, truths: Sequence[Scenario], policy: Policy) -> tuple[Lived, ...]:
    return tuple(live(season, truth, policy) for truth in truths)

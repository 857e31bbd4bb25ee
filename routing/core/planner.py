"""plan(): the best plan found within a stop rule, with its proof."""

from collections.abc import Callable
from dataclasses import dataclass

from routing.core import RoutingError
from routing.core.plan import Moment, Plan, PlanResult
from routing.core.problem import DayProblem


class BadStopRule(RoutingError):
    """A stop rule that never stops, or stops before it starts."""

    def __init__(self) -> None:
        super().__init__("Say when to stop: a number of seconds or of steps, above zero.")


@dataclass(frozen=True, slots=True, kw_only=True)
class StopRule:
    """Stop after so many seconds or search steps, whichever comes first; equal steps give equal plans."""

    seconds: float | None = None
    steps: int | None = None

    def __post_init__(self) -> None:
        given = [limit for limit in (self.seconds, self.steps) if limit is not None]
        if not given or min(given) <= 0:
            raise BadStopRule


def plan(
    problem: DayProblem,
    *,
    stop: StopRule,
    seed: int = 0,
    threads: int = 1,
    start: Plan | None = None,
    progress: Callable[[Moment], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> PlanResult:
    """The best plan found, its cost, the bound, the orders left out with reasons.

    `start` is improved upon when it keeps the rules. `progress` hears every better plan and bound;
    when `cancelled` says yes the best so far is returned.
    """
    raise NotImplementedError

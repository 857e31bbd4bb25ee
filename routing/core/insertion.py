"""What one more order would add to the runs already booked: the price that knows the road."""

from dataclasses import dataclass

from routing.core.plan import Plan
from routing.core.problem import DayProblem, PlanOrder


@dataclass(frozen=True, slots=True, kw_only=True)
class InsertionOffer:
    """The cheapest way to bring a new order in one shift.

    Units
        cost_c: cents the shift's run costs more. begin_s: when its (first) unloading would begin.
        is_empty_run: nothing was booked in that shift. plan: the booked plan with the order in it.
    """

    shift: str
    date: int
    cost_c: int
    begin_s: int
    is_empty_run: bool
    yards: tuple[str, ...]
    plan: Plan


def insertion_offers(
    problem: DayProblem, booked: Plan, new_order: PlanOrder, *, exact: bool = False, seed: int = 0
) -> tuple[InsertionOffer, ...]:
    """Marginal cost of a new order in every shift that can take it, cheapest first.

    `booked` is kept as it is, only the new order's parts are put in (all in one shift). With `exact` each
    run is also put in its best order together with the new one. The order's `loc` must be a row of the
    road tables; it need not be among `problem.orders`.
    """
    raise NotImplementedError

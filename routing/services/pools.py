"""A pool's trip as the planner would drive it, and put on a day.

Who waits and whether the trip pays is `selectors.earned.pool`; what can be driven is the planner's word.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from orders.models import Order
from routing.core import RoutingError
from routing.core.day_clock import time_at
from routing.models import Day, Stop
from routing.planner.plan import Postponed, RunPlan
from routing.planner.solve import StopRule, plan
from routing.quoting.days import SUNDAY
from routing.selectors.planning.plans import numbers_on
from routing.selectors.planning.problems import prepare
from routing.services.days import Planned, open_runs_on, plan_day

DAYS_OFFERED = 6
STEPS = 300  # a few far drops: the proof is done before


class NotWaiting(RoutingError):
    """What was to ride is not waiting any more."""

    says = "These orders do not wait in the pool any more: look at it again."


@dataclass(frozen=True, slots=True, kw_only=True)
class TripLoad:
    """A load of the trip: the yards it is filled at with what each gives, and the orders as dropped."""

    fills: tuple[tuple[str, tuple[int, ...]], ...]
    numbers: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TripRun:
    """One rig's part of the trip."""

    rig: str
    plan: RunPlan
    loads: tuple[TripLoad, ...]

    @property
    def leaves_at(self) -> time:
        return time_at(self.plan.leave_s)

    @property
    def home_at(self) -> time:
        return time_at(self.plan.home_s)

    @property
    def meters(self) -> int:
        return self.plan.loaded_m + self.plan.empty_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Trip:
    """The planner's plan for those who ride, on the first day open to all of them.

    days: every day to choose from; standing: the day whose draft has them already; left_out: who could not
    ride after all, and why; problem: why there is no plan.
    """

    numbers: tuple[int, ...]
    days: tuple[date, ...] = ()
    on: date | None = None
    runs: tuple[TripRun, ...] = ()
    left_out: tuple[Postponed, ...] = ()
    standing: date | None = None
    problem: str = ""

    @property
    def rigs(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(run.rig for run in self.runs))

    @property
    def yards(self) -> tuple[str, ...]:
        """Where it is loaded, in driving order."""
        fills = (fill for run in self.runs for load in run.loads for fill in load.fills)
        return tuple(dict.fromkeys(yard for yard, _ in fills))


def trip_of(numbers: Collection[int], *, today: date) -> Trip:
    """How the planner would bring these orders, alone on the first day open to all of them.

    Only confirmed orders are planned; with none among them, or no day, there is only a reason.

    Errors
        EngineDown, NoRates: see `prepare`.
    """
    rows = list(Order.objects.filter(number__in=numbers, state=Order.State.CONFIRMED).order_by("number"))
    known = tuple(row.number for row in rows)
    if not rows:
        return Trip(numbers=known, problem="None of them is confirmed yet: confirm them first.")
    standing = _standing(known)
    if standing is not None:
        return Trip(numbers=known, standing=standing)
    days = _days(rows, today)
    if not days:
        return Trip(
            numbers=known, problem="No day is left that all of them can take and that is not committed yet."
        )
    on = days[0]
    prepared = prepare(open_runs=open_runs_on((on,), None, None, None), order_numbers=known, must_go=True)
    result = plan(prepared.problem, stop=StopRule(steps=STEPS), seed=1)
    rigs = {rig.id: rig.label for rig in prepared.problem.rigs}
    yards = {yard.id: yard.label for yard in prepared.problem.yards}
    rig_of = {run.id: rigs[run.rig] for run in prepared.problem.runs}
    runs = tuple(
        TripRun(
            rig=rig_of[run.id],
            plan=run,
            loads=tuple(
                TripLoad(
                    fills=tuple(
                        (
                            yards[fill.yard],
                            tuple(sorted({prepared.parts[part].number for part in fill.parts})),
                        )
                        for fill in load.fills
                    ),
                    numbers=tuple(dict.fromkeys(prepared.parts[part].number for part in load.parts)),
                )
                for load in run.loads
            ),
        )
        for run in result.plan.runs
    )
    return Trip(
        numbers=known, days=days, on=on, runs=runs, left_out=(*prepared.impossible, *result.postponed)
    )


def put_on_day(*, numbers: Collection[int], on: date, at: datetime, who: str) -> Planned:
    """Plan a day with these orders beside those it has; a draft, to be looked over and committed.

    Errors
        NotWaiting: none of them is a confirmed order of the pool.
        DayIsFixed, NoRigOut, NothingToBring, PlanRefused: see `plan_day`.
    """
    waiting = Order.objects.filter(number__in=numbers, is_pool=True, state=Order.State.CONFIRMED)
    riders = set(waiting.values_list("number", flat=True))
    if not riders:
        raise NotWaiting
    return plan_day(on=on, at=at, who=who, order_numbers=riders | numbers_on((on,)))


def _standing(numbers: Collection[int]) -> date | None:
    """The day whose draft brings some of them already."""
    stops = Stop.objects.filter(order__number__in=numbers, state=Stop.State.PLANNED)
    day: date | None = (
        stops.values_list("load__run__day__on", flat=True).order_by("load__run__day__on").first()
    )
    return day


def _days(rows: list[Order], today: date) -> tuple[date, ...]:
    """Days that suit all of them, those with nothing on them first; Sundays and committed days left out."""
    first = max(today + timedelta(days=1), *(row.first_on for row in rows))
    last = min(min(row.last_on, row.waits_until or row.last_on) for row in rows)
    last = min(last, first + timedelta(days=4 * DAYS_OFFERED))
    stored = dict(Day.objects.filter(on__range=(first, last)).values_list("on", "state"))
    open_days = [
        on
        for n in range((last - first).days + 1)
        if (on := first + timedelta(days=n)).weekday() != SUNDAY
        and stored.get(on, Day.State.OPEN) in (Day.State.OPEN, Day.State.DRAFT)
    ]
    return tuple(sorted(open_days, key=lambda on: stored.get(on) == Day.State.DRAFT)[:DAYS_OFFERED])

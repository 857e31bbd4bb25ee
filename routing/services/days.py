"""A day's delivering planned, by the planner or by hand, and kept as a draft.

Solver and roads are asked before the transaction; only rows are written inside. Hand edits are `edits`,
committing is `commits`.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from inventory.core.gaps import ShortDay
from inventory.core.sentences import Sentence
from routing.core import RoutingError
from routing.models import Day, Rig, Run
from routing.planner.compiled import IS_COMPILED
from routing.planner.hand_edits import judged
from routing.planner.plan import Moment, PlanResult, Postponed
from routing.planner.problem import Pin
from routing.planner.referee import check_plan
from routing.planner.sketches import RunSketch
from routing.planner.solve import StopRule, plan
from routing.planner.verdict import Verdict
from routing.selectors.drivers import usual_crews
from routing.selectors.planning.parcels import part_id
from routing.selectors.planning.plans import open_runs_of, pins_of
from routing.selectors.planning.problem_values import OpenRun
from routing.selectors.planning.problems import NoRigOut, Prepared, prepare
from routing.services.standing import (
    PlanRefused,
    in_words,
    under_way,
)
from routing.services.storing import store
from routing.services.under_way import all_under_way, replan, with_later_loads

SMALL_DAY_SECONDS = 2.0
SMALL_DAY_ORDERS = 15
DAY_SECONDS, WEEK_SECONDS, TIMES_LONGER = 10, 20, 3


def is_small_day(orders: int) -> bool:
    """Whether a day of so many orders is planned while the page waits; a larger one is in the background."""
    return orders <= SMALL_DAY_ORDERS


def usual_seconds(orders: int, *, is_week: bool = False) -> int:
    """Search time for a planning in the background: longer for many orders where the planner's loops are not
    compiled, since they then take twenty times as long a step.
    """
    seconds = WEEK_SECONDS if is_week else DAY_SECONDS
    return seconds if IS_COMPILED or is_small_day(orders) else TIMES_LONGER * seconds


def slow_search_note() -> Sentence | str:
    """What to say where the planner's loops are not compiled; "" where they are."""
    if IS_COMPILED:
        return ""
    return Sentence(
        "The planner's quick loops are not installed (see the README): {orders} orders and more are given "
        "{times} times as long, and may still end a few percent above the best.",
        {"orders": SMALL_DAY_ORDERS + 1, "times": TIMES_LONGER},
    )


class DayIsFixed(RoutingError):
    says = (
        "{on} is committed and customers know their hours: take it back first, or plan around what is fixed."
    )
    in_words = {"on": ShortDay}


class NoDayLeft(RoutingError):
    says = "Between {on} and {last_on} no day is left to drive on: tick another weekday."
    in_words = {"on": ShortDay, "last_on": ShortDay}


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """What a planning came to.

    Units
        cents; gap: share of the cost above the bound, None = no bound.
    """

    dates: tuple[date, ...]
    cost_cents: int
    lower_bound_cents: int | None
    proof: str
    drops: int
    postponed: tuple[Postponed, ...]
    seconds: float


def plan_day(
    *,
    on: date,
    at: datetime,
    who: str,
    order_numbers: Iterable[int] | None = None,
    rig_ids: Iterable[int] | None = None,
    starts_at: time | None = None,
    ends_at: time | None = None,
    last_on: date | None = None,
    not_on: Iterable[date] = (),
    seconds: float | None = None,
    steps: int | None = None,
    seed: int = 1,
    around_fixed: bool = False,
    progress: Callable[[Moment], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Planned:
    """Plan one day, or every day to `last_on` but those `not_on`, and keep it as a draft.

    Of several days the committed ones stay as they are, and each order keeps to its own dates.
    Pins set by hand, runs that are frozen and loads on the road stay too; the loads that rigs on the road are
    still to fill may take more or less. Orders named by number are all
    wanted; without numbers the planner takes what pays.

    Errors
        DayIsFixed: committed, unless `around_fixed`.
        NoRigOut, NothingToBring: there is nothing to plan with, or for.
        NoRates, EngineDown, BadProblem: see `prepare`.
        PlanRefused: the referee found fault with the planner's own plan; nothing is kept.
    """
    dates = _dates(on, last_on, not_on, around_fixed=around_fixed)
    open_runs = open_runs_on(dates, rig_ids, starts_at, ends_at)
    if len(dates) == 1 and all_under_way([open_run.rig_id for open_run in open_runs], dates):
        return _planned_on_the_road(on, order_numbers, at=at, who=who)
    frozen, kept_numbers = under_way(dates)
    pinned = pins_of(dates)
    numbers = None if order_numbers is None else {*order_numbers, *kept_numbers}
    prepared = prepare(
        open_runs=_with_frozen(open_runs, frozen, dates),
        order_numbers=numbers,
        must_go=order_numbers is not None,
        own_days=len(dates) > 1,
        frozen=frozen,
        fixed_numbers=kept_numbers,
        keep_parts=bool(frozen),
    )
    prepared = _pinned(prepared, pinned)
    stop = StopRule(seconds=seconds or (None if steps else SMALL_DAY_SECONDS), steps=steps)
    result = plan(prepared.problem, stop=stop, seed=seed, progress=progress, cancelled=cancelled)
    again, verdict = judged(prepared.problem, result.plan.sketch)
    if not verdict.ok:
        raise PlanRefused(*in_words(prepared, verdict))
    proof, bound, left = _proof(result), _bound_of_runs(result, verdict), result.postponed
    if frozen and len(dates) == 1:
        fuller, left = with_later_loads(on, prepared, again, left)
        if fuller.sketch != again.sketch:
            again, proof, bound = fuller, "hand", None
            verdict = check_plan(replace(prepared.problem, frozen=()), again)
    postponed = (*prepared.impossible, *left)
    store(
        prepared=prepared,
        plan=again,
        proof=proof,
        lower_bound_cents=bound,
        postponed=postponed,
        pins=tuple(pin.part for pin in pinned),
        at=at,
        who=who,
        verb=Sentence("planned"),
        gap_percent=None if result.gap is None or bound is None else Decimal(str(round(100 * result.gap, 3))),
    )
    return Planned(
        dates=dates,
        cost_cents=verdict.cost_c - verdict.left_out_c,
        lower_bound_cents=bound,
        proof=proof,
        drops=len(again.parts),
        postponed=postponed,
        seconds=result.seconds,
    )


def _planned_on_the_road(on: date, order_numbers: Iterable[int] | None, *, at: datetime, who: str) -> Planned:
    numbers = None if order_numbers is None else set(order_numbers)
    done, postponed = replan(on=on, order_numbers=numbers, at=at, who=who)
    return Planned(
        dates=(on,),
        cost_cents=sum(run.cost_c for run in done.runs),
        lower_bound_cents=None,
        proof="hand",
        drops=len(done.parts),
        postponed=postponed,
        seconds=0.0,
    )


def lay_out_day(
    *,
    on: date,
    rig_id: int,
    loads: Iterable[tuple[int, Iterable[int]]],
    at: datetime,
    who: str,
    starts_at: time | None = None,
    ends_at: time | None = None,
) -> Planned:
    """Keep a run laid out by hand: (yard id, order numbers in dropping order) of each load.

    Errors
        DayIsFixed, NoRigOut, NothingToBring
        PlanRefused: the referee found rules broken; nothing is kept.
    """
    if Day.objects.filter(on=on, state__in=(Day.State.FIXED, Day.State.DONE)).exists():
        raise DayIsFixed(on=on)
    wanted = [(yard, tuple(numbers)) for yard, numbers in loads]
    open_runs = open_runs_on((on,), (rig_id,), starts_at, ends_at)
    prepared = prepare(
        open_runs=open_runs, order_numbers={n for _, numbers in wanted for n in numbers}, must_go=True
    )
    if prepared.impossible:
        raise PlanRefused(
            *(
                Sentence("Order {number}: {text}", {"number": row.order, "text": row.reason})
                for row in prepared.impossible
            )
        )
    sketch = (
        open_runs[0].id,
        tuple((str(yard), tuple(part_id(number, 1) for number in numbers)) for yard, numbers in wanted),
    )
    laid, verdict = judged(prepared.problem, (sketch,))
    if not verdict.ok:
        raise PlanRefused(*in_words(prepared, verdict))
    store(
        prepared=prepared,
        plan=laid,
        proof="hand",
        lower_bound_cents=None,
        postponed=prepared.impossible,
        pins=(),
        at=at,
        who=who,
        verb=Sentence("laid out"),
    )
    return Planned(
        dates=(on,),
        cost_cents=verdict.cost_c - verdict.left_out_c,
        lower_bound_cents=None,
        proof="hand",
        drops=len(laid.parts),
        postponed=prepared.impossible,
        seconds=0.0,
    )


def _dates(on: date, last_on: date | None, not_on: Iterable[date], *, around_fixed: bool) -> tuple[date, ...]:
    last = max(on, last_on or on)
    left = set(not_on)
    asked = [on + timedelta(days=n) for n in range((last - on).days + 1)]
    if not around_fixed:
        done = Day.objects.filter(on__in=asked, state__in=(Day.State.FIXED, Day.State.DONE))
        left |= set(done.values_list("on", flat=True))
    free = tuple(day for day in asked if day not in left)
    if not free:
        raise DayIsFixed(on=on) if set(asked) - set(not_on) else NoDayLeft(on=on, last_on=last)
    return free


def open_runs_on(
    dates: Iterable[date],
    rig_ids: Iterable[int] | None,
    starts_at: time | None,
    ends_at: time | None,
) -> tuple[OpenRun, ...]:
    working = Rig.objects.filter(works=True).order_by("pk")
    rigs = list(working if rig_ids is None else working.filter(pk__in=list(rig_ids)))
    if not rigs:
        raise NoRigOut
    hours = {
        (run.day.on, run.rig_id): run
        for run in Run.objects.filter(day__on__in=list(dates)).select_related("day")
    }
    crews = usual_crews(rig.pk for rig in rigs)
    open_runs = []
    for on in dates:
        for rig in rigs:
            known = hours.get((on, rig.pk))
            usual = OpenRun(rig_id=rig.pk, on=on)
            open_runs.append(
                OpenRun(
                    rig_id=rig.pk,
                    on=on,
                    starts_at=starts_at or (known.starts_at if known else usual.starts_at),
                    ends_at=ends_at or (known.ends_at if known else usual.ends_at),
                    longest_minutes=known.longest_minutes if known else usual.longest_minutes,
                    driver_id=(known.driver_id if known else None) or crews[rig.pk][0],
                    helper_id=known.helper_id if known else crews[rig.pk][1],
                )
            )
    return tuple(open_runs)


def _with_frozen(
    open_runs: tuple[OpenRun, ...], frozen: tuple[RunSketch, ...], dates: tuple[date, ...]
) -> tuple[OpenRun, ...]:
    known = {open_run.id for open_run in open_runs}
    missing = {run for run, _ in frozen} - known
    return (*open_runs, *(open_run for open_run in open_runs_of(dates) if open_run.id in missing))


def _pinned(prepared: Prepared, pins: Iterable[Pin]) -> Prepared:
    """Only pins whose part and run are still there."""
    runs = {run.id for run in prepared.problem.runs}
    kept = tuple(pin for pin in pins if pin.part in prepared.parts and pin.run in runs)
    return replace(prepared, problem=replace(prepared.problem, pins=kept)) if kept else prepared


def _proof(result: PlanResult) -> str:
    return {"optimal": "optimal", "bounded": "bounded"}.get(result.status, "heuristic")


def _bound_of_runs(result: PlanResult, verdict: Verdict) -> int | None:
    """The bound without what left-out orders cost, to stand beside the runs' own cost."""
    if result.lower_bound_c is None:
        return None
    return max(0, result.lower_bound_c - verdict.left_out_c)

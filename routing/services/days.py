"""A day's delivering: planned as a draft, committed after the referee looked again, taken back.

Solver and roads are asked before the transaction; only rows are written inside. Hand edits are `edits`.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from django.db import transaction

from inventory.services import audit
from orders.models import Order
from orders.services.orders import mark_planned, mark_unplanned
from routing.core import RoutingError
from routing.core.check import Verdict
from routing.core.edit import judged
from routing.core.plan import Moment, PlanResult, Postponed
from routing.core.planner import StopRule, plan
from routing.core.problem import FrozenRun, Pin
from routing.models import Day, Rig, Run, Stop
from routing.selectors.days import one_pickup_twice
from routing.selectors.parcels import part_id
from routing.selectors.plans import outings_of, pins_of
from routing.selectors.problems import NoRigOut, Outing, Prepared, prepare
from routing.services.standing import (
    NoSuchDay,
    PlanRefused,
    in_words,
    is_under_way,
    plan_in_books,
    troubles_of,
    under_way,
    without_wood,
)
from routing.services.storing import store
from routing.services.trucks import one_behind_the_other

SMALL_DAY_SECONDS = 2.0  # a day of few orders is planned while the page waits
SMALL_DAY_ORDERS = 15
TOLD_AROUND_MINUTES = 60  # customers are told an hour each way of the planned time (common practice)
TOLD_STEP_MINUTES = 30


class DayIsFixed(RoutingError):
    def __init__(self, *, on: date) -> None:
        self.on = on
        super().__init__(
            f"{on:%a %d %b} is committed and customers know their hours: "
            "take it back first, or plan around what is fixed."
        )


class NoDayLeft(RoutingError):
    def __init__(self, *, on: date, last_on: date) -> None:
        self.on = on
        self.last_on = last_on
        super().__init__(
            f"Between {on:%a %d %b} and {last_on:%a %d %b} no day is left to drive on: tick another weekday."
        )


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Committed:
    """Who is told what: (order number, kind of letter) of a commit or of taking it back."""

    on: date
    letters: tuple[tuple[int, str], ...]


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
    Pins set by hand and runs that are frozen or under way stay too. Orders named by number are all
    wanted; without numbers the planner takes what pays.

    Errors
        DayIsFixed: committed, unless `around_fixed`.
        NoRigOut, NothingToBring: there is nothing to plan with, or for.
        NoRates, EngineDown, BadProblem: see `prepare`.
        PlanRefused: the referee found fault with the planner's own plan; nothing is kept.
    """
    dates = _dates(on, last_on, not_on, around_fixed=around_fixed)
    outings = _outings(dates, rig_ids, starts_at, ends_at)
    frozen, kept_numbers = under_way(dates)
    pinned = pins_of(dates)
    numbers = None if order_numbers is None else {*order_numbers, *kept_numbers}
    prepared = prepare(
        outings=_with_frozen(outings, frozen, dates),
        order_numbers=numbers,
        must_go=order_numbers is not None,
        own_days=len(dates) > 1,
        frozen=frozen,
        keep_parts=bool(frozen),
    )
    prepared = _pinned(prepared, pinned)
    stop = StopRule(seconds=seconds or (None if steps else SMALL_DAY_SECONDS), steps=steps)
    result = plan(prepared.problem, stop=stop, seed=seed, progress=progress, cancelled=cancelled)
    again, verdict = judged(prepared.problem, result.plan.sketch)
    least = verdict.cost_c
    if verdict.ok:
        prepared, again, verdict = one_behind_the_other(prepared, again, verdict)
    if not verdict.ok:
        raise PlanRefused(sentences=in_words(prepared, verdict))
    postponed = (*prepared.impossible, *result.postponed)
    proof = _proof(result) if verdict.cost_c == least or result.lower_bound_c is None else "bounded"
    store(
        prepared=prepared,
        plan=again,
        proof=proof,
        lower_bound_cents=_bound_of_runs(result, verdict),
        postponed=postponed,
        pins=tuple(pin.part for pin in pinned),
        at=at,
        who=who,
        verb="planned",
    )
    return Planned(
        dates=dates,
        cost_cents=verdict.cost_c - verdict.left_out_c,
        lower_bound_cents=_bound_of_runs(result, verdict),
        proof=proof,
        drops=len(again.parts),
        postponed=postponed,
        seconds=result.seconds,
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
    outings = _outings((on,), (rig_id,), starts_at, ends_at)
    prepared = prepare(
        outings=outings, order_numbers={n for _, numbers in wanted for n in numbers}, must_go=True
    )
    if prepared.impossible:
        raise PlanRefused(sentences=tuple(f"Order {row.order}: {row.reason}" for row in prepared.impossible))
    sketch = (
        outings[0].shift,
        tuple((str(yard), tuple(part_id(number, 1) for number in numbers)) for yard, numbers in wanted),
    )
    laid, verdict = judged(prepared.problem, (sketch,))
    if not verdict.ok:
        raise PlanRefused(sentences=in_words(prepared, verdict))
    store(
        prepared=prepared,
        plan=laid,
        proof="hand",
        lower_bound_cents=None,
        postponed=prepared.impossible,
        pins=(),
        at=at,
        who=who,
        verb="laid out",
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


def commit_day(*, on: date, at: datetime, who: str) -> Committed:
    """Fix the day: the referee looks again at today's rows, then the orders are set for it.

    Errors
        NoSuchDay: there is no draft.
        PlanRefused: an order was cancelled, a yard shut, a rig taken out, a rule broken since, or two
            trailers need one pickup at the same hours.
    """
    day = Day.objects.filter(on=on).first()
    if day is None or not Stop.objects.filter(load__run__day=day).exists():
        raise NoSuchDay(on=on)
    troubles = troubles_of(on) or one_pickup_twice(on)
    if not troubles:
        prepared, now_planned = plan_in_books(on)
        _, verdict = judged(prepared.problem, now_planned.sketch)
        troubles = in_words(prepared, verdict) if not verdict.ok else without_wood(on, prepared)
    if troubles:
        raise PlanRefused(sentences=troubles)
    letters: list[tuple[int, str]] = []
    with transaction.atomic():
        fixed = Day.objects.filter(pk=day.pk, version=day.version).update(
            state=Day.State.FIXED, committed_at=at, version=day.version + 1
        )
        if not fixed:
            raise PlanRefused(sentences=("Somebody changed the day just now: look at it again",))
        _left_off(on, at=at, who=who)
        for number, (first, last, order) in _told_hours(day).items():
            was = (order.promised_on, order.comes_from, order.comes_to)
            mark_planned(number=number, promised_on=on, at=at, who=who, comes_from=first, comes_to=last)
            if order.state != Order.State.PLANNED or order.comes_from is None:
                letters.append((number, "day_set"))
            elif was != (on, first, last):
                letters.append((number, "day_moved"))
        audit.note(at=at, who=who, verb="committed", thing=f"day {on}")
    return Committed(on=on, letters=tuple(letters))


@transaction.atomic
def uncommit_day(*, on: date, at: datetime, who: str, reason: str = "") -> Committed:
    """Take a committed day back to a draft; its orders wait for a day again.

    Errors
        NoSuchDay: it is not committed.
        PlanRefused: wood has been delivered already.
    """
    day = Day.objects.filter(on=on, state=Day.State.FIXED).first()
    if day is None:
        raise NoSuchDay(on=on)
    stops = Stop.objects.filter(load__run__day=day)
    if stops.filter(state=Stop.State.DELIVERED).exists():
        raise PlanRefused(sentences=("Wood of this day is delivered already: plan around what is fixed",))
    for order in Order.objects.filter(stops__in=stops, state=Order.State.PLANNED).distinct():
        mark_unplanned(number=order.number, at=at, who=who, reason=reason)
    day.state, day.version, day.committed_at = Day.State.DRAFT, day.version + 1, None
    day.save(update_fields=["state", "version", "committed_at"])
    audit.note(at=at, who=who, verb="taken back", thing=f"day {on}", note=reason)
    return Committed(on=on, letters=())


@transaction.atomic
def clear_day(*, on: date, at: datetime, who: str) -> None:
    """Forget a draft.

    Errors
        DayIsFixed: it is committed.
        PlanRefused: a run of it is under way.
    """
    day = Day.objects.filter(on=on).first()
    if day is None:
        return
    if day.state in (Day.State.FIXED, Day.State.DONE):
        raise DayIsFixed(on=on)
    if any(is_under_way(run) for run in day.runs.all()):
        raise PlanRefused(sentences=("A rig is out on this day: plan around what is fixed",))
    day.runs.all().delete()
    _left_off(on, at=at, who=who)
    day.state, day.proof, day.postponed = Day.State.OPEN, "", []
    day.cost_cents = day.lower_bound_cents = day.committed_at = None
    day.version += 1
    day.save(
        update_fields=[
            "state",
            "proof",
            "postponed",
            "cost_cents",
            "lower_bound_cents",
            "version",
            "committed_at",
        ]
    )
    audit.note(at=at, who=who, verb="cleared", thing=f"day {on}")


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


def _outings(
    dates: Iterable[date],
    rig_ids: Iterable[int] | None,
    starts_at: time | None,
    ends_at: time | None,
) -> tuple[Outing, ...]:
    working = Rig.objects.filter(works=True).order_by("pk")
    rigs = list(working if rig_ids is None else working.filter(pk__in=list(rig_ids)))
    if not rigs:
        raise NoRigOut
    hours = {
        (run.day.on, run.rig_id): run
        for run in Run.objects.filter(day__on__in=list(dates)).select_related("day")
    }
    outings = []
    for on in dates:
        for rig in rigs:
            known = hours.get((on, rig.pk))
            usual = Outing(rig_id=rig.pk, on=on)
            outings.append(
                Outing(
                    rig_id=rig.pk,
                    on=on,
                    starts_at=starts_at or (known.starts_at if known else usual.starts_at),
                    ends_at=ends_at or (known.ends_at if known else usual.ends_at),
                    longest_minutes=known.longest_minutes if known else usual.longest_minutes,
                    driver_name=known.driver_name if known else "",
                )
            )
    return tuple(outings)


def _with_frozen(
    outings: tuple[Outing, ...], frozen: tuple[FrozenRun, ...], dates: tuple[date, ...]
) -> tuple[Outing, ...]:
    known = {outing.shift for outing in outings}
    missing = {run.shift for run in frozen} - known
    return (*outings, *(outing for outing in outings_of(dates) if outing.shift in missing))


def _pinned(prepared: Prepared, pins: Iterable[Pin]) -> Prepared:
    """Only pins whose part and run are still there."""
    shifts = {shift.id for shift in prepared.problem.shifts}
    kept = tuple(pin for pin in pins if pin.part in prepared.parts and pin.shift in shifts)
    return replace(prepared, problem=replace(prepared.problem, pins=kept)) if kept else prepared


def _proof(result: PlanResult) -> str:
    return {"optimal": "optimal", "bounded": "bounded"}.get(result.status, "heuristic")


def _bound_of_runs(result: PlanResult, verdict: Verdict) -> int | None:
    """The bound without what left-out orders cost, to stand beside the runs' own cost."""
    if result.lower_bound_c is None:
        return None
    return max(0, result.lower_bound_c - verdict.left_out_c)


def _told_hours(day: Day) -> dict[int, tuple[time, time, Order]]:
    """Order number to the hours it is told: around its first drop, inside its own window."""
    told: dict[int, tuple[time, time, Order]] = {}
    stops = Stop.objects.filter(load__run__day=day).select_related("order")
    for stop in stops.order_by("begin_at"):
        order = stop.order
        if stop.begin_at is None or stop.state not in (Stop.State.PLANNED, Stop.State.ARRIVED):
            continue
        if order.number in told:
            told[order.number] = (told[order.number][0], _up(stop.begin_at), order)
            continue
        first = max(_down(stop.begin_at), order.window_from)
        told[order.number] = (first, max(_up(stop.begin_at), stop.begin_at), order)
    return told


def _down(at: time) -> time:
    minutes = max(0, at.hour * 60 + at.minute - TOLD_AROUND_MINUTES)
    hours, rest = divmod(minutes // TOLD_STEP_MINUTES * TOLD_STEP_MINUTES, 60)
    return time(hours, rest)


def _up(at: time) -> time:
    minutes = min(23 * 60 + 30, at.hour * 60 + at.minute + TOLD_AROUND_MINUTES)
    hours, rest = divmod(-(-minutes // TOLD_STEP_MINUTES) * TOLD_STEP_MINUTES, 60)
    return time(min(hours, 23), rest)


def _left_off(on: date, *, at: datetime, who: str) -> None:
    """Orders promised for the day that the new plan does not bring: they wait for another day."""
    gone = Order.objects.filter(state=Order.State.PLANNED, promised_on=on).exclude(
        stops__load__run__day__on=on
    )
    for order in gone:
        mark_unplanned(number=order.number, at=at, who=who, reason="taken off the day")

"""Days of delivering as the seller's pages show them: the list, and one day with all that touches it."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import Count, Max, Min, Q, QuerySet, Sum

from orders.models import Order, OrderHold
from routing.models import Day, PlanJob, Run, Stop
from routing.selectors.runs import EventRow, RunView, events_to_look_at, runs_of
from routing.selectors.shuts import ShutRow, shuts_on

WAITING = (Order.State.CONFIRMED, Order.State.PLANNED)
LIVE = (PlanJob.State.WAITING, PlanJob.State.RUNNING)
SILENT_AFTER = timedelta(minutes=1)  # beyond the seconds it may take: its worker was killed


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRow:
    """One line of the list of days."""

    on: date
    state: str
    state_words: str
    drops: int
    done: int
    cords: Fraction
    leaves_at: time | None
    home_at: time | None
    cost_cents: int | None
    dollars: Decimal
    must_go: int  # confirmed orders whose last day it is and that no run brings
    may_go: int
    shuts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CandidateRow:
    """A confirmed order that may go on the day."""

    number: int
    customer: str
    town: str
    wood: str
    dryness: str
    cords: Fraction
    bundles: int
    stacked: bool
    small_rig_only: bool
    total: Decimal
    first_on: date
    last_on: date
    window_from: time
    window_to: time
    yards: tuple[str, ...]
    is_pool: bool
    is_last_day: bool
    is_on_the_day: bool
    is_suggested: bool
    other_day: date | None  # a plan of another day has it already


@dataclass(frozen=True, slots=True, kw_only=True)
class PostponedRow:
    """An order the plan leaves out, and why."""

    number: int
    customer: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DayView:
    """One day. gap: percent above the bound, None = no bound."""

    on: date
    state: str
    state_words: str
    version: int
    was_committed: bool
    runs: tuple[RunView, ...]
    candidates: tuple[CandidateRow, ...]
    postponed: tuple[PostponedRow, ...]
    shuts: tuple[ShutRow, ...]
    events: tuple[EventRow, ...]
    cost_cents: int | None
    road_cents: int
    lower_bound_cents: int | None
    proof: str
    proof_words: str
    engine: str
    is_estimate: bool
    planned_at: datetime | None
    dollars: Decimal
    both_out: tuple[str, ...]

    @property
    def drops(self) -> int:
        return sum(len(run.drops) for run in self.runs)

    @property
    def cords(self) -> Fraction:
        return sum((load.cords for run in self.runs for load in run.loads), Fraction(0))

    @property
    def meters(self) -> int:
        return sum(run.meters for run in self.runs)

    @property
    def paid_seconds(self) -> int:
        return sum(run.paid_seconds for run in self.runs)

    @property
    def is_planned(self) -> bool:
        return bool(self.runs)

    @property
    def is_fixed(self) -> bool:
        return self.state in (Day.State.FIXED, Day.State.DONE)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobView:
    """A planning under way or over. gap: percent the best is above the bound, None = no bound yet."""

    key: str
    first_on: date
    last_on: date
    state: str
    state_words: str
    is_live: bool
    is_silent: bool
    is_waiting: bool
    seconds: int
    best_cents: int | None
    bound_cents: int | None
    made_at: datetime
    message: str

    @property
    def gap(self) -> float | None:
        if self.bound_cents is None or not self.best_cents:
            return None
        return max(0.0, (self.best_cents - self.bound_cents) / self.best_cents * 100)

    @property
    def shows_days(self) -> bool:
        return self.day_count > 1 and not self.is_live

    @property
    def day_count(self) -> int:
        return (self.last_on - self.first_on).days + 1


def days_list(first: date, *, days: int = 21) -> tuple[DayRow, ...]:
    """Days in date order, planned or not, in five queries."""
    last = first + timedelta(days=days - 1)
    rows = {row.on: row for row in Day.objects.filter(on__range=(first, last))}
    sums = _sums(first, last)
    hours = {
        row["day__on"]: (row["out"], row["home"])
        for row in Run.objects.filter(day__on__range=(first, last), loads__isnull=False)
        .values("day__on")
        .annotate(out=Min("leaves_at"), home=Max("home_at"))
        .order_by()
    }
    waiting = list(
        Order.objects.filter(state=Order.State.CONFIRMED, how=Order.How.DELIVERED, is_pool=False)
        .filter(first_on__lte=last, last_on__gte=first)
        .exclude(stops__state__in=(Stop.State.PLANNED, Stop.State.ARRIVED))
        .values_list("first_on", "last_on")
    )
    closed = shuts_on(first, last=last)
    return tuple(_day_row(first + timedelta(days=n), rows, sums, hours, waiting, closed) for n in range(days))


def day_view(on: date, *, at: datetime | None = None) -> DayView:
    """One day, planned or not; constant queries."""
    row = Day.objects.filter(on=on).first() or Day(on=on)
    runs = tuple(run for run in runs_of(on, at=at, drafts=True) if run.loads)
    here = {drop.number for run in runs for drop in run.drops}
    totals = {drop.number: drop.total for run in runs for drop in run.drops}
    left = {int(entry["order"]): str(entry["reason"]) for entry in row.postponed}
    names = dict(Order.objects.filter(number__in=left).values_list("number", "customer__name"))
    return DayView(
        on=on,
        state=row.state,
        state_words=str(row.get_state_display()),
        version=row.version,
        was_committed=row.committed_at is not None and row.state == Day.State.DRAFT,
        runs=runs,
        candidates=_candidates(on, here),
        postponed=tuple(
            PostponedRow(number=number, customer=names.get(number, ""), reason=reason)
            for number, reason in left.items()
        ),
        shuts=shuts_on(on),
        events=events_to_look_at(on=on),
        cost_cents=row.cost_cents,
        road_cents=sum(run.road_cents for run in runs),
        lower_bound_cents=row.lower_bound_cents,
        proof=row.proof,
        proof_words=_proof_words(row),
        engine=row.engine,
        is_estimate=row.is_estimate,
        planned_at=row.planned_at,
        dollars=sum(totals.values(), Decimal(0)),
        both_out=_both_out(runs),
    )


def candidates_between(first: date, last: date) -> tuple[CandidateRow, ...]:
    """Confirmed orders that may come on some day between two dates, the most pressing first."""
    orders = (
        Order.objects.filter(state=Order.State.CONFIRMED, how=Order.How.DELIVERED)
        .filter(first_on__lte=last, last_on__gte=first)
        .select_related("customer", "place__town")
    )
    return _candidates_of(orders.order_by("number"), first, last, set())


def left_out_between(first: date, last: date) -> tuple[PostponedRow, ...]:
    """What the plans of these days leave out, each order once, and still waits."""
    left = {
        int(entry["order"]): str(entry["reason"])
        for row in Day.objects.filter(on__range=(first, last)).order_by("on")
        for entry in row.postponed
    }
    names = dict(Order.objects.filter(number__in=left).values_list("number", "customer__name"))
    return tuple(
        PostponedRow(number=number, customer=names.get(number, ""), reason=reason)
        for number, reason in left.items()
    )


def job_view(key: str, *, at: datetime) -> JobView | None:
    """A planning job.

    Units
        at: this instant by the wall clock, also where the seller's day is pinned: workers write by it.
    """
    row = PlanJob.objects.filter(key=key).first()
    return _job(row, at) if row else None


def live_job(on: date, *, at: datetime) -> JobView | None:
    """The planning under way for a day, if any; one whose worker has died counts no more."""
    rows = PlanJob.objects.filter(first_on__lte=on, last_on__gte=on, state__in=LIVE)
    return next((view for view in (_job(row, at) for row in rows) if not view.is_silent), None)


def _job(row: PlanJob, at: datetime) -> JobView:
    is_silent = (
        row.state == PlanJob.State.RUNNING
        and row.heard_at is not None
        and at - row.heard_at > timedelta(seconds=row.seconds) + SILENT_AFTER
    )
    return JobView(
        key=str(row.key),
        first_on=row.first_on,
        last_on=row.last_on,
        state=row.state,
        state_words=str(row.get_state_display()),
        is_live=row.state in LIVE and not is_silent,
        is_silent=is_silent,
        is_waiting=row.state == PlanJob.State.WAITING,
        seconds=row.seconds,
        best_cents=row.best_cents,
        bound_cents=row.bound_cents,
        made_at=row.made_at,
        message=row.message,
    )


def _sums(first: date, last: date) -> dict[date, dict[str, object]]:
    stops = Stop.objects.filter(load__run__day__on__range=(first, last))
    ended = Q(state__in=(Stop.State.DELIVERED, Stop.State.NO_SHOW, Stop.State.TROUBLE))
    rows = (
        stops.values("load__run__day__on")
        .annotate(
            drops=Count("pk"),
            done=Count("pk", filter=ended),
            cords=Sum("cords"),
            dollars=Sum("order__total_dollars", filter=Q(part=1)),
        )
        .order_by()
    )
    return {row["load__run__day__on"]: dict(row) for row in rows}


def _day_row(
    on: date,
    rows: dict[date, Day],
    sums: dict[date, dict[str, object]],
    hours: dict[date, tuple[time, time]],
    waiting: list[tuple[date, date]],
    closed: tuple[ShutRow, ...],
) -> DayRow:
    row = rows.get(on) or Day(on=on)
    told = sums.get(on, {})
    out, home = hours.get(on, (None, None))
    return DayRow(
        on=on,
        state=row.state,
        state_words=str(row.get_state_display()),
        drops=int(str(told.get("drops") or 0)),
        done=int(str(told.get("done") or 0)),
        cords=Fraction(str(told.get("cords") or 0)),
        leaves_at=out,
        home_at=home,
        cost_cents=row.cost_cents,
        dollars=Decimal(str(told.get("dollars") or 0)),
        must_go=sum(last == on for _, last in waiting),
        may_go=sum(first <= on <= last for first, last in waiting),
        shuts=tuple(
            f"{shut.kind_words} {shut.what}".strip() for shut in closed if shut.from_on <= on <= shut.to_on
        ),
    )


def _candidates(on: date, here: set[int]) -> tuple[CandidateRow, ...]:
    """Confirmed orders, those that suit the day first; far orders wait in the pool until chosen."""
    orders = (
        Order.objects.filter(state__in=WAITING, how=Order.How.DELIVERED)
        .filter(Q(number__in=here) | Q(state=Order.State.CONFIRMED) | Q(promised_on=on))
        .filter(Q(number__in=here) | Q(first_on__lte=on + timedelta(days=14)))
        .select_related("customer", "place__town")
        .order_by("number")
    )
    return _candidates_of(orders, on, on, here)


def _candidates_of(
    found: QuerySet[Order], first: date, last: date, here: set[int]
) -> tuple[CandidateRow, ...]:
    orders = list(found)
    elsewhere = dict(
        Stop.objects.filter(order__in=orders, state=Stop.State.PLANNED)
        .exclude(load__run__day__on__range=(first, last))
        .values_list("order_id", "load__run__day__on")
    )
    yards: dict[int, set[str]] = defaultdict(set)
    links = OrderHold.objects.filter(order__in=[order.pk for order in orders], hold__state="standing")
    for order_id, yard in links.values_list("order_id", "hold__lot__yard__name"):
        yards[order_id].add(yard)
    rows = [
        _candidate(order, first, last, order.number in here, yards[order.pk], elsewhere.get(order.pk))
        for order in orders
    ]
    return tuple(sorted(rows, key=lambda row: (not row.is_suggested, row.last_on, row.number)))


def _candidate(
    order: Order, first: date, last: date, is_here: bool, yards: set[str], other_day: date | None
) -> CandidateRow:
    suits = order.first_on <= last and order.last_on >= first
    promised_else = order.promised_on is not None and not first <= order.promised_on <= last
    return CandidateRow(
        number=order.number,
        customer=order.customer.name,
        town=order.place.town.name if order.place and order.place.town else "",
        wood=order.wood,
        dryness=order.dryness,
        cords=order.cords,
        bundles=order.bundles,
        stacked=order.stacked,
        small_rig_only=order.small_rig_only,
        total=order.total_dollars,
        first_on=order.first_on,
        last_on=order.last_on,
        window_from=order.window_from,
        window_to=order.window_to,
        yards=tuple(sorted(yards)),
        is_pool=order.is_pool,
        is_last_day=order.last_on <= last,
        is_on_the_day=is_here,
        is_suggested=is_here or (suits and not order.is_pool and not promised_else and not other_day),
        other_day=other_day,
    )


def _proof_words(row: Day) -> str:
    if row.proof == "optimal":
        return "Proven best: no plan of these orders costs less."
    if row.proof == "hand":
        return "Laid out by hand; the referee found no fault."
    if row.lower_bound_cents is not None and row.cost_cents:
        gap = max(0.0, (row.cost_cents - row.lower_bound_cents) / row.cost_cents * 100)
        return f"Within {gap:.1f} % of what is possible at best."
    return "Best plan found; how far from the best possible is not known." if row.proof else ""


def one_pickup_twice(on: date) -> tuple[str, ...]:
    """Runs of a day that need the same pickup at the same hours, a sentence each."""
    return tuple(said for said in _both_out(runs_of(on, drafts=True)) if " pulls both: " in said)


def _both_out(runs: tuple[RunView, ...]) -> tuple[str, ...]:
    """Runs that overlap need a driver each, and a pickup each."""
    said = []
    for number, run in enumerate(runs):
        for other in runs[number + 1 :]:
            if not (run.leaves_at and run.home_at and other.leaves_at and other.home_at):
                continue
            if run.leaves_at < other.home_at and other.leaves_at < run.home_at:
                names = f"{run.rig} and {other.rig} are out at the same time"
                if run.truck and run.truck == other.truck:
                    said.append(f"{names}, and {run.truck} pulls both: give one of them other hours.")
                else:
                    said.append(f"{names}: that takes two drivers.")
    return tuple(said)

"""The day at a glance, for the Today page, and what has upset a day since it was planned."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import F, Q, QuerySet, Sum
from django.utils.translation import gettext as _

from orders.models import Order, Payment
from orders.selectors.parts import NamedOrder
from routing.models import Day, Shut, Stop
from routing.selectors.runs.runs import runs_of

SHORT_SHOWN = timedelta(days=4)


@dataclass(frozen=True, slots=True, kw_only=True)
class DayBrief:
    """When the first rig leaves and the last is home, and how much rides."""

    leaves_at: time | None
    home_at: time | None
    loads: int
    stops: int
    is_committed: bool
    is_done: bool


def day_brief(on: date) -> DayBrief | None:
    """A day's runs in short; None when nothing is planned on it."""
    stops = list(Stop.objects.filter(load__run__day__on=on).select_related("load__run__day"))
    if not stops:
        return None
    runs = {stop.load.run.pk: stop.load.run for stop in stops}.values()
    return DayBrief(
        leaves_at=min((run.leaves_at for run in runs if run.leaves_at), default=None),
        home_at=max((run.home_at for run in runs if run.home_at), default=None),
        loads=len({stop.load_id for stop in stops}),
        stops=len(stops),
        is_committed=stops[0].load.run.day.state in (Day.State.FIXED, Day.State.DONE),
        is_done=stops[0].load.run.day.state == Day.State.DONE,
    )


def next_planned_day(on: date) -> date | None:
    """The first day from this one on with loads to drive."""
    stops = Stop.objects.filter(load__run__day__on__gte=on).exclude(load__run__day__state=Day.State.DONE)
    return stops.order_by("load__run__day__on").values_list("load__run__day__on", flat=True).first()


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortDrop(NamedOrder):
    """An order that got less than was ordered. Units: cords; dollars taken off its price."""

    on: date
    ordered: Fraction
    left: Fraction
    credited: Decimal


def short_drops(on: date) -> tuple[ShortDrop, ...]:
    """Short deliveries of the last days, newest first."""
    rows = Order.objects.filter(delivered_on__gt=on - SHORT_SHOWN, delivered_cords__lt=F("cords"))
    credited = Sum("payments__dollars", filter=Q(payments__kind=Payment.Kind.CREDIT))
    rows = rows.annotate(credited=credited).select_related("customer")
    return tuple(
        ShortDrop(
            number=row.number,
            customer=row.customer.name,
            on=row.delivered_on or on,
            ordered=row.cords,
            left=row.delivered_cords or Fraction(0),
            credited=row.credited or Decimal(0),
        )
        for row in rows.order_by("-delivered_on", "number")
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class GoneDrop(NamedOrder):
    """A drop that still stands on a day though its order was called off."""

    on: date
    is_committed: bool


def gone_drops(on: date) -> tuple[GoneDrop, ...]:
    """Drops of this day and later whose order was cancelled or declined, soonest first."""
    rows = Stop.objects.filter(
        load__run__day__on__gte=on,
        state=Stop.State.PLANNED,
        order__state__in=(Order.State.CANCELLED, Order.State.DECLINED),
    ).select_related("order__customer", "load__run__day")
    found = {
        (row.load.run.day.on, row.order.number): GoneDrop(
            on=row.load.run.day.on,
            number=row.order.number,
            customer=row.order.customer.name,
            is_committed=row.load.run.day.state == Day.State.FIXED,
        )
        for row in rows
    }
    return tuple(found[key] for key in sorted(found))


@dataclass(frozen=True, slots=True, kw_only=True)
class UpsetDay:
    """A day to be planned again: a rig of it is out, or a yard or a road it needs is shut all day."""

    on: date
    reasons: tuple[str, ...]
    is_committed: bool


def upset_days(on: date) -> tuple[UpsetDay, ...]:
    """Days from this one on that a broken rig or a closure is in the way of, soonest first: three queries."""
    ahead = Stop.objects.filter(load__run__day__on__gte=on, state=Stop.State.PLANNED)
    rows = (
        *_upset(
            ahead.filter(load__run__rig__works=False), name="load__run__rig__name", what=_("{name} is out")
        ),
        *_upset(
            _closed(ahead, "load__yard__shuts", Shut.Kind.YARD),
            name="load__yard__name",
            what=_("{name} is shut"),
        ),
        *_upset(
            _closed(ahead, "order__place__town__shuts", Shut.Kind.ROAD),
            name="order__place__town__name",
            what=_("{name} cannot be reached"),
        ),
    )
    reasons: dict[tuple[date, str], list[str]] = {}
    for day, state, why in rows:
        reasons.setdefault((day, state), []).append(why)
    return tuple(
        UpsetDay(on=day, reasons=tuple(reasons[day, state]), is_committed=state == Day.State.FIXED)
        for day, state in sorted(reasons)
    )


def _closed(stops: QuerySet[Stop], shuts: str, kind: str) -> QuerySet[Stop]:
    """Stops whose yard or town is shut for the whole of their day."""
    return stops.filter(
        **{
            f"{shuts}__kind": kind,
            f"{shuts}__from_time": None,
            f"{shuts}__from_on__lte": F("load__run__day__on"),
            f"{shuts}__to_on__gte": F("load__run__day__on"),
        }
    )


def _upset(stops: QuerySet[Stop], *, name: str, what: str) -> list[tuple[date, str, str]]:
    rows = stops.values_list("load__run__day__on", "load__run__day__state", name).distinct().order_by(name)
    return [(day, state, what.format(name=who)) for day, state, who in rows]


def drafts_with(number: int) -> tuple[date, ...]:
    """Days that are only a draft yet and carry an order."""
    days = Day.objects.filter(state=Day.State.DRAFT, runs__loads__stops__order__number=number)
    return tuple(days.order_by("on").values_list("on", flat=True).distinct())


@dataclass(frozen=True, slots=True, kw_only=True)
class LateDrop:
    """A drop that will come after the hours it was promised. now_at: when, as things stand."""

    number: int
    stop_id: int
    now_at: time


def late_drops(on: date, *, at: datetime) -> tuple[LateDrop, ...]:
    """Drops of the day's committed runs that come later than promised, the nearest first."""
    late = [
        LateDrop(number=halt.drop.order.number, stop_id=halt.drop.id, now_at=halt.now_at)
        for run in runs_of(on, at=at)
        for halt in run.halts
        if halt.drop is not None
        and halt.drop.is_open
        and halt.drop.order.promise.comes_to is not None
        and halt.now_at > halt.drop.order.promise.comes_to
    ]
    return tuple(sorted(late, key=lambda drop: drop.now_at))

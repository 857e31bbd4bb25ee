"""The day at a glance, for the Today page, and what has upset a day since it was planned."""

from dataclasses import dataclass
from datetime import date, time

from django.db.models import F, QuerySet

from orders.models import Order
from routing.models import Day, Shut, Stop


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


@dataclass(frozen=True, slots=True, kw_only=True)
class GoneDrop:
    """A drop that still stands on a day though its order was called off."""

    on: date
    number: int
    customer: str
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
        *_upset(ahead.filter(load__run__rig__works=False), name="load__run__rig__name", said="is out"),
        *_upset(_closed(ahead, "load__yard__shuts", Shut.Kind.YARD), name="load__yard__name", said="is shut"),
        *_upset(
            _closed(ahead, "order__place__town__shuts", Shut.Kind.ROAD),
            name="order__place__town__name",
            said="cannot be reached",
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


def _upset(stops: QuerySet[Stop], *, name: str, said: str) -> list[tuple[date, str, str]]:
    rows = stops.values_list("load__run__day__on", "load__run__day__state", name).distinct().order_by(name)
    return [(day, state, f"{who} {said}") for day, state, who in rows]


def drafts_with(number: int) -> tuple[date, ...]:
    """Days that are only a draft yet and carry an order."""
    days = Day.objects.filter(state=Day.State.DRAFT, runs__loads__stops__order__number=number)
    return tuple(days.order_by("on").values_list("on", flat=True).distinct())

"""The day at a glance, for the Today page, and drops that should come off a day: one query each."""

from dataclasses import dataclass
from datetime import date, time

from orders.models import Order
from routing.models import Day, Stop


@dataclass(frozen=True, slots=True, kw_only=True)
class DayBrief:
    """When the first rig leaves and the last is home, and how much rides."""

    leaves_at: time | None
    home_at: time | None
    loads: int
    stops: int
    is_committed: bool


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


def drafts_with(number: int) -> tuple[date, ...]:
    """Days that are only a draft yet and carry an order."""
    days = Day.objects.filter(state=Day.State.DRAFT, runs__loads__stops__order__number=number)
    return tuple(days.order_by("on").values_list("on", flat=True).distinct())

"""The hours customers are told of a committed day."""

from datetime import time

from orders.models import Order
from routing.models import Day, Stop

TOLD_AROUND_MINUTES = 60  # an hour each way of the planned time (common practice)
TOLD_STEP_MINUTES = 30


def told_hours(day: Day) -> dict[int, tuple[time, time, Order]]:
    """Order number to the hours it is told: around its first drop, inside its own window."""
    told: dict[int, tuple[time, time, Order]] = {}
    stops = Stop.objects.filter(load__run__day=day).select_related("order")
    for stop in stops.order_by("begin_at"):
        order = stop.order
        if stop.begin_at is None or stop.state != Stop.State.PLANNED:  # whoever has the rig at the door knows
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

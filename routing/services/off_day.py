"""An order taken off the day that carries it, because it is no longer the order that was planned."""

from datetime import date, datetime

from orders.models import Order
from orders.services.orders import mark_unplanned
from routing.core import RoutingError
from routing.models import Stop
from routing.services.edits import take_off
from routing.services.standing import is_under_way

WAITING = (Stop.State.PLANNED, Stop.State.ARRIVED)


class OnTheRoad(RoutingError):
    """The order's wood is aboard: what it is is settled at the drop."""

    says = "Order {number} is on the road: put it right once the driver has told of the drop."


def days_carrying(number: int) -> tuple[date, ...]:
    """The days that still have the order to bring."""
    stops = Stop.objects.filter(order__number=number, state__in=WAITING)
    return tuple(sorted(set(stops.values_list("load__run__day__on", flat=True))))


def leave_days(*, number: int, at: datetime, who: str) -> tuple[date, ...]:
    """Take an order off every day that carries it; it is confirmed and waits for a day again. The days.

    A committed day becomes a draft until it is committed anew; its other orders keep their promise.

    Errors
        OnTheRoad: a run that carries it has left.
        PlanRefused: what is left of a day cannot be driven.
    """
    for stop in Stop.objects.filter(order__number=number, state__in=WAITING).select_related("load__run"):
        if is_under_way(stop.load.run):
            raise OnTheRoad(number=number)
    days = days_carrying(number)
    for on in days:
        take_off(on=on, number=number, at=at, who=who)
    if Order.objects.filter(number=number, state=Order.State.PLANNED).exists():
        mark_unplanned(number=number, at=at, who=who, reason="put right by the seller")
    return days

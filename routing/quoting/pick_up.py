"""Wood picked up at the yard: where it lies, and the days somebody may come for it."""

from collections.abc import Collection, Iterable
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from inventory.selectors.sale import lots_for_picking
from inventory.selectors.stock import LotRow
from inventory.selectors.yards import YardPlace, pick_up_places
from orders.core import picking
from orders.core.floors import DayRoad
from orders.selectors.orders import OrderView
from routing.models import Shut

DAYS_AHEAD = 14
SUNDAY = 6
SOME_KINDLING = Fraction(1, 512)  # cords to look for where only bundles are wanted
NO_ROAD = Decimal(0)


def yards_with(
    lots: Iterable[LotRow], *, wood: str, dryness: str, cords: Fraction, on: date
) -> tuple[YardPlace, ...]:
    """Yards open to customers that hold the wood by then; all, where none does: it is moved there."""
    holding = picking.yards_holding(lots, wood=wood, cords=cords, on=on, dryness=dryness)
    places = pick_up_places()
    return tuple(place for place in places if place.name in holding) or places


def yards_of(order: OrderView) -> tuple[YardPlace, ...]:
    """The yards where an order's wood is held; while none is, those that have it open."""
    held = {hold.yard for hold in order.holds if hold.state != "released"}
    at = tuple(place for place in pick_up_places() if place.name in held)
    if at:
        return at
    on = order.promise.first_on
    return yards_with(
        lots_for_picking(on),
        wood=order.wood,
        dryness=order.dryness,
        cords=order.cords or SOME_KINDLING,
        on=on,
    )


def pick_up_days(yards: Collection[YardPlace], *, first_on: date) -> tuple[DayRoad, ...]:
    """Days on which one of the yards is open, at no charge for any road; Sundays and closures left out."""
    dates = [first_on + timedelta(days=ahead) for ahead in range(DAYS_AHEAD)]
    shuts = Shut.objects.filter(
        kind=Shut.Kind.YARD,
        yard__name__in=[yard.name for yard in yards],
        from_time=None,
        from_on__lte=dates[-1],
        to_on__gte=first_on,
    )
    closed = list(shuts.values_list("yard__name", "from_on", "to_on"))
    return tuple(
        DayRoad(on=on, marginal_dollars=NO_ROAD)
        for on in dates
        if on.weekday() != SUNDAY
        and any(
            not any(name == yard.name and first <= on <= last for name, first, last in closed)
            for yard in yards
        )
    )

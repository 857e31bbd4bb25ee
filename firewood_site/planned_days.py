"""Days that are planned already, asked exactly: windows, weights, room and hours kept by the planner itself.

The quick look of `day_roads` stands for days nobody has planned yet, and where the planner cannot answer.
"""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from orders.core.floors import DayRoad
from orders.core.picking import Pick
from orders.core.wants import Want
from routing.core import RoutingError
from routing.core.roads import Point
from routing.models import Stop
from routing.selectors.drives import day_offers

CENTS = Decimal(100)


def exactly_on_planned_days(
    roads: Iterable[DayRoad],
    *,
    want: Want,
    to: Point,
    picks: Iterable[Pick],
    alone_dollars: Decimal,
    handling_dollars: Decimal,
) -> tuple[DayRoad, ...]:
    """The days on offer with the planner's own answer on those that have a plan.

    A planned day on which no rig can bring it is left out. Where the drop would be a run of its own the
    drive costs what it costs alone.

    Units
        handling_dollars: unloading and stacking, which is not a drive and is taken off the planner's figure.
    """
    rows = tuple(roads)
    planned = _planned(road.on for road in rows)
    lots = tuple((pick.lot, pick.cords) for pick in picks)
    if not planned or not lots:
        return rows
    try:
        offers = day_offers(
            dates=planned,
            lat=to.lat,
            lon=to.lon,
            picks=lots,
            stacked=want.is_stacked,
            small_rig_only=want.small_rig_only,
            exact=True,
        )
    except RoutingError:
        return rows
    added = {
        offer.on: DayRoad(
            on=offer.on,
            marginal_dollars=(
                max(Decimal(0), Decimal(offer.added_cents) / CENTS - handling_dollars)
                if offer.drops_already
                else alone_dollars
            ),
            drops_already=offer.drops_already,
        )
        for offer in offers
    }
    return tuple(added.get(road.on, road) for road in rows if road.on in added or road.on not in planned)


def _planned(dates: Iterable[date]) -> tuple[date, ...]:
    wanted = tuple(dates)
    stops = Stop.objects.filter(load__run__day__on__in=wanted)
    return tuple(sorted(set(stops.order_by().values_list("load__run__day__on", flat=True))))

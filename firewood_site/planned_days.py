"""Days that are planned already, asked exactly: windows, weights, room and hours kept by the planner itself.

The quick look of `day_roads` stands for days nobody has planned yet, and where the planner cannot answer.
"""

from collections.abc import Iterable
from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedDays:
    """What the planner says of the days that have a plan.

    Shapes
        dates: those it answered for. orders: ids of the orders on their plans.
        roads: what the drop adds, dates on which no rig can bring it left out.
    """

    dates: frozenset[date] = frozenset()
    orders: frozenset[int] = frozenset()
    roads: tuple[DayRoad, ...] = ()


NOT_ANSWERED = PlannedDays()


def planned_days(
    dates: Iterable[date],
    *,
    want: Want,
    to: Point,
    picks: Iterable[Pick],
    alone_dollars: Decimal,
    handling_dollars: Decimal,
) -> PlannedDays:
    """The planner's own answer for those of the dates that have a plan; nothing where it cannot answer.

    Where the drop would be a run of its own the drive costs what it costs alone.

    Units
        handling_dollars: unloading and stacking, which is not a drive and is taken off the planner's figure.
    """
    lots = tuple((pick.lot, pick.cords) for pick in picks)
    if not lots:
        return NOT_ANSWERED
    stops = Stop.objects.filter(load__run__day__on__in=tuple(dates)).order_by()
    rows = tuple(stops.values_list("load__run__day__on", "order_id"))
    planned = frozenset(on for on, _ in rows)
    if not planned:
        return NOT_ANSWERED
    try:
        offers = day_offers(
            dates=sorted(planned),
            lat=to.lat,
            lon=to.lon,
            picks=lots,
            stacked=want.is_stacked,
            small_rig_only=want.small_rig_only,
            exact=True,
        )
    except RoutingError:
        return NOT_ANSWERED
    return PlannedDays(
        dates=planned,
        orders=frozenset(order for _, order in rows),
        roads=tuple(
            DayRoad(
                on=offer.on,
                marginal_dollars=(
                    max(Decimal(0), Decimal(offer.added_cents) / CENTS - handling_dollars)
                    if offer.drops_already
                    else alone_dollars
                ),
                drops_already=offer.drops_already,
            )
            for offer in offers
        ),
    )

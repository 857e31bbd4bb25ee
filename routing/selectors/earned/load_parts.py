"""Each order's wood on a load, as the margins read it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum

from inventory.core.money import dollars_for
from inventory.core.sums import exact_sum
from inventory.core.units import bundle_cords
from inventory.selectors.business import BusinessRow
from orders.models import Payment
from routing.earned.margins import Sale
from routing.models import DriverEvent, Stop
from routing.selectors.earned.wood_costs import WoodCostRow, usual_wood_cost, wood_costs
from routing.selectors.runs.run_rows import LoadRow, OrderStop, WholeRun


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What is read once for all the loads of a page: wood by lot, credits by order, arrivals by stop."""

    wood: Mapping[int, WoodCostRow]
    usual: WoodCostRow
    credited: Mapping[int, Decimal]
    arrived: Mapping[int, datetime]

    @classmethod
    def of(cls, runs: Iterable[WholeRun], seller: BusinessRow) -> "Facts":
        run_ids = [run.id for run in runs]
        stops = [stop for run in runs for stop in run.stops]
        carried = Stop.objects.filter(load__run__in=run_ids).values("order")
        credits = Payment.objects.filter(order__in=carried, kind=Payment.Kind.CREDIT)
        arrivals = DriverEvent.objects.filter(kind="arrived", stop__load__run__in=run_ids)
        return cls(
            wood=wood_costs(stop.lot_id for stop in stops if stop.lot_id),
            usual=usual_wood_cost(seller),
            credited=dict(credits.order_by().values_list("order_id").annotate(sum=Sum("dollars"))),
            arrived=dict(arrivals.order_by("-happened_at").values_list("stop_id", "happened_at")),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadPart:
    """One order's wood on one load, its parts there added up; `stop` is the first of them."""

    stop: OrderStop
    cords: Fraction
    bundles: int
    share_of_order: Fraction
    wood: WoodCostRow


def parts_of(load: LoadRow, facts: Facts) -> tuple[LoadPart, ...]:
    by_order: dict[int, list[OrderStop]] = {}
    for stop in load.stops:
        by_order.setdefault(stop.order_id, []).append(stop)
    parts = []
    for stops in by_order.values():
        first = stops[0]
        cords = exact_sum(stop.cords for stop in stops)
        bundles = sum(stop.bundles for stop in stops)
        share = (
            cords / first.cords_asked if first.cords_asked else Fraction(bundles, first.bundles_asked or 1)
        )
        parts.append(
            LoadPart(
                stop=first,
                cords=cords or bundle_cords(bundles, first.bundle_ft3),
                bundles=bundles,
                share_of_order=min(Fraction(1), share),
                wood=facts.wood.get(first.lot_id or 0, facts.usual),
            )
        )
    return tuple(parts)


def sale_of(part: LoadPart) -> Sale:
    stop = part.stop
    return Sale(
        order=str(stop.number),
        price=dollars_for(stop.total_dollars - stop.tax_dollars, part.share_of_order),
        cords=part.cords,
        wood=part.wood.cost,
        is_stacked=stop.stacked,
    )

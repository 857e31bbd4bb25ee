"""A drop as it is read in a cab."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from inventory.core.rows import from_row
from orders.core.payments import Balance
from orders.models import Order
from orders.selectors.orders import OrderBrief, order_brief
from routing.core.lateness import MINUTE
from routing.models import Stop
from routing.selectors.runs.run_rows import StopRow


@dataclass(frozen=True, slots=True, kw_only=True)
class DropView(StopRow):
    """One drop: the part of its order that it brings, and how far it is. problem: what the driver wrote.

    back_lot_id: the lot its wood lies in since it came home.
    """

    order: OrderBrief
    parts: int
    bed_bundles: int
    lot_code: str
    back_lot_id: int | None
    pinned: bool
    state_words: str
    problem: str

    @property
    def waits_minutes(self) -> int:
        """Minutes the rig waits for the window."""
        return max(0, self.begin_s // MINUTE - self.arrive_s // MINUTE)


def parts_of(orders: Mapping[int, Order], on: date) -> dict[int, int]:
    """Drops each order has on the day."""
    found: dict[int, int] = defaultdict(int)
    stops = Stop.objects.filter(order__in=list(orders), load__run__day__on=on)
    for order_id in stops.values_list("order_id", flat=True):
        found[order_id] += 1
    return found


def drop_view(stop: Stop, money: Mapping[int, Balance], parts: Mapping[int, int]) -> DropView:
    return from_row(
        DropView,
        stop,
        order=order_brief(stop.order, money[stop.order_id]),
        parts=parts.get(stop.order_id, 1),
        lot_code=stop.lot.code if stop.lot else "",
        state_words=str(stop.get_state_display()),
        problem=stop.note,
    )

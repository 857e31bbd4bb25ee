"""What the sale and the road ask of the wood: lots to offer and pick from, and what a cord of them weighs."""

from collections.abc import Iterable
from datetime import date

from inventory.core.lots import SEASONED
from inventory.core.weighing import planned_moisture_pct
from inventory.core.woods import Wood
from inventory.models import Lot
from inventory.selectors.business import business
from inventory.selectors.drying import dry_state, faces_of, last_reading, planned_start_pct
from inventory.selectors.stock import LotRow, lots_with_history, open_wood
from inventory.selectors.weights import plan_lb, scale_tickets


def lots_for_picking(on: date) -> tuple[LotRow, ...]:
    """Every lot for sale, oldest first."""
    return tuple(row for row in sale_lots(on) if row.is_for_sale)


def lots_for_sale(on: date) -> tuple[LotRow, ...]:
    """What the shop may show as open today: for sale with some wood open."""
    return tuple(row for row in lots_for_picking(on) if row.open_cords > 0)


def lots_drying(on: date) -> tuple[LotRow, ...]:
    """Wood on hand that may not be called seasoned today, soonest dry first; never logs and kindling."""
    waiting = [
        row for row in sale_lots(on) if row.call != SEASONED and row.wood not in (Wood.LOGS, Wood.KINDLING)
    ]
    return tuple(sorted(waiting, key=lambda row: (row.dry.likely or date.max, row.code)))


def sale_lots(on: date) -> tuple[LotRow, ...]:
    """Every lot with wood on hand but the seller's own, oldest first."""
    found = [row for row in open_wood(on).lots if row.on_hand > 0 and not row.is_for_own_use]
    return tuple(sorted(found, key=lambda row: (row.since, row.code)))


def plan_weights(on: date, lots: Iterable[int] | None = None) -> dict[int, float]:
    """Lot id to the lb to plan a cord of it on, on the heavy side.

    lots: ids of those to weigh, all when not given. An empty lot, of a load long gone, is weighed at its
    last reading, or as wet as it began.
    """
    seller, weighed = business(), scale_tickets()
    wanted = lots_with_history() if lots is None else lots_with_history().filter(pk__in=set(lots))
    return {
        lot.pk: plan_lb(
            lot,
            dry_state(lot, seller, on=on).planned_pct if lot.on_hand_cords else _last_pct(lot, on),
            weighed,
        )
        for lot in wanted
    }


def _last_pct(lot: Lot, on: date) -> float:
    reading = last_reading(lot, on)
    return planned_moisture_pct(faces_of(reading), mix=lot.mix, start_pct=planned_start_pct(lot))

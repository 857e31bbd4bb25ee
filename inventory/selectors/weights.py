"""What a cord of a lot is planned to weigh, from its readings and from scale tickets."""

from collections.abc import Iterable

from inventory.core.once import once_a_page
from inventory.core.rows import from_row
from inventory.core.weighing import Weighed, planned_lb_per_cord
from inventory.models import Lot, ScaleTicket


@once_a_page
def scale_tickets() -> tuple[Weighed, ...]:
    """Every load that went over a scale, oldest first; one query."""
    return tuple(
        from_row(
            Weighed,
            row,
            wood_lb=row.gross_lb - row.tare_lb,
        )
        for row in ScaleTicket.objects.order_by("on", "id")
    )


def plan_lb(lot: Lot, moisture_pct: float, weighed: Iterable[Weighed]) -> float:
    """Pounds to plan a cord of a lot on, at its planned moisture."""
    return planned_lb_per_cord(lot.mix, moisture_pct, lot_id=lot.pk, weighed=weighed)

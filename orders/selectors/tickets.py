"""A delivery ticket as printed."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.core.rows import from_row
from orders.models import Ticket


@dataclass(frozen=True, slots=True, kw_only=True)
class TicketView:
    number: int
    order_number: int
    delivered_on: date
    cords: Fraction
    loaded_ft3: Decimal | None
    replaces: int | None  # number of the ticket this one stands in for
    replaced_by: int | None
    fields: dict[str, str]


def ticket_of(number: int, *, ticket_number: int | None = None) -> TicketView | None:
    """The ticket of an order that holds, or one of its own by number; one query."""
    rows = Ticket.objects.select_related("order", "replaces", "replaced_by").filter(order__number=number)
    row = rows.filter(number=ticket_number).first() if ticket_number else rows.order_by("-number").first()
    if row is None:
        return None
    return from_row(
        TicketView,
        row,
        order_number=row.order.number,
        replaces=row.replaces.number if row.replaces else None,
        replaced_by=row.replaced_by.number if hasattr(row, "replaced_by") else None,
        fields=dict(row.fields),
    )

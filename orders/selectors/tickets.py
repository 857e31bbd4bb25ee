"""A delivery ticket as printed."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from orders.core.tickets import FIELD_WORDS
from orders.models import Ticket


@dataclass(frozen=True, slots=True, kw_only=True)
class TicketView:
    number: int
    order_number: int
    delivered_on: date
    cords: Fraction
    loaded_ft3: Decimal | None
    fields: dict[str, str]
    asked_for: tuple[tuple[str, str], ...]  # the place's field in words, and what stands in it


def ticket_of(number: int) -> TicketView | None:
    """The ticket of an order; one query."""
    row = Ticket.objects.select_related("order").filter(order__number=number).first()
    if row is None:
        return None
    return TicketView(
        number=row.number,
        order_number=row.order.number,
        delivered_on=row.delivered_on,
        cords=row.cords,
        loaded_ft3=row.loaded_ft3,
        fields=dict(row.fields),
        asked_for=tuple(
            (words, row.fields[name]) for name, words in FIELD_WORDS.items() if name in row.fields
        ),
    )

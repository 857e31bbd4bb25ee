"""The days on which orders were promised dry wood."""

from collections.abc import Iterable
from datetime import date

from orders.models import Order

STILL_OWED = (Order.State.ASKED, Order.State.CONFIRMED, Order.State.PLANNED)


def promised_dry(numbers: Iterable[int]) -> dict[int, tuple[date, date]]:
    """The first and last day each order may come, its promised day alone once there is one.

    Left out: orders of green wood, and those delivered or called off.
    """
    orders = Order.objects.filter(number__in=list(numbers), dryness="seasoned", state__in=STILL_OWED)
    return {
        number: (promised or first, promised or last)
        for number, first, last, promised in orders.values_list(
            "number", "first_on", "last_on", "promised_on"
        )
    }

"""Orders whose deposit did not come in time."""

from datetime import date, datetime

from django.db import transaction

from inventory.core.references import order_number
from inventory.core.sentences import Sentence
from inventory.models import Hold
from inventory.services.holds import lapse_soft_holds
from orders.core.lifecycle import State
from orders.models import Order
from orders.services.held import standing_holds
from orders.services.orders import cancel_order

LAPSED = "The hold lapsed before the deposit came."


def lapse_unpaid(*, on: date, at: datetime) -> tuple[int, ...]:
    """Cancel orders whose soft hold has lapsed: the deposit did not come. Returns their numbers.

    Each is its own transaction, so that one that was paid a moment ago is left alone.
    """
    numbers = (order_number(reference) for reference in lapse_soft_holds(on=on, at=at))
    return tuple(number for number in numbers if number is not None and _cancel_lapsed(number, at=at))


@transaction.atomic
def _cancel_lapsed(number: int, *, at: datetime) -> bool:
    order = Order.objects.filter(number=number, state=State.CONFIRMED).first()
    if order is None or any(hold.kind == Hold.Kind.FIRM for hold in standing_holds(order)):
        return False
    cancel_order(number=number, at=at, who="system", reason=Sentence(LAPSED))
    return True

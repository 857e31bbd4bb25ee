"""An order called off: its wood is open again, and its drop comes off the day while that is still a draft.

A committed day is left as it was told to the other customers; the seller's Today page asks to take the drop
off, and the day is then committed anew.
"""

from datetime import datetime

from django.db import transaction

from firewood_site.letters import tell
from inventory.core import InventoryError
from inventory.selectors.business import business
from orders.selectors.sharing import goes_on_alone
from orders.services.orders import cancel_order
from routing.core import RoutingError
from routing.selectors.days.today import drafts_with
from routing.services.edits import take_off


@transaction.atomic
def call_off(*, number: int, at: datetime, who: str, reason: str = "", by_customer: bool = False) -> None:
    """Cancel an order, take its drop off every draft, and tell whom it touches.

    Errors
        as `cancel_order`: nothing is changed.
    """
    cancel_order(
        number=number,
        at=at,
        who=who,
        reason=reason,
        by_customer=by_customer,
        cut_off_hour=business().change_cut_off_hour,
    )
    for on in drafts_with(number):
        try:
            take_off(on=on, number=number, at=at, who=who)
        except (RoutingError, InventoryError):
            continue  # the day's own page says that the order is cancelled
    tell_ended(number, "cancelled", at=at)


def tell_ended(number: int, kind: str, *, at: datetime) -> None:
    """Tell a customer that their order has ended, and a neighbor who shared its drive that theirs stands.

    Runs in the transaction of the step it tells of.
    """
    tell(number, kind, at=at)
    alone = goes_on_alone(number)
    if alone is not None:
        tell(alone, "neighbor_left", at=at)

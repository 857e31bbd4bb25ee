"""A neighbor's order to the same drop: joined when placed; confirmed, it makes the first one cheaper."""

from datetime import datetime

from inventory.services import audit
from orders.core import CustomerRefusal
from orders.core.figures import Figures
from orders.core.sharing import drive_shared, neighbors_part
from orders.models import Order
from orders.selectors.prices import required_sheet
from orders.selectors.sharing import ENDED, OPEN, may_be_joined


class NeighborGone(CustomerRefusal):
    """The first order was delivered, changed or joined by somebody else meanwhile."""

    says = "Your neighbor's order can't be shared any more: ask for a price of your own."


class SharedDay(CustomerRefusal):
    """A neighbor's wood comes with this order, at a price that counts on it."""

    says = "Your neighbor's wood comes with yours: call us to change the day, the wood or the place."


def check_still_open(first: Order, *, at: datetime, cut_off_hour: int) -> None:
    """Refuse to join an order that cannot be joined now.

    Errors
        NeighborGone
    """
    if may_be_joined(first, at=at, cut_off_hour=cut_off_hour) is None:
        raise NeighborGone


def leave_shared(order: Order) -> None:
    """Refuse what would part two neighbors' orders; one whose neighbor has cancelled is on its own.

    Errors
        SharedDay
    """
    first = order.neighbor
    if (first is not None and first.state not in ENDED) or order.joined_by.exclude(state__in=ENDED).exists():
        raise SharedDay
    if first is not None:
        order.neighbor = None
        order.save(update_fields=["neighbor"])


def share_drive(second: Order, *, at: datetime, who: str) -> int | None:
    """Take half its drive off the first order's price; its number, None where there is nothing to share.

    Runs in the transaction that confirms the second order: a first order that has ended or was delivered
    keeps its price, and so does one whose price fell for a neighbor who cancelled since.
    """
    first = second.neighbor
    if first is None or first.state not in OPEN or neighbors_part(first.reasons):
        return None
    figures = Figures.of(first, reasons=tuple(first.reasons))
    sheet = required_sheet(first.asked_on).sheet
    shared = drive_shared(figures, tax=sheet.tax, language=first.customer.language)
    if shared == figures:
        return None
    before = first.total_dollars
    for name, value in shared.columns().items():
        setattr(first, name, value)
    first.save(update_fields=list(shared.columns()))
    audit.note(
        at=at,
        who=who,
        verb="drive shared",
        thing=first.reference,
        before={"total": f"{before:.2f}"},
        after={"total": f"{first.total_dollars:.2f}", "with": second.reference},
    )
    return first.number

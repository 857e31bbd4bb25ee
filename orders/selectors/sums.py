"""Books written elsewhere: prices that are not their lines' sum, and money that can't have moved so."""

from collections.abc import Iterator
from decimal import Decimal, InvalidOperation

from orders.core.payments import BadEntry, Entry, EntryKind
from orders.core.reasons import ReasonKind
from orders.models import Order, Payment, Quote
from orders.selectors.lines import reason_lines
from orders.selectors.money import balances

NOTHING = Decimal("0.00")


def money_that_differs() -> Iterator[str]:
    """A sentence for every quote, order and line of the ledger that contradicts the rest of the books."""
    for quote in Quote.objects.exclude(reasons=[]).order_by("pk").iterator(chunk_size=2000):
        yield from _price_that_differs(f"Quote {quote.token}", quote)
    for order in Order.objects.exclude(reasons=[]).order_by("pk").iterator(chunk_size=2000):
        yield from _price_that_differs(f"Order {order.number}", order)
    impossible = list(_lines_that_cannot_be())
    yield from impossible or _ledgers_that_differ()


def _price_that_differs(name: str, row: Quote | Order) -> Iterator[str]:
    """A price without lines is one agreed by word: there is nothing to add up."""
    try:
        lines = reason_lines(row.reasons)
        total = sum((line.dollars for line in lines), NOTHING)
    except (AttributeError, TypeError, InvalidOperation):
        yield f"{name}: the lines of its price can't be read. Each has a label and its dollars."
        return
    taxes = [line.dollars for line in lines if line.kind == ReasonKind.TAX]
    if total != row.total_dollars:
        yield f"{name} costs {row.total_dollars}, but the lines of its price add up to {total}."
    if taxes and sum(taxes) != row.tax_dollars:
        yield f"{name} has {row.tax_dollars} of tax, but the line of its price says {sum(taxes)}."


def _lines_that_cannot_be() -> Iterator[str]:
    rows = Payment.objects.select_related("order", "reverses").order_by("pk")
    for row in rows.iterator(chunk_size=2000):
        name = f"Order {row.order.number}, ledger line {row.pk}"
        try:
            Entry(kind=EntryKind(row.kind), dollars=row.dollars, on=row.on, method=row.method)
        except BadEntry as error:
            yield f"{name}: {error}"
        other = row.reverses
        if other is None:
            if row.kind == Payment.Kind.UNDONE:
                yield f"{name} undoes an entry, but does not say which."
        elif (other.order_id, other.dollars) != (row.order_id, -row.dollars):
            yield f"{name} takes back line {other.pk}, but differs from it in order or amount."


def _ledgers_that_differ() -> Iterator[str]:
    orders = list(Order.objects.only("pk", "number", "state", "kept_dollars", "total_dollars").order_by("pk"))
    money = balances({order.pk: order.billed_dollars for order in orders})
    for order in orders:
        balance = money[order.pk]
        if balance.received < 0:
            yield f"Order {order.number}: more money went back than came in ({balance.received})."
        if order.state == Order.State.SETTLED and balance.due:
            yield f"Order {order.number} is settled, but {balance.due} of it is not paid."

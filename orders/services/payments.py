"""Lines of the money ledger: taken once however often a phone says so, never edited.

Ways of paying are rows (`PaymentKind`), so a card provider plugs in without a change here: give it a row,
and let its callback call `record_payment` with that row's key as `method` and a `uuid5` of the provider's
own event number as `key`; an event told twice is then booked once.
"""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from inventory.models import Hold
from inventory.services import audit
from inventory.services.holds import firm_up_hold
from orders.core import OrdersError, lifecycle, payments
from orders.core.payments import Balance
from orders.models import Order, Payment
from orders.selectors.money import balance_of_order
from orders.services.asking import order_for_writing
from orders.services.orders import settle_if_paid, standing_holds

Kind = Payment.Kind
ENDED = (Order.State.DECLINED, Order.State.CANCELLED)


class TooMuchPaid(OrdersError):
    """More came than is due, from somebody new, and not in cash."""

    def __init__(self, *, received: Decimal, due: Decimal, caution: str) -> None:
        self.received = received
        self.due = due
        self.caution = caution
        super().__init__(
            f"{received:.2f} came and {due:.2f} is due. {caution} "
            "Tick that you keep it on the books and give nothing back until the bank has it for good."
        )


class NothingToReturn(OrdersError):
    def __init__(self, *, asked: Decimal, held: Decimal) -> None:
        self.asked = asked
        self.held = held
        super().__init__(f"{asked:.2f} cannot go back: {held:.2f} of this order's money is here.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """What was booked, and where the order stands now."""

    applied: Decimal
    change: Decimal
    caution: str
    balance: Balance
    is_new: bool


@transaction.atomic
def record_payment(
    *,
    number: int,
    dollars: Decimal,
    method: str,
    on: date,
    at: datetime,
    who: str,
    key: UUID,
    is_deposit: bool = False,
    keep_too_much: bool = False,
    note: str = "",
) -> Recorded:
    """Book money handed over: cash above what is due is changed, anything else too large is a stop.

    The same key again books nothing and tells the balance. A deposit firms up soft holds.

    Errors
        NoSuchOrder
        BadEntry: no amount of money.
        TooMuchPaid: too much from a new buyer, unless `keep_too_much`; nothing is booked.
    """
    order = order_for_writing(number)
    before = balance_of_order(order.pk, total=order.total_dollars)
    if Payment.objects.filter(key=key).exists():
        return Recorded(applied=Decimal(0), change=Decimal(0), caution="", balance=before, is_new=False)
    handed = payments.hand_over(
        due=before.due, handed=dollars, method=method, is_known_buyer=order.customer.is_repeat
    )
    if handed.is_stop and not keep_too_much:
        raise TooMuchPaid(received=dollars, due=before.due, caution=handed.caution)
    if handed.applied:
        _write(
            order,
            kind=Kind.DEPOSIT if is_deposit else Kind.PAYMENT,
            dollars=handed.applied,
            method=method,
            received=handed.received,
            change=handed.change,
            on=on,
            at=at,
            who=who,
            key=key,
            note=note,
        )
    for hold in standing_holds(order):
        if hold.kind == Hold.Kind.SOFT:
            firm_up_hold(hold_id=hold.pk)
    settle_if_paid(order, at=at, who=who)
    return Recorded(
        applied=handed.applied,
        change=handed.change,
        caution=handed.caution,
        balance=balance_of_order(order.pk, total=order.total_dollars),
        is_new=True,
    )


@transaction.atomic
def record_refund(
    *, number: int, dollars: Decimal, method: str, on: date, at: datetime, who: str, key: UUID, note: str = ""
) -> Balance:
    """Money given back, never more than came in.

    Errors
        NoSuchOrder, BadEntry
        NothingToReturn: more than this order's money in hand.
    """
    order = order_for_writing(number)
    before = balance_of_order(order.pk, total=order.total_dollars)
    if Payment.objects.filter(key=key).exists():
        return before
    payments.Entry(kind=payments.EntryKind.REFUND, dollars=-dollars, on=on, method=method)
    if dollars > before.received:
        raise NothingToReturn(asked=dollars, held=before.received)
    _write(
        order, kind=Kind.REFUND, dollars=-dollars, method=method, on=on, at=at, who=who, key=key, note=note
    )
    return balance_of_order(order.pk, total=order.total_dollars)


@transaction.atomic
def record_returned_check(
    *, number: int, dollars: Decimal, on: date, at: datetime, who: str, key: UUID, note: str = ""
) -> Balance:
    """The bank sent a check back: the money is due again and the customer pays first from now on.

    Errors
        NoSuchOrder, BadEntry
        NothingToReturn: more than this order's money in hand.
    """
    order = order_for_writing(number)
    before = balance_of_order(order.pk, total=order.total_dollars)
    if Payment.objects.filter(key=key).exists():
        return before
    payments.Entry(kind=payments.EntryKind.RETURNED, dollars=-dollars, on=on, method="check")
    if dollars > before.received:
        raise NothingToReturn(asked=dollars, held=before.received)
    _write(
        order, kind=Kind.RETURNED, dollars=-dollars, method="check", on=on, at=at, who=who, key=key, note=note
    )
    if order.state == Order.State.SETTLED:
        order.state = lifecycle.step(
            lifecycle.State.SETTLED, to=lifecycle.State.DELIVERED, order=order.reference
        )
        order.save(update_fields=["state"])
    customer = order.customer
    customer.pay_first, customer.pay_first_on = True, on
    customer.pay_first_reason = f"Check of {dollars:.2f} for order {number} returned {on.day} {on:%b %Y}."
    customer.save(update_fields=["pay_first", "pay_first_on", "pay_first_reason"])
    return balance_of_order(order.pk, total=order.total_dollars)


@transaction.atomic
def record_credit(
    *, number: int, dollars: Decimal, on: date, at: datetime, who: str, key: UUID, note: str = ""
) -> Balance:
    """Knock dollars off an order for wood that was short.

    Errors
        NoSuchOrder, BadEntry
    """
    order = order_for_writing(number)
    if not Payment.objects.filter(key=key).exists():
        payments.Entry(kind=payments.EntryKind.CREDIT, dollars=dollars, on=on, method="credit")
        _write(
            order,
            kind=Kind.CREDIT,
            dollars=dollars,
            method="credit",
            on=on,
            at=at,
            who=who,
            key=key,
            note=note,
        )
        settle_if_paid(order, at=at, who=who)
    return balance_of_order(order.pk, total=order.total_dollars)


def _write(
    order: Order,
    *,
    kind: Payment.Kind,
    dollars: Decimal,
    method: str,
    on: date,
    at: datetime,
    who: str,
    key: UUID,
    note: str,
    received: Decimal | None = None,
    change: Decimal | None = None,
) -> None:
    line = Payment(
        order=order,
        kind=kind,
        method=method,
        dollars=dollars,
        received_dollars=received,
        change_dollars=change,
        on=on,
        made_at=at,
        who=who,
        note=note.strip()[:200],
        key=key,
    )
    line.full_clean()
    line.save()
    audit.note(
        at=at,
        who=who,
        verb=str(line.get_kind_display()),
        thing=order.reference,
        after={"dollars": f"{dollars:.2f}", "method": method},
    )

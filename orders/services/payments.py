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

from inventory.core.gaps import FullDate, Money
from inventory.core.kept import at_most
from inventory.core.sentences import Sentence
from inventory.models import Hold
from inventory.services import audit
from inventory.services.holds import firm_up_hold
from orders.core import OrdersError, payments
from orders.core.payments import Balance, Handed
from orders.models import Customer, Order, Payment
from orders.selectors.money import balance_of_order, checks_of
from orders.services.asking import order_for_writing
from orders.services.held import standing_holds
from orders.services.orders import resettle, settle_if_paid

Kind = Payment.Kind
ENDED = (Order.State.DECLINED, Order.State.CANCELLED)


CHECK_RETURNED = "Check of {dollars} for order {number} returned {day}."


class TooMuchPaid(OrdersError):
    """More came than is due, from somebody new, and not in cash."""

    says = (
        "{received:.2f} came and {due:.2f} is due. {caution} Tick that you keep it on the books and give "
        "nothing back until the bank has it for good."
    )
    in_words = {"caution": Sentence}


class CreditTooLarge(OrdersError):
    """More would be knocked off an order than it costs."""

    says = (
        "A credit of {asked:.2f} is more than the {left:.2f} this order still costs after earlier "
        "credits: write less."
    )


class NotACheck(OrdersError):
    """A payment was marked as bounced that was no check, or came back before."""

    says = "Pick the check that bounced; it must be a check, and not marked as bounced before."


class NotUndone(OrdersError):
    """An entry that is undone already, or that others rest on."""


class NothingToReturn(OrdersError):
    says = "{asked:.2f} cannot go back: {held:.2f} of this order's money is here."


class NothingToKeep(OrdersError):
    says = "None of order {number}'s money is here to keep, or the order still stands."


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """What was booked, and where the order stands now."""

    handed: Handed
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
    note: str | Sentence = "",
) -> Recorded:
    """Book money handed over: cash above what is due is changed, anything else too large is a stop.

    The same key again books nothing and tells the balance. A deposit firms up soft holds.

    Errors
        NoSuchOrder
        BadEntry: no amount of money.
        TooMuchPaid: too much from a new buyer, unless `keep_too_much`; nothing is booked.
    """
    order = order_for_writing(number)
    before = balance_of_order(order.pk, total=order.billed_dollars)
    if Payment.objects.filter(key=key).exists():
        none = Decimal(0)
        nothing = Handed(received=none, applied=none, change=none, still_due=before.due)
        return Recorded(handed=nothing, balance=before, is_new=False)
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
            over=max(handed.applied - before.due, Decimal(0)),
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
        handed=handed,
        balance=balance_of_order(order.pk, total=order.billed_dollars),
        is_new=True,
    )


@transaction.atomic
def record_refund(
    *,
    number: int,
    dollars: Decimal,
    method: str,
    on: date,
    at: datetime,
    who: str,
    key: UUID,
    note: str | Sentence = "",
) -> Balance:
    """Money given back, never more than came in.

    Errors
        NoSuchOrder, BadEntry
        NothingToReturn: more than this order's money in hand.
    """
    order = order_for_writing(number)
    before = balance_of_order(order.pk, total=order.billed_dollars)
    if Payment.objects.filter(key=key).exists():
        return before
    payments.Entry(kind=payments.EntryKind.REFUND, dollars=-dollars, on=on, method=method)
    if dollars > before.received:
        raise NothingToReturn(asked=dollars, held=before.received)
    _write(
        order, kind=Kind.REFUND, dollars=-dollars, method=method, on=on, at=at, who=who, key=key, note=note
    )
    resettle(order, at=at, who=who)
    return balance_of_order(order.pk, total=order.billed_dollars)


@transaction.atomic
def record_returned_check(
    *, number: int, payment_id: int, on: date, at: datetime, who: str, key: UUID, note: str | Sentence = ""
) -> Balance:
    """The bank sent this check back: the money is due again and the customer pays first from now on.

    Errors
        NoSuchOrder
        NotACheck: the payment is no check of this order, or came back before.
        NothingToReturn: more than this order's money in hand.
    """
    order = order_for_writing(number)
    before = balance_of_order(order.pk, total=order.billed_dollars)
    if Payment.objects.filter(key=key).exists():
        return before
    check = next((row for row in checks_of(number) if row.id == payment_id), None)
    if check is None:
        raise NotACheck
    dollars = check.dollars
    if dollars > before.received:
        raise NothingToReturn(asked=dollars, held=before.received)
    _write(
        order,
        kind=Kind.RETURNED,
        dollars=-dollars,
        method="check",
        on=on,
        at=at,
        who=who,
        key=key,
        note=note,
        reverses_id=payment_id,
    )
    resettle(order, at=at, who=who)
    customer = order.customer
    customer.pay_first, customer.pay_first_on = True, on
    gaps = {"dollars": Money(dollars), "number": number, "day": FullDate(on)}
    customer.pay_first_reason = Sentence(CHECK_RETURNED, gaps)
    customer.save(update_fields=["pay_first", "pay_first_on", "pay_first_reason"])
    return balance_of_order(order.pk, total=order.billed_dollars)


@transaction.atomic
def record_credit(
    *, number: int, dollars: Decimal, on: date, at: datetime, who: str, key: UUID, note: str | Sentence = ""
) -> Balance:
    """Knock dollars off an order for wood that was short.

    Errors
        NoSuchOrder, BadEntry
        CreditTooLarge: all credits together would be more than the order costs.
    """
    order = order_for_writing(number)
    if not Payment.objects.filter(key=key).exists():
        payments.Entry(kind=payments.EntryKind.CREDIT, dollars=dollars, on=on, method="credit")
        before = balance_of_order(order.pk, total=order.billed_dollars)
        if dollars > order.total_dollars - before.credited:
            raise CreditTooLarge(asked=dollars, left=order.total_dollars - before.credited)
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
    return balance_of_order(order.pk, total=order.billed_dollars)


@transaction.atomic
def undo_booking(*, number: int, payment_id: int, on: date, at: datetime, who: str, key: UUID) -> Balance:
    """Undo a line of the ledger that was entered by mistake, by a line of the opposite sign; both stay.

    Errors
        NoSuchOrder
        NotUndone: it is undone already, no line of this order, or another line rests on it.
    """
    order = order_for_writing(number)
    before = balance_of_order(order.pk, total=order.billed_dollars)
    if Payment.objects.filter(key=key).exists():
        return before
    line = Payment.objects.filter(pk=payment_id, order=order).first()
    if line is None or line.kind == Kind.UNDONE:
        raise NotUndone("Pick a line of this order: an undoing is not undone, write the entry again instead.")
    _refuse_resting(line, before)
    _write(
        order, kind=Kind.UNDONE, dollars=-line.dollars, method=line.method, on=on, at=at, who=who, key=key,
        note=Sentence(
            "{kind} of {day}", {"kind": Sentence(line.get_kind_display()), "day": FullDate(line.on)}
        ),
        reverses_id=line.pk,
    )  # fmt: skip
    if line.kind == Kind.RETURNED:
        _lift_pay_first(order.customer, line)
    resettle(order, at=at, who=who)
    return balance_of_order(order.pk, total=order.billed_dollars)


def _refuse_resting(line: Payment, before: Balance) -> None:
    """Refuse to undo what is undone, a check that came back, or money that has gone back since."""
    rests = line.reversals.exclude(reversals__kind=Kind.UNDONE)
    if rests.filter(kind=Kind.UNDONE).exists():
        raise NotUndone("This entry is undone already.")
    if rests.filter(kind=Kind.RETURNED).exists():
        raise NotUndone("This check bounced: undo that first.")
    if line.kind in (Kind.PAYMENT, Kind.DEPOSIT) and line.dollars > before.received:
        raise NotUndone("Some of this money was paid back: undo the refund first.")


def _lift_pay_first(customer: Customer, line: Payment) -> None:
    """The note that this bounced check put on the customer; one written by hand stays."""
    if customer.pay_first_on == line.on and (
        getattr(customer.pay_first_reason, "english", customer.pay_first_reason).startswith("Check of ")
    ):
        customer.pay_first, customer.pay_first_on, customer.pay_first_reason = False, None, ""
        customer.save(update_fields=["pay_first", "pay_first_on", "pay_first_reason"])


@transaction.atomic
def keep_money(*, number: int, at: datetime, who: str) -> None:
    """Of an order that ended, keep what they paid, as when the wood was loaded already.

    Errors
        NoSuchOrder
        NothingToKeep: it has not ended, or none of its money is here.
    """
    order = order_for_writing(number)
    received = balance_of_order(order.pk, total=Decimal(0)).received
    if order.state not in ENDED or received <= 0:
        raise NothingToKeep(number=number)
    order.kept_dollars = received
    order.save(update_fields=["kept_dollars"])
    audit.note(at=at, who=who, verb="kept", thing=order.reference, after={"dollars": f"{received:.2f}"})


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
    note: str | Sentence,
    received: Decimal | None = None,
    change: Decimal | None = None,
    over: Decimal = Decimal(0),
    reverses_id: int | None = None,
) -> None:
    line = Payment(
        reverses_id=reverses_id,
        over_dollars=over,
        order=order,
        kind=kind,
        method=method,
        dollars=dollars,
        received_dollars=received,
        change_dollars=change,
        on=on,
        made_at=at,
        who=who,
        note=at_most(200, note),
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

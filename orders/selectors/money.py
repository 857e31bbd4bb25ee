"""What is due, by order and by customer, and what came in on a day."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db.models import Case, Exists, F, OuterRef, QuerySet, Sum, When
from django.utils.translation import gettext

from inventory.core.rows import from_row
from orders.core.payments import Balance, Entry, EntryKind, PayFirst, balance_of, pay_first
from orders.models import Customer, Order, Payment
from orders.selectors.parts import NamedOrder

NOTHING = Decimal("0.00")
ENDED_UNPAID = (Order.State.DECLINED, Order.State.CANCELLED)
WOOD_IS_GONE = (Order.State.DELIVERED, Order.State.SETTLED)
ENTRY = ("dollars", "on", "method", "over_dollars")


@dataclass(frozen=True, slots=True, kw_only=True)
class PaymentRow(Entry):
    """One line of the ledger as shown."""

    id: int
    number: int
    customer: str
    kind_words: str
    received: Decimal | None
    change: Decimal | None
    who: str
    note: str

    @property
    def can_undo(self) -> bool:
        """Whether it may be undone: an undoing itself is not, write the entry again instead."""
        return self.stands and self.kind != Payment.Kind.UNDONE


@dataclass(frozen=True, slots=True, kw_only=True)
class DayMoney:
    """What came in and went out on one day, by way of paying."""

    on: date
    rows: tuple[PaymentRow, ...]
    by_method: tuple[tuple[str, Decimal], ...]
    total: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class OwedRow(NamedOrder):
    """An order with money due: to us, or in `to_pay_back` by us."""

    customer_id: int
    due: Decimal
    delivered_on: date | None
    days: int


def delivered_between(first: date, last: date) -> QuerySet[Order]:
    """Orders whose wood went out in some days.

    Left out by state, not asked for by it: nearly every order of old is settled, and the day finds fewer.
    """
    still_here = (Order.State.ASKED, Order.State.CONFIRMED, Order.State.PLANNED, *ENDED_UNPAID)
    return Order.objects.filter(delivered_on__range=(first, last)).exclude(state__in=still_here)


def entries_of(order_ids: Iterable[int]) -> dict[int, list[Entry]]:
    """Ledger lines by order, in one query."""
    found: dict[int, list[Entry]] = defaultdict(list)
    rows = Payment.objects.filter(order_id__in=list(order_ids)).order_by("on", "id")
    lines = list(rows.values_list("id", "order_id", "reverses_id", "kind", *ENTRY))
    undone = {reverses_id for _, _, reverses_id, kind, *_ in lines if kind == Payment.Kind.UNDONE}
    for line_id, order_id, _, kind, dollars, on, method, over in lines:
        found[order_id].append(
            Entry(
                kind=EntryKind(kind),
                dollars=dollars,
                on=on,
                method=method,
                over=over,
                stands=line_id not in undone,
            )
        )
    return found


def balance_of_order(order_id: int, *, total: Decimal) -> Balance:
    """One order's money."""
    return balance_of(total, entries_of([order_id])[order_id])


def booked_keys(keys: Iterable[UUID]) -> set[UUID]:
    """Which of these lines of money are in the books."""
    return set(Payment.objects.filter(key__in=list(keys)).values_list("key", flat=True))


def checks_of(number: int) -> tuple[PaymentRow, ...]:
    """Checks an order was paid with that may still bounce."""
    rows = Payment.objects.filter(
        order__number=number,
        method="check",
        dollars__gt=0,
        kind__in=("deposit", "payment"),
    )
    gone = Payment.objects.filter(order__number=number, reverses__isnull=False)
    lifted = set(gone.filter(kind=Payment.Kind.UNDONE).values_list("reverses", flat=True))
    gone_for = {row.reverses_id for row in gone if row.pk not in lifted}
    return rows_of(rows.exclude(pk__in=[pk for pk in gone_for if pk]))


def balances(totals: Mapping[int, Decimal]) -> dict[int, Balance]:
    """The money of many orders (order id to total), in one query."""
    lines = entries_of(totals)
    return {order_id: balance_of(total, lines.get(order_id, [])) for order_id, total in totals.items()}


def paid_by_order(order_ids: Iterable[int]) -> dict[int, Decimal]:
    """Sum of the ledger by order: enough for lists."""
    rows = (
        Payment.objects.filter(order_id__in=list(order_ids))
        .order_by()
        .values("order_id")
        .annotate(paid=Sum("dollars"))
    )
    return {row["order_id"]: row["paid"] for row in rows}


def owed_by_customer(customer_id: int) -> Decimal:
    """Money a customer owes for wood they have, and from before the books."""
    customer = Customer.objects.filter(pk=customer_id).values("owed_before").first()
    before = customer["owed_before"] if customer else NOTHING
    rows = Order.objects.filter(customer_id=customer_id, state__in=WOOD_IS_GONE)
    totals = dict(rows.values_list("id", "total_dollars"))
    return before + sum((balance.due for balance in balances(totals).values()), NOTHING)


def pay_first_note(customer_id: int, *, on: date) -> PayFirst | None:
    """Why a customer pays before the next load, from the ledger and from before the books."""
    customer = Customer.objects.filter(pk=customer_id).first()
    if customer is None:
        return None
    ids = Order.objects.filter(customer_id=customer_id).values_list("id", flat=True)
    lines = [line for entries in entries_of(ids).values() for line in entries]
    before = customer.pay_first_on if customer.owed_before else None
    return pay_first(lines, owed=owed_by_customer(customer_id), on=on, bounced_before=before)


def owed(on: date) -> tuple[OwedRow, ...]:
    """Delivered orders with money due, oldest first, in two queries."""
    rows = list(
        Order.objects.filter(state=Order.State.DELIVERED)
        .select_related("customer")
        .order_by("delivered_on", "number")
    )
    money = balances({row.pk: row.total_dollars for row in rows})
    return tuple(
        OwedRow(
            number=row.number,
            customer_id=row.customer_id,
            customer=row.customer.name,
            due=money[row.pk].due,
            delivered_on=row.delivered_on,
            days=(on - row.delivered_on).days if row.delivered_on else 0,
        )
        for row in rows
        if money[row.pk].due > 0
    )


def to_pay_back(customer_id: int | None = None) -> tuple[OwedRow, ...]:
    """Orders paid beyond what they cost now: credited, made cheaper or cancelled; in two queries.

    customer_id: of this customer alone.
    """
    lines = Payment.objects.all()
    if customer_id is not None:
        lines = lines.filter(order__customer=customer_id)
    kept = When(order__state__in=ENDED_UNPAID, then=F("order__kept_dollars"))
    billed = Case(kept, default=F("order__total_dollars"))
    paid = lines.order_by().values("order").annotate(paid=Sum("dollars")).filter(paid__gt=billed)
    orders = Order.objects.filter(pk__in=paid.values("order")).select_related("customer")
    rows = list(orders.order_by("number"))
    money = balances({row.pk: row.billed_dollars for row in rows})
    return tuple(
        OwedRow(
            number=row.number,
            customer_id=row.customer_id,
            customer=row.customer.name,
            due=money[row.pk].owed_back,
            delivered_on=row.delivered_on,
            days=0,
        )
        for row in rows
        if money[row.pk].owed_back
    )


def day_money(on: date) -> DayMoney:
    """The ledger of one day."""
    return _money(on, Payment.objects.filter(on=on))


def payments_of(number: int) -> tuple[PaymentRow, ...]:
    """The ledger of one order, oldest first."""
    return rows_of(Payment.objects.filter(order__number=number))


def _money(on: date, lines: QuerySet[Payment]) -> DayMoney:
    rows = rows_of(lines)
    credit_undone = lines.filter(kind=Payment.Kind.UNDONE, reverses__kind=Payment.Kind.CREDIT)
    no_money = set(credit_undone.values_list("pk", flat=True))
    by_method: dict[str, Decimal] = defaultdict(lambda: NOTHING)
    for row in rows:
        if row.kind != Payment.Kind.CREDIT and row.id not in no_money:
            by_method[row.method] += row.dollars
    return DayMoney(
        on=on, rows=rows, by_method=tuple(sorted(by_method.items())), total=sum(by_method.values(), NOTHING)
    )


def rows_of(lines: QuerySet[Payment]) -> tuple[PaymentRow, ...]:
    """Lines of the ledger as shown, oldest first."""
    undone = Payment.objects.filter(kind=Payment.Kind.UNDONE, reverses=OuterRef("pk"))
    found = lines.annotate(
        number=F("order__number"), customer=F("order__customer__name"), is_undone=Exists(undone)
    )
    return tuple(
        from_row(
            PaymentRow,
            row,
            kind=EntryKind(row.kind),
            over=row.over_dollars,
            kind_words=gettext(row.get_kind_display()),
            received=row.received_dollars,
            change=row.change_dollars,
            stands=not row.is_undone,
        )
        for row in found.order_by("on", "id")
    )

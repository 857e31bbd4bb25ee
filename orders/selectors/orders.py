"""Orders as pages read them: the list, one order for the seller, one order for its customer."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.db.models import Count, Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext

from inventory.core.pages import Page, page_within
from inventory.core.references import order_reference
from inventory.core.rows import from_row
from inventory.selectors.holds import HoldRow
from orders.core import lifecycle
from orders.core.order_request import OrderedWood
from orders.core.payments import Balance
from orders.models import Order, OrderHold
from orders.selectors.lines import ClaimBrief, claim_brief, reason_lines
from orders.selectors.money import NOTHING, balances, paid_by_order
from orders.selectors.parts import ListedOrder, PersonView, PlaceView, PriceView, PromiseView, person_view
from orders.selectors.quotes import READ_WITH_QUOTE, QuoteView, quote_of

PAGE_ROWS = 50
OPEN_STATES = (Order.State.ASKED, Order.State.CONFIRMED, Order.State.PLANNED)
STATE_WORDS = {**dict(Order.State.choices), "asked": "new request", "planned": "scheduled"}


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderRow(ListedOrder):
    """One line of the list."""

    state: str
    state_words: str
    customer_id: int
    due: Decimal
    promised_on: date | None
    asked_on: date
    pay_first: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPage(Page[OrderRow]):
    """A page of the list with the counts of every state."""

    counts: tuple[tuple[str, str, int], ...]  # state, words, how many


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderBrief(OrderedWood):
    """What the seller, the driver and the customer all read of an order."""

    number: int
    state: str
    state_words: str
    customer: PersonView
    place: PlaceView
    note: str
    seller_note: str
    pay_how: str
    price: PriceView
    balance: Balance
    promise: PromiseView

    @property
    def reference(self) -> str:
        return order_reference(self.number)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderView(OrderBrief):
    """Everything a page says about one order."""

    link_secret: UUID
    market: str
    asked_on: date
    delivered_on: date | None
    delivered_cords: Fraction | None
    ended_reason: str
    quote: QuoteView | None
    holds: tuple[HoldRow, ...]
    claims: tuple[ClaimBrief, ...]
    ticket_number: int | None

    @property
    def deposit_due(self) -> Decimal:
        """What of the deposit has not come in yet."""
        if self.state in ("delivered", "settled", "declined", "cancelled"):
            return NOTHING
        return max(NOTHING, min(self.price.deposit, self.price.total) - self.balance.received)

    @property
    def due_now(self) -> Decimal:
        """What is likely paid now: all that is due where the wood is there or fetched, else the deposit."""
        is_there = self.state in ("delivered", "settled") or self.how == Order.How.PICK_UP
        return self.balance.due if is_there else self.deposit_due

    @property
    def may_pay_ahead(self) -> bool:
        """Whether money may come in before the drop: the seller has said yes."""
        return self.state in ("confirmed", "planned") and self.balance.due > NOTHING

    def may_change(self, *, at: datetime, cut_off_hour: int) -> bool:
        """Whether the customer's change and cancel buttons are shown."""
        return lifecycle.may_customer_change(
            lifecycle.State(self.state),
            day=self.promise.promised_on,
            now=timezone.localtime(at),
            hour=cut_off_hour,
        )


def orders_list(
    *,
    state: str = "",
    day: date | None = None,
    search: str = "",
    page: int = 1,
    open_only: bool = False,
    rows_per_page: int = PAGE_ROWS,
) -> OrderPage:
    """One page of orders, newest first; four queries whatever the number of orders."""
    wanted = _matching(state=state, day=day, search=search, open_only=open_only)
    tally = dict(Order.objects.order_by().values_list("state").annotate(Count("id")))
    found = tally.get(state, 0) if state and day is None and not search else wanted.count()
    page, pages, part = page_within(found, page=page, size=rows_per_page)
    numbers = wanted.order_by("-number").values("number")[part]  # sorted without the rest of their columns
    shown = Order.objects.filter(number__in=numbers)
    return OrderPage(
        rows=_rows(shown.order_by("-number")),
        counts=tuple((value, gettext(words), tally.get(value, 0)) for value, words in STATE_WORDS.items()),
        found=found,
        page=page,
        pages=pages,
    )


def orders_in(state: str) -> tuple[OrderRow, ...]:
    """Orders in one state, the first asked for first."""
    return _rows(Order.objects.filter(state=state).order_by("asked_at"))


def orders_of_customer(customer_id: int) -> tuple[OrderRow, ...]:
    """What a customer has ordered, newest first."""
    return _rows(Order.objects.filter(customer_id=customer_id).order_by("-number"))


def order_view(number: int) -> OrderView | None:
    """One order for the seller."""
    return order_views((number,)).get(number)


def newest_order() -> OrderView | None:
    """The order asked for last."""
    number = Order.objects.order_by("-number").values_list("number", flat=True).first()
    return None if number is None else order_view(number)


def order_views(numbers: Iterable[int]) -> dict[int, OrderView]:
    """Orders for the seller, by number; numbers that no order has are left out."""
    orders = (
        Order.objects.select_related(
            "customer", "place__town", "market", *(f"quote__{name}" for name in READ_WITH_QUOTE)
        )
        .prefetch_related("claims", "tickets")
        .filter(number__in=list(numbers))
    )
    money = balances({order.pk: order.billed_dollars for order in orders})
    holds = _holds([order.pk for order in orders])
    return {order.number: _view(order, money[order.pk], tuple(holds[order.pk])) for order in orders}


def _matching(*, state: str, day: date | None, search: str, open_only: bool) -> QuerySet[Order]:
    wanted = Order.objects.all()
    if state:
        wanted = wanted.filter(state=state)
    elif open_only:
        wanted = wanted.filter(state__in=OPEN_STATES)
    if day is not None:
        suits = Q(promised_on__isnull=True, first_on__lte=day, last_on__gte=day)
        wanted = wanted.filter(Q(promised_on=day) | Q(delivered_on=day) | suits)
    term = search.strip()
    if term:
        if term.isdigit() and len(term) < 7:
            wanted = wanted.filter(number=int(term))
        else:
            digits = "".join(sign for sign in term if sign.isdigit())
            by_words = Q(customer__name__icontains=term) | Q(place__town__name__icontains=term)
            if len(digits) >= 4:
                by_words |= Q(customer__phone__contains=digits)
            wanted = wanted.filter(by_words)
    return wanted


def _rows(orders: QuerySet[Order]) -> tuple[OrderRow, ...]:
    shown = list(orders.select_related("customer", "place__town"))
    paid = paid_by_order(order.pk for order in shown)
    return tuple(
        OrderRow.of(
            order,
            state_words=gettext(STATE_WORDS[order.state]),
            due=_due(order, paid.get(order.pk, NOTHING)),
            pay_first=order.customer.pay_first,
        )
        for order in shown
    )


def _due(order: Order, paid: Decimal) -> Decimal:
    if order.state in (Order.State.DECLINED, Order.State.CANCELLED):
        return NOTHING
    return max(NOTHING, order.total_dollars - paid)


def order_brief(order: Order, balance: Balance) -> OrderBrief:
    """An order read with its customer and its place's town."""
    return from_row(OrderBrief, order, **_brief(order, balance))


def _brief(order: Order, balance: Balance) -> dict[str, Any]:
    return {
        "state_words": gettext(STATE_WORDS[order.state]),
        "customer": person_view(order.customer),
        "place": PlaceView.of(order.place),
        "price": PriceView.of(order, reasons=reason_lines(order.reasons)),
        "balance": balance,
        "promise": from_row(PromiseView, order),
    }


def _view(order: Order, money: Balance, holds: tuple[HoldRow, ...]) -> OrderView:
    ticket = order.ticket
    return from_row(
        OrderView,
        order,
        **_brief(order, money),
        market=order.market.key,
        quote=quote_of(order.quote) if order.quote else None,
        holds=holds,
        claims=tuple(claim_brief(claim) for claim in order.claims.all()),
        ticket_number=ticket.number if ticket else None,
    )


def _holds(order_ids: list[int]) -> dict[int, list[HoldRow]]:
    """By order, in one query."""
    found: dict[int, list[HoldRow]] = defaultdict(list)
    links = OrderHold.objects.filter(order__in=order_ids).select_related("hold__lot__yard").order_by("id")
    for link in links:
        found[link.order_id].append(HoldRow.of(link.hold))
    return found

"""Orders as pages read them: the list, one order for the seller, one order for its customer."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from django.db.models import Count, Q, QuerySet
from django.utils import timezone

from orders.core import lifecycle
from orders.core.payments import Balance
from orders.models import Order, OrderHold
from orders.selectors.lines import ClaimBrief, DayChoice, ReasonLine, claim_brief, day_choices, reason_lines
from orders.selectors.money import NOTHING, balance_of_order, paid_by_order

PAGE_ROWS = 50
OPEN_STATES = (Order.State.ASKED, Order.State.CONFIRMED, Order.State.PLANNED)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderRow:
    """One line of the list."""

    number: int
    state: str
    state_words: str
    customer_id: int
    customer: str
    town: str
    wood: str
    dryness: str
    cords: Fraction
    bundles: int
    how: str
    stacked: bool
    total: Decimal
    due: Decimal
    first_on: date
    last_on: date
    promised_on: date | None
    asked_on: date
    is_pool: bool
    pay_first: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPage:
    """A page of the list with the counts of every state."""

    rows: tuple[OrderRow, ...]
    counts: tuple[tuple[str, str, int], ...]  # state, words, how many
    found: int
    page: int
    pages: int


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldRow:
    """Wood held for an order."""

    lot_code: str
    lot_name: str
    yard: str
    cords: Fraction
    kind: str
    state: str
    lapses_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderView:
    """Everything a page says about one order."""

    number: int
    link_secret: UUID
    state: str
    state_words: str
    customer_id: int
    customer: str
    phone: str
    phone_as_typed: str
    email: str
    language: str
    is_landline: bool
    is_repeat: bool
    pay_first: bool
    pay_first_reason: str
    wants_reminder: bool
    market: str
    is_far: bool
    wood: str
    dryness: str
    cords: Fraction
    bundles: int
    how: str
    stacked: bool
    small_rig_only: bool
    address: str
    town: str
    lat: float | None
    lon: float | None
    drop_spot: str
    gate_code: str
    access_note: str
    note: str
    seller_note: str
    pay_how: str
    total: Decimal
    wood_dollars: Decimal
    deposit: Decimal
    reasons: tuple[ReasonLine, ...]
    balance: Balance
    first_on: date
    last_on: date
    window_from: time
    window_to: time
    promised_on: date | None
    comes_from: time | None
    comes_to: time | None
    on_the_way_at: datetime | None
    is_pool: bool
    waits_until: date | None
    asked_at: datetime
    asked_on: date
    confirmed_at: datetime | None
    delivered_on: date | None
    delivered_cords: Fraction | None
    ended_reason: str
    quote_token: UUID | None
    quote_warning: str
    from_yard: str
    miles: Decimal | None
    days: tuple[DayChoice, ...]
    holds: tuple[HoldRow, ...]
    claims: tuple[ClaimBrief, ...]
    ticket_number: int | None

    @property
    def reference(self) -> str:
        return f"order {self.number}"

    @property
    def deposit_due(self) -> Decimal:
        """What of the deposit has not come in yet."""
        if self.state in ("delivered", "settled", "declined", "cancelled"):
            return NOTHING
        return max(NOTHING, min(self.deposit, self.total) - self.balance.received)

    def may_change(self, *, at: datetime, cut_off_hour: int) -> bool:
        """Whether the customer's change and cancel buttons are shown."""
        return lifecycle.may_customer_change(
            lifecycle.State(self.state), day=self.promised_on, now=timezone.localtime(at), hour=cut_off_hour
        )


def orders_list(
    *,
    state: str = "",
    day: date | None = None,
    words: str = "",
    page: int = 1,
    open_only: bool = False,
    rows_per_page: int = PAGE_ROWS,
) -> OrderPage:
    """One page of orders, newest first; four queries whatever the number of orders."""
    wanted = _matching(state=state, day=day, words=words, open_only=open_only)
    tally = dict(Order.objects.order_by().values_list("state").annotate(Count("id")))
    found = tally.get(state, 0) if state and day is None and not words else wanted.count()
    pages = max(1, -(-found // rows_per_page))
    page = min(max(1, page), pages)
    start = (page - 1) * rows_per_page
    shown = list(
        wanted.select_related("customer", "place__town").order_by("-number")[start : start + rows_per_page]
    )
    return OrderPage(
        rows=_rows(shown),
        counts=tuple((value, str(label), tally.get(value, 0)) for value, label in Order.State.choices),
        found=found,
        page=page,
        pages=pages,
    )


def orders_asked() -> tuple[OrderRow, ...]:
    """Orders that wait for the seller's word, oldest first."""
    rows = Order.objects.filter(state=Order.State.ASKED).select_related("customer", "place__town")
    return _rows(list(rows.order_by("asked_at")))


def orders_of_customer(customer_id: int) -> tuple[OrderRow, ...]:
    """What a customer has ordered, newest first."""
    rows = Order.objects.filter(customer_id=customer_id).select_related("customer", "place__town")
    return _rows(list(rows.order_by("-number")))


def order_view(number: int) -> OrderView | None:
    """One order for the seller."""
    order = (
        Order.objects.select_related("customer", "place__town", "market", "quote__from_yard", "ticket")
        .prefetch_related("claims")
        .filter(number=number)
        .first()
    )
    return None if order is None else _view(order)


def number_of_key(key: UUID) -> tuple[int, UUID] | None:
    """The order a form has made before: number and link secret."""
    row = Order.objects.filter(key=key).values_list("number", "link_secret").first()
    return None if row is None else (row[0], row[1])


def _matching(*, state: str, day: date | None, words: str, open_only: bool) -> QuerySet[Order]:
    wanted = Order.objects.all()
    if state:
        wanted = wanted.filter(state=state)
    elif open_only:
        wanted = wanted.filter(state__in=OPEN_STATES)
    if day is not None:
        suits = Q(promised_on__isnull=True, first_on__lte=day, last_on__gte=day)
        wanted = wanted.filter(Q(promised_on=day) | Q(delivered_on=day) | suits)
    said = words.strip()
    if said:
        if said.isdigit() and len(said) < 7:
            wanted = wanted.filter(number=int(said))
        else:
            digits = "".join(sign for sign in said if sign.isdigit())
            by_words = Q(customer__name__icontains=said) | Q(place__town__name__icontains=said)
            if len(digits) >= 4:
                by_words |= Q(customer__phone__contains=digits)
            wanted = wanted.filter(by_words)
    return wanted


def _rows(orders: Iterable[Order]) -> tuple[OrderRow, ...]:
    shown = list(orders)
    paid = paid_by_order(order.pk for order in shown)
    return tuple(
        OrderRow(
            number=order.number,
            state=order.state,
            state_words=str(order.get_state_display()),
            customer_id=order.customer_id,
            customer=order.customer.name,
            town=order.place.town.name if order.place and order.place.town else "",
            wood=order.wood,
            dryness=order.dryness,
            cords=order.cords,
            bundles=order.bundles,
            how=order.how,
            stacked=order.stacked,
            total=order.total_dollars,
            due=_due(order, paid.get(order.pk, NOTHING)),
            first_on=order.first_on,
            last_on=order.last_on,
            promised_on=order.promised_on,
            asked_on=order.asked_on,
            is_pool=order.is_pool,
            pay_first=order.customer.pay_first,
        )
        for order in shown
    )


def _due(order: Order, paid: Decimal) -> Decimal:
    if order.state in (Order.State.DECLINED, Order.State.CANCELLED):
        return NOTHING
    return max(NOTHING, order.total_dollars - paid)


def _view(order: Order) -> OrderView:
    place, quote, customer = order.place, order.quote, order.customer
    ticket = getattr(order, "ticket", None)
    return OrderView(
        number=order.number,
        link_secret=order.link_secret,
        state=order.state,
        state_words=str(order.get_state_display()),
        customer_id=order.customer_id,
        customer=customer.name,
        phone=customer.phone,
        phone_as_typed=customer.phone_as_typed or customer.phone,
        email=customer.email,
        language=customer.language,
        is_landline=customer.is_landline,
        is_repeat=customer.is_repeat,
        pay_first=customer.pay_first,
        pay_first_reason=customer.pay_first_reason,
        wants_reminder=customer.wants_reminder,
        market=order.market.key,
        is_far=order.market.is_far,
        wood=order.wood,
        dryness=order.dryness,
        cords=order.cords,
        bundles=order.bundles,
        how=order.how,
        stacked=order.stacked,
        small_rig_only=order.small_rig_only,
        address=place.address if place else "",
        town=place.town.name if place and place.town else "",
        lat=place.lat if place else None,
        lon=place.lon if place else None,
        drop_spot=place.drop_spot if place else "",
        gate_code=place.gate_code if place else "",
        access_note=place.access_note if place else "",
        note=order.note,
        seller_note=order.seller_note,
        pay_how=order.pay_how,
        total=order.total_dollars,
        wood_dollars=order.wood_dollars,
        deposit=order.deposit_dollars,
        reasons=reason_lines(order.reasons),
        balance=balance_of_order(order.pk, total=order.total_dollars),
        first_on=order.first_on,
        last_on=order.last_on,
        window_from=order.window_from,
        window_to=order.window_to,
        promised_on=order.promised_on,
        comes_from=order.comes_from,
        comes_to=order.comes_to,
        on_the_way_at=order.on_the_way_at,
        is_pool=order.is_pool,
        waits_until=order.waits_until,
        asked_at=order.asked_at,
        asked_on=order.asked_on,
        confirmed_at=order.confirmed_at,
        delivered_on=order.delivered_on,
        delivered_cords=order.delivered_cords,
        ended_reason=order.ended_reason,
        quote_token=quote.token if quote else None,
        quote_warning=quote.warning if quote else "",
        from_yard=quote.from_yard.name if quote and quote.from_yard else "",
        miles=quote.miles if quote else None,
        days=day_choices(quote.day_offers) if quote else (),
        holds=_holds(order),
        claims=tuple(claim_brief(claim) for claim in order.claims.all()),
        ticket_number=ticket.number if ticket else None,
    )


def _holds(order: Order) -> tuple[HoldRow, ...]:
    links = OrderHold.objects.filter(order=order).select_related("hold__lot__yard").order_by("id")
    return tuple(
        HoldRow(
            lot_code=link.hold.lot.code,
            lot_name=link.hold.lot.name,
            yard=link.hold.lot.yard.name,
            cords=link.hold.cords,
            kind=link.hold.kind,
            state=link.hold.state,
            lapses_on=link.hold.lapses_on,
        )
        for link in links
    )

"""The people who buy, as the seller reads them, and as they may ask to be shown themselves."""

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Count, Max, Q, QuerySet

from inventory.core.pages import Page, page_within
from inventory.core.rows import from_row
from orders.models import Customer, Letter, Order, Place
from orders.selectors.money import NOTHING, owed, owed_by_customer, to_pay_back
from orders.selectors.orders import OrderRow, orders_of_customer
from orders.selectors.parts import PersonView, PlaceView

PAGE_ROWS = 60
MOST_LINKS = 20
REMINDER_MONTHS = (2, 8)  # when people order: late winter and August (common practice)


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerRow(PersonView):
    """One line of the list. phone: as typed where it was typed."""

    orders: int
    last_asked_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterRow:
    id: int
    kind: str
    way: str
    to: str
    subject: str
    body: str
    made_at: Any
    sent_at: Any
    problem: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerView(PersonView):
    pay_first_on: date | None
    owed_before: Decimal
    owed: Decimal
    owed_back: Decimal
    erased: bool
    orders: tuple[OrderRow, ...]
    places: tuple[PlaceView, ...]


def customers(*, search: str = "", page: int = 1, pay_first_only: bool = False) -> Page[CustomerRow]:
    """One page of customers by name; two queries."""
    wanted = Customer.objects.filter(erased_at__isnull=True)
    term = search.strip()
    if term:
        digits = "".join(sign for sign in term if sign.isdigit())
        match = Q(name__icontains=term)
        if len(digits) >= 4:
            match |= Q(phone__contains=digits)
        wanted = wanted.filter(match)
    if pay_first_only:
        wanted = wanted.filter(pay_first=True)
    found = wanted.count()
    page, pages, shown = page_within(found, page=page, size=PAGE_ROWS)
    return Page(
        rows=tuple(_row(row) for row in _counted(wanted)[shown]),
        found=found,
        page=page,
        pages=pages,
    )


def customers_owing() -> tuple[tuple[int, str], ...]:
    """Id and name of everybody who owes, for wood they have or from before the books."""
    before = Q(owed_before__gt=NOTHING)
    for_wood = Q(pk__in={row.customer_id for row in owed(date.max)})
    rows = Customer.objects.filter(before | for_wood, erased_at__isnull=True)
    return tuple(rows.order_by("name").values_list("pk", "name"))


def customer_view(customer_id: int) -> CustomerView | None:
    """One customer with orders, places and what they owe."""
    row = Customer.objects.filter(pk=customer_id).first()
    if row is None:
        return None
    places: dict[PlaceView, PlaceView] = {}  # each once, however many orders went there
    for place in Place.objects.filter(customer=row).select_related("town").order_by("-id"):
        view = PlaceView.of(place)
        places.setdefault(replace(view, id=None, is_confirmed=True), view)
    return from_row(
        CustomerView,
        row,
        owed=owed_by_customer(customer_id),
        owed_back=sum((row.due for row in to_pay_back(customer_id)), NOTHING),
        erased=row.erased_at is not None,
        orders=orders_of_customer(customer_id),
        places=tuple(places.values()),
    )


def same_phone(customer_id: int) -> tuple[CustomerRow, ...]:
    """Others with this customer's phone, whom the seller may know to be the same person; at most five."""
    phone = Customer.objects.filter(pk=customer_id).exclude(phone="").values("phone")[:1]
    rows = Customer.objects.filter(phone__in=phone, erased_at__isnull=True).exclude(pk=customer_id)
    return tuple(_row(row) for row in _counted(rows)[:5])


def letters_of(number: int) -> tuple[LetterRow, ...]:
    """What was written to the customer about an order, newest first."""
    return tuple(from_row(LetterRow, row) for row in Letter.objects.filter(order__number=number))


def orders_reached_by(*, phone: str = "", email: str = "") -> tuple[int, ...]:
    """The newest order of each customer whose phone (as kept) or e-mail this is; a few at most."""
    theirs = Q(customer__email__iexact=email) if email else Q(customer__phone=phone)
    numbers: dict[int, int] = {}
    for customer_id, number in (
        Order.objects.filter(theirs, customer__erased_at=None)
        .exclude(state__in=(Order.State.DECLINED, Order.State.CANCELLED))
        .order_by("-number")
        .values_list("customer_id", "number")[:MOST_LINKS]
    ):
        numbers.setdefault(customer_id, number)
    return tuple(numbers.values())


def reminder_season(on: date) -> str:
    """Names the season whose reminders are written in this month; "" in all other months."""
    return f"{on:%Y-%m}" if on.month in REMINDER_MONTHS else ""


def wanting_reminder(*, season: str) -> tuple[int, ...]:
    """Customers who asked for a reminder and have not had this season's; nobody out of season."""
    if not season:
        return ()
    rows = Customer.objects.filter(wants_reminder=True, erased_at__isnull=True)
    return tuple(rows.exclude(reminder_season=season).order_by("id").values_list("id", flat=True))


def wants_reminder(customer_id: int) -> bool | None:
    """Whether somebody asked to be written to before next season; None for a person we do not know."""
    known = Customer.objects.filter(pk=customer_id, erased_at__isnull=True)
    return known.values_list("wants_reminder", flat=True).first()


def _counted(customers: QuerySet[Customer]) -> QuerySet[Any]:
    counted = customers.annotate(order_count=Count("orders"), last_asked=Max("orders__asked_on"))
    return counted.order_by("name", "id")


def _row(row: Any) -> CustomerRow:
    return from_row(
        CustomerRow,
        row,
        phone=row.phone_as_typed or row.phone,
        orders=row.order_count,
        last_asked_on=row.last_asked,
    )

"""The people who buy, as the seller reads them, and as they may ask to be shown themselves."""

from dataclasses import asdict, dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Count, Max, Q

from orders.models import Customer, Letter, Order, Place
from orders.selectors.money import NOTHING, owed_by_customer, paid_by_order
from orders.selectors.orders import OrderRow, orders_of_customer

PAGE_ROWS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerRow:
    id: int
    name: str
    phone: str
    is_landline: bool
    orders: int
    last_asked_on: date | None
    pay_first: bool
    wants_reminder: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerList:
    rows: tuple[CustomerRow, ...]
    found: int
    page: int
    pages: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceRow:
    address: str
    town: str
    drop_spot: str
    gate_code: str
    access_note: str
    small_rig_only: bool


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
    trouble: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerView:
    id: int
    name: str
    phone: str
    phone_as_typed: str
    is_landline: bool
    email: str
    language: str
    is_repeat: bool
    pay_first: bool
    pay_first_reason: str
    pay_first_on: date | None
    owed_before: Decimal
    owed: Decimal
    wants_reminder: bool
    erased: bool
    orders: tuple[OrderRow, ...]
    places: tuple[PlaceRow, ...]


def customers(*, words: str = "", page: int = 1, pay_first_only: bool = False) -> CustomerList:
    """One page of customers by name; two queries."""
    wanted = Customer.objects.filter(erased_at__isnull=True)
    said = words.strip()
    if said:
        digits = "".join(sign for sign in said if sign.isdigit())
        match = Q(name__icontains=said)
        if len(digits) >= 4:
            match |= Q(phone__contains=digits)
        wanted = wanted.filter(match)
    if pay_first_only:
        wanted = wanted.filter(pay_first=True)
    found = wanted.count()
    pages = max(1, -(-found // PAGE_ROWS))
    page = min(max(1, page), pages)
    start = (page - 1) * PAGE_ROWS
    rows = wanted.annotate(order_count=Count("orders"), last_asked=Max("orders__asked_on"))
    return CustomerList(
        rows=tuple(
            CustomerRow(
                id=row.pk,
                name=row.name,
                phone=row.phone_as_typed or row.phone,
                is_landline=row.is_landline,
                orders=row.order_count,
                last_asked_on=row.last_asked,
                pay_first=row.pay_first,
                wants_reminder=row.wants_reminder,
            )
            for row in rows.order_by("name", "id")[start : start + PAGE_ROWS]
        ),
        found=found,
        page=page,
        pages=pages,
    )


def customer_view(customer_id: int) -> CustomerView | None:
    """One customer with orders, places and what they owe."""
    row = Customer.objects.filter(pk=customer_id).first()
    if row is None:
        return None
    return CustomerView(
        id=row.pk,
        name=row.name,
        phone=row.phone,
        phone_as_typed=row.phone_as_typed or row.phone,
        is_landline=row.is_landline,
        email=row.email,
        language=row.language,
        is_repeat=row.is_repeat,
        pay_first=row.pay_first,
        pay_first_reason=row.pay_first_reason,
        pay_first_on=row.pay_first_on,
        owed_before=row.owed_before,
        owed=owed_by_customer(customer_id),
        wants_reminder=row.wants_reminder,
        erased=row.erased_at is not None,
        orders=orders_of_customer(customer_id),
        places=tuple(
            PlaceRow(
                address=place.address,
                town=place.town.name if place.town else "",
                drop_spot=place.drop_spot,
                gate_code=place.gate_code,
                access_note=place.access_note,
                small_rig_only=place.small_rig_only,
            )
            for place in Place.objects.filter(customer=row).select_related("town").order_by("-id")
        ),
    )


def letters_of(number: int) -> tuple[LetterRow, ...]:
    """What was written to the customer about an order, newest first."""
    return tuple(_letter(row) for row in Letter.objects.filter(order__number=number))


def export_of(customer_id: int) -> dict[str, Any] | None:
    """All we keep about a person, as plain data they can take away."""
    seen = customer_view(customer_id)
    if seen is None:
        return None
    told = _plain(asdict(seen))
    told["letters"] = [_plain(asdict(_letter(row))) for row in Letter.objects.filter(customer_id=customer_id)]
    told["payments"] = {
        str(order.number): f"{paid_by_order([order_id]).get(order_id, NOTHING):.2f}"
        for order_id, order in _by_id(customer_id).items()
    }
    return told


def wanting_reminder(*, season: str) -> tuple[int, ...]:
    """Customers who asked for a reminder and have not had this season's."""
    rows = Customer.objects.filter(wants_reminder=True, erased_at__isnull=True)
    return tuple(rows.exclude(reminder_season=season).order_by("id").values_list("id", flat=True))


def wants_reminder(customer_id: int) -> bool | None:
    """Whether somebody asked to be written to before next season; None for a person we do not know."""
    known = Customer.objects.filter(pk=customer_id, erased_at__isnull=True)
    return known.values_list("wants_reminder", flat=True).first()


def _by_id(customer_id: int) -> dict[int, Any]:
    return {row.pk: row for row in Order.objects.filter(customer_id=customer_id)}


def _letter(row: Letter) -> LetterRow:
    return LetterRow(
        id=row.pk,
        kind=row.kind,
        way=row.way,
        to=row.to,
        subject=row.subject,
        body=row.body,
        made_at=row.made_at,
        sent_at=row.sent_at,
        trouble=row.trouble,
    )


def _plain(value: Any) -> Any:
    """Dates, amounts and fractions as text, so that it can be written as JSON."""
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    if value is None or isinstance(value, str | int | float | bool):
        return value
    return str(value)

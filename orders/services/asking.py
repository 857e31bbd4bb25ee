"""The customer's side of an order that stands: changed until the cut-off, its link revoked."""

from dataclasses import dataclass, replace
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

from django.db import transaction
from django.utils import timezone

from inventory.core.gaps import ShortDay
from inventory.core.rows import columns_of
from inventory.services import audit
from orders.core import CustomerRefusal, OrdersError, lifecycle
from orders.core.access import stored_access
from orders.core.figures import Figures, PriceSums
from orders.core.pricing import waives_deposit
from orders.models import Customer, Order, Quote
from orders.selectors.lines import days_on_offer
from orders.services.quotes import reasons_as_rows
from orders.services.sharing import leave_shared

ANY_DAY = "any"


class DayNotOffered(CustomerRefusal):
    """A day that is not among those of the quote."""

    says = "{day} is not among the days on offer: choose one of those shown."
    in_words = {"day": ShortDay}


class NoSuchOrder(OrdersError):
    says = "There is no order {number}."


@dataclass(frozen=True, slots=True, kw_only=True)
class Access:
    """How to get in, and where it goes."""

    drop_spot: str = ""
    gate_code: str = ""
    access_note: str = ""
    ticked: tuple[str, ...] | None = None  # of `access.WAYS`; None leaves them as they are
    address: str = ""  # only when the quote's place was a town or a spot without words


def priced_on(quote: Quote, day: date | None) -> Figures:
    """A quote's figures on the chosen day; without one, those of the cheapest day, since any day will do.

    Errors
        DayNotOffered: the quote does not offer that day.
    """
    figures = Figures.of(
        quote,
        reasons=tuple(quote.reasons),
        miles=quote.miles,
        minutes=quote.minutes,
        is_estimate=quote.is_estimate,
        from_yard_id=quote.from_yard_id,
    )
    offers = days_on_offer(quote)
    if day is None and offers:
        cheapest = min(offers, key=lambda offer: (offer.total, offer.on))
        if cheapest.total <= figures.total:
            day = cheapest.on
    if day is None or (quote.how == Order.How.PICK_UP and not offers):
        return figures
    for offer in offers:
        if offer.on == day:
            lines = tuple(reasons_as_rows(offer.reasons))
            return replace(figures, **columns_of(PriceSums, offer), reasons=lines)
    raise DayNotOffered(day=day)


def priced_for(customer: Customer, quote: Quote, day: date | None) -> Figures:
    """`priced_on`, without a deposit where the sheet asks none of a customer it knows."""
    priced, only_new = priced_on(quote, day), quote.sheet.deposit_new_customers_only
    if waives_deposit(new_customers_only=only_new, is_new_customer=not customer.is_repeat):
        return replace(priced, deposit=Decimal(0))
    return priced


@transaction.atomic
def change_order(
    *,
    number: int,
    at: datetime,
    access: Access,
    note: str = "",
    day: date | None = None,
    window_from: time | None = None,
    window_to: time | None = None,
    cut_off_hour: int = lifecycle.NOON,
    who: str = "customer",
) -> None:
    """What a customer may change until the cut-off: spot, gate, words, hours, and another day on offer.

    A day that was cheaper than the others takes its price along when the customer leaves it.

    Errors
        NoSuchOrder
        TooLateToChange: past the cut-off, or beyond changing.
        DayNotOffered: another day than those the quote offers, or the day is already set.
    """
    order = order_for_writing(number)
    lifecycle.check_customer_change(
        lifecycle.State(order.state),
        order=order.reference,
        day=order.promised_on or _only_day(order),
        now=timezone.localtime(at),
        hour=cut_off_hour,
    )
    before = _told(order)
    place = order.place
    if place is not None:
        place.drop_spot, place.gate_code = access.drop_spot.strip(), access.gate_code.strip()
        place.access_note = access.access_note.strip()
        if access.ticked is not None:
            place.access = stored_access(access.ticked)
        place.full_clean()
        place.save(update_fields=["drop_spot", "gate_code", "access_note", "access"])
    order.note = note.strip()[:300]
    if window_from and window_to:
        order.window_from, order.window_to = window_from, window_to
    if day is not None and day != order.first_on:
        if order.state == Order.State.PLANNED or order.quote is None:
            raise DayNotOffered(day=day)
        leave_shared(order)
        priced = priced_on(order.quote, day)
        order.first_on = order.last_on = day
        order.total_dollars, order.drive_dollars, order.tax_dollars = priced.total, priced.drive, priced.tax
        order.reasons = priced.reasons
        order.promised_on = None
    order.full_clean()
    order.save(
        update_fields=[
            "note",
            "window_from",
            "window_to",
            "first_on",
            "last_on",
            "total_dollars",
            "drive_dollars",
            "tax_dollars",
            "reasons",
            "promised_on",
        ]
    )
    audit.note(at=at, who=who, verb="changed", thing=order.reference, before=before, after=_told(order))


@transaction.atomic
def write_note(*, number: int, note: str, at: datetime, who: str) -> None:
    """Keep the seller's own words on an order; the customer does not see them.

    Errors
        NoSuchOrder
    """
    order = order_for_writing(number)
    order.seller_note = note.strip()[:300]
    order.save(update_fields=["seller_note"])
    audit.note(at=at, who=who, verb="noted", thing=order.reference, note=order.seller_note)


@transaction.atomic
def confirm_place(*, number: int, at: datetime, who: str) -> None:
    """The seller has asked, or knows: the spot on the map is where this order goes.

    Errors
        NoSuchOrder
    """
    order = order_for_writing(number)
    if order.place is None or order.place.is_confirmed:
        return
    order.place.is_confirmed = True
    order.place.save(update_fields=["is_confirmed"])
    audit.note(at=at, who=who, verb="place confirmed", thing=order.reference)


@transaction.atomic
def revoke_link(*, number: int, at: datetime, who: str) -> UUID:
    """Make the order's links useless; the new secret.

    Errors
        NoSuchOrder
    """
    order = order_for_writing(number)
    order.link_secret = uuid4()
    order.save(update_fields=["link_secret"])
    audit.note(at=at, who=who, verb="link revoked", thing=order.reference)
    return order.link_secret


def order_for_writing(number: int) -> Order:
    """The row of an order with what its changes touch, locked until the transaction ends.

    The lock makes the second of two sellers who confirm at once see the first's step (on SQLite the whole
    transaction waits already).

    Errors
        NoSuchOrder
    """
    rows = Order.objects.select_related("customer", "place", "quote", "market")
    order = rows.select_for_update(of=("self",)).filter(number=number).first()
    if order is None:
        raise NoSuchOrder(number=number)
    return order


def _told(order: Order) -> dict[str, Any]:
    """What the trail keeps of an order: no words of the customer's, so that erasing them is complete."""
    return {
        "days": f"{order.first_on} to {order.last_on}",
        "hours": f"{order.window_from:%H:%M}-{order.window_to:%H:%M}",
        "total": f"{order.total_dollars:.2f}",
        "drop_spot": "given" if order.place and order.place.drop_spot else "",
        "note": "given" if order.note else "",
    }


def _only_day(order: Order) -> date | None:
    return order.first_on if order.first_on == order.last_on else None

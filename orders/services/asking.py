"""The customer's side of an order: asked for once however often it is sent, changed until the cut-off."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.services import audit
from orders.core import OrdersError, lifecycle
from orders.models import Customer, Order, Place, Quote
from orders.services.customers import find_or_make_customer
from orders.services.numbering import next_number

ANY_DAY = "any"
DAYS_THAT_SUIT = 21  # an order without a chosen day may come within three weeks; the seller sets the day
OPENS, CLOSES = time(8), time(18)


class NoSuchQuote(OrdersError):
    def __init__(self) -> None:
        super().__init__("This price is not known any more: ask for it again, it takes a moment.")


class QuoteTooOld(OrdersError):
    """The price stood until its last day, which has passed."""

    def __init__(self, *, last_day: date) -> None:
        self.last_day = last_day
        super().__init__(f"This price stood until {last_day}: ask for it again, it takes a moment.")


class DayNotOffered(OrdersError):
    def __init__(self, *, on: date) -> None:
        self.on = on
        super().__init__(f"{on} is not among the days on offer: choose one of those shown.")


class NoSuchOrder(OrdersError):
    def __init__(self, *, number: int) -> None:
        self.number = number
        super().__init__(f"There is no order {number}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Access:
    """How to get in, and where it goes."""

    drop_spot: str = ""
    gate_code: str = ""
    access_note: str = ""
    address: str = ""  # only when the quote's place was a town or a spot without words


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """The order, new or the one this very form had made before."""

    number: int
    link_secret: UUID
    is_new: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """What a quote comes to on a chosen day; the figures an order takes over."""

    total: Decimal
    drive: Decimal
    tax: Decimal
    deposit: Decimal
    reasons: list[dict[str, str]]


def place_order(
    *,
    key: UUID,
    quote_token: UUID,
    name: str,
    phone: str,
    on: date,
    at: datetime,
    day: date | None = None,
    email: str = "",
    access: Access | None = None,
    pay_how: str = "cash",
    window_from: time = OPENS,
    window_to: time = CLOSES,
    last_on: date | None = None,
    note: str = "",
    language: str = "en",
    wants_reminder: bool = False,
    joins_pool: bool = False,
    is_landline: bool = False,
    who: str = "customer",
) -> Placed:
    """Ask for the wood of a quote, at the quote's price, once.

    The same key sent again, by a double tap, the back button or a lost connection, gives the order it
    made before and changes nothing.

    Units
        day: one of the quote's days on offer; None leaves the day to the seller.
        last_on: how long a customer without a day, or in the pool, will wait.

    Errors
        NoSuchQuote, QuoteTooOld, DayNotOffered, BadPhone: nothing is kept.
    """
    try:
        with transaction.atomic():
            return _place_once(
                key=key,
                quote_token=quote_token,
                name=name,
                phone=phone,
                on=on,
                at=at,
                day=day,
                email=email,
                access=access or Access(),
                pay_how=pay_how,
                window_from=window_from,
                window_to=window_to,
                last_on=last_on,
                note=note,
                language=language,
                wants_reminder=wants_reminder,
                joins_pool=joins_pool,
                is_landline=is_landline,
                who=who,
            )
    except IntegrityError:
        made_meanwhile = _known(key)  # the same form, a moment ago, elsewhere
        if made_meanwhile is None:
            raise
        return made_meanwhile


def _place_once(
    *,
    key: UUID,
    quote_token: UUID,
    name: str,
    phone: str,
    on: date,
    at: datetime,
    day: date | None,
    email: str,
    access: Access,
    pay_how: str,
    window_from: time,
    window_to: time,
    last_on: date | None,
    note: str,
    language: str,
    wants_reminder: bool,
    joins_pool: bool,
    is_landline: bool,
    who: str,
) -> Placed:
    if (known := _known(key)) is not None:
        return known
    number = next_number(series="order", of=Order)  # others wait here for this transaction
    if (known := _known(key)) is not None:
        return known
    quote = Quote.objects.select_related("place", "sheet", "market").filter(token=quote_token).first()
    if quote is None:
        raise NoSuchQuote
    if on > quote.last_day:
        raise QuoteTooOld(last_day=quote.last_day)
    priced = priced_on(quote, day)
    customer = find_or_make_customer(
        name=name, phone=phone, email=email, language=language, at=at, is_landline=is_landline
    )
    if wants_reminder and not customer.wants_reminder:
        customer.wants_reminder = True
        customer.save(update_fields=["wants_reminder"])
    if customer.is_repeat and quote.sheet.deposit_new_customers_only:
        priced = Priced(
            total=priced.total,
            drive=priced.drive,
            tax=priced.tax,
            deposit=Decimal(0),
            reasons=priced.reasons,
        )
    first_on = day or on
    order = Order(
        number=number,
        key=key,
        customer=customer,
        place=_place(quote, customer, access),
        quote=quote,
        market=quote.market,
        wood=quote.wood,
        dryness=quote.dryness,
        cords=quote.cords,
        bundles=quote.bundles,
        how=quote.how,
        stacked=quote.stacked,
        small_rig_only=quote.small_rig_only,
        total_dollars=priced.total,
        wood_dollars=quote.wood_dollars,
        drive_dollars=priced.drive,
        tax_dollars=priced.tax,
        deposit_dollars=priced.deposit,
        reasons=priced.reasons,
        pay_how=pay_how,
        first_on=first_on,
        last_on=day or max(last_on or on + timedelta(days=DAYS_THAT_SUIT), first_on),
        window_from=window_from,
        window_to=window_to,
        is_pool=joins_pool and quote.market.is_far,
        waits_until=last_on if joins_pool else None,
        asked_at=at,
        asked_on=on,
        note=note.strip()[:300],
    )
    order.full_clean()
    order.save()
    if quote.customer_id is None:
        quote.customer = customer
        quote.save(update_fields=["customer"])
    audit.note(
        at=at,
        who=who,
        verb="asked",
        thing=order.reference,
        after={"total": f"{order.total_dollars:.2f}", "wood": order.wood, "cords": str(order.cords)},
    )
    return Placed(number=order.number, link_secret=order.link_secret, is_new=True)


def _known(key: UUID) -> Placed | None:
    made = Order.objects.filter(key=key).first()
    return None if made is None else Placed(number=made.number, link_secret=made.link_secret, is_new=False)


def priced_on(quote: Quote, day: date | None) -> Priced:
    """A quote's figures, on the chosen day if one was chosen.

    Errors
        DayNotOffered: the quote does not offer that day.
    """
    if day is None or (quote.how == Order.How.PICK_UP and not quote.day_offers):
        return Priced(
            total=quote.total_dollars,
            drive=quote.drive_dollars,
            tax=quote.tax_dollars,
            deposit=quote.deposit_dollars,
            reasons=quote.reasons,
        )
    for offer in quote.day_offers:
        if offer["on"] == day.isoformat():
            return Priced(
                total=Decimal(offer["total"]),
                drive=Decimal(offer["drive"]),
                tax=Decimal(offer["tax"]),
                deposit=Decimal(offer["deposit"]),
                reasons=offer["reasons"],
            )
    raise DayNotOffered(on=day)


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
        place.full_clean()
        place.save(update_fields=["drop_spot", "gate_code", "access_note"])
    order.note = note.strip()[:300]
    if window_from and window_to:
        order.window_from, order.window_to = window_from, window_to
    if day is not None and day != order.first_on:
        if order.state == Order.State.PLANNED or order.quote is None:
            raise DayNotOffered(on=day)
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
def write_note(*, number: int, words: str, at: datetime, who: str) -> None:
    """Keep the seller's own words on an order; the customer does not see them.

    Errors
        NoSuchOrder
    """
    order = order_for_writing(number)
    order.seller_note = words.strip()[:300]
    order.save(update_fields=["seller_note"])
    audit.note(at=at, who=who, verb="noted", thing=order.reference, note=order.seller_note)


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
    return {
        "days": f"{order.first_on} to {order.last_on}",
        "hours": f"{order.window_from:%H:%M}-{order.window_to:%H:%M}",
        "total": f"{order.total_dollars:.2f}",
        "drop_spot": order.place.drop_spot if order.place else "",
        "note": order.note,
    }


def _place(quote: Quote, customer: Customer, access: Access) -> Place | None:
    """The quote's spot becomes the customer's place; a second order of one quote gets its own copy."""
    place = quote.place
    if place is None:
        return None
    if place.customer_id is not None:
        place.pk = None
        place._state.adding = True
    place.customer = customer
    if access.address.strip():
        place.address = access.address.strip()[:200]
    place.drop_spot, place.gate_code = access.drop_spot.strip(), access.gate_code.strip()
    place.access_note = access.access_note.strip()
    place.full_clean()
    place.save()
    return place


def _only_day(order: Order) -> date | None:
    return order.first_on if order.first_on == order.last_on else None

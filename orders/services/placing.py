"""An order placed at the price of a quote: once, however often the form is sent."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from uuid import UUID

from django.db import IntegrityError, transaction

from inventory.core.gaps import ShortDay
from inventory.core.rows import columns_of, from_row
from inventory.selectors.business import business
from inventory.services import audit
from orders.core import CustomerRefusal
from orders.core.access import stored_access
from orders.core.order_request import Goods, OrderedWood
from orders.models import Customer, Order, Place, Quote
from orders.selectors.lines import days_on_offer
from orders.services.asking import Access, priced_for
from orders.services.customers import customer_of_order
from orders.services.numbering import next_number
from orders.services.sharing import check_still_open
from orders.services.spoken_for import leave_spoken_for

DAYS_THAT_SUIT = 21  # an order without a chosen day may come within three weeks; the seller sets the day
POOL_WAIT_DAYS = 30
OPENS, CLOSES = time(8), time(18)


class NoSuchQuote(CustomerRefusal):
    """No quote has this token."""

    says = "This price is not known any more: ask for it again, it takes a moment."


class QuoteTooOld(CustomerRefusal):
    """The price stood until its last day, which has passed."""

    says = "This price stood until {day}: ask for it again, it takes a moment."
    in_words = {"day": ShortDay}


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """The order, new or the one this very form had made before."""

    number: int
    link_secret: UUID
    is_new: bool


class _MadeMeanwhile(Exception):
    """The same form made its order while this one waited for a number."""


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
    waits_until: date | None = None,
    note: str = "",
    language: str = "en",
    wants_reminder: bool = False,
    joins_pool: bool = False,
    is_landline: bool = False,
    typed_by_staff: bool = False,
    who: str = "customer",
) -> Placed:
    """Ask for the wood of a quote, at the quote's price, once.

    The same key sent again, by a double tap, the back button or a lost connection, gives the order it
    made before and changes nothing.

    Units
        day: one of the quote's days on offer; None leaves the day to the seller.
        joins_pool: waits for a shared load, where the market is far; no day of its own then.
        waits_until: how long it waits in the pool; None is `pool_waits_until`.
        typed_by_staff: name and phone may find a known customer; from a public form they never do.

    Errors
        NoSuchQuote, QuoteTooOld, DayNotOffered, BadPhone, SpokenFor, NeighborGone: nothing is kept.
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
                waits_until=waits_until,
                note=note,
                language=language,
                wants_reminder=wants_reminder,
                joins_pool=joins_pool,
                is_landline=is_landline,
                typed_by_staff=typed_by_staff,
                who=who,
            )
    except (IntegrityError, _MadeMeanwhile):
        made_meanwhile = placed_before(key)  # the same form, a moment ago, elsewhere
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
    waits_until: date | None,
    note: str,
    language: str,
    wants_reminder: bool,
    joins_pool: bool,
    is_landline: bool,
    typed_by_staff: bool,
    who: str,
) -> Placed:
    if (known := placed_before(key)) is not None:
        return known
    number = next_number(series="order", of=Order)  # others wait here for this transaction
    if placed_before(key) is not None:
        raise _MadeMeanwhile  # gives the number back
    quote = (
        Quote.objects.select_related("place", "sheet", "market", "customer", "neighbor__market")
        .filter(token=quote_token)
        .first()
    )
    if quote is None:
        raise NoSuchQuote
    if on > quote.last_day:
        raise QuoteTooOld(day=quote.last_day)
    is_pool = joins_pool and quote.market.is_far
    waits_until = (waits_until or pool_waits_until(on)) if is_pool else None
    day = None if is_pool else day
    if quote.neighbor is not None:
        check_still_open(quote.neighbor, at=at, cut_off_hour=business().change_cut_off_hour)
        day = next((offer.on for offer in days_on_offer(quote)), None)  # a price made by hand has none
    last = day or max(waits_until or on + timedelta(days=DAYS_THAT_SUIT), on)
    if not typed_by_staff:
        leave_spoken_for(from_row(Goods, quote), on=on, at=at)
    customer = customer_of_order(
        name=name,
        phone=phone,
        email=email,
        language=language,
        at=at,
        is_landline=is_landline,
        proven=quote.customer,
        typed_by_staff=typed_by_staff,
    )
    if wants_reminder and not customer.wants_reminder:
        customer.wants_reminder = True
        customer.save(update_fields=["wants_reminder"])
    order = Order(
        number=number,
        key=key,
        customer=customer,
        place=_place(quote, customer, access),
        quote=quote,
        market=quote.market,
        neighbor=quote.neighbor,
        **columns_of(OrderedWood, quote),
        **priced_for(customer, quote, day).columns(),
        pay_how=pay_how,
        first_on=day or on,
        last_on=last,
        window_from=window_from,
        window_to=window_to,
        is_pool=is_pool,
        waits_until=waits_until,
        asked_at=at,
        asked_on=on,
        note=note.strip()[:300],
    )
    order.full_clean()
    order.save()
    audit.note(
        at=at,
        who=who,
        verb="asked",
        thing=order.reference,
        after={"total": f"{order.total_dollars:.2f}", "wood": order.wood, "cords": str(order.cords)},
    )
    return Placed(number=order.number, link_secret=order.link_secret, is_new=True)


def pool_waits_until(on: date) -> date:
    """How long an order of this day waits for a shared load, unless its customer says otherwise."""
    return on + timedelta(days=POOL_WAIT_DAYS)


def placed_before(key: UUID) -> Placed | None:
    """The order that a form with this key has made already."""
    made = Order.objects.filter(key=key).first()
    return None if made is None else Placed(number=made.number, link_secret=made.link_secret, is_new=False)


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
    place.access = stored_access(access.ticked or ())
    place.full_clean()
    place.save()
    return place

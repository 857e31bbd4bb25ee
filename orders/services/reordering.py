"""The customer takes another wood, amount or place for an order that stands, at a price they have seen."""

from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from inventory.core.rows import from_row
from orders.core import CustomerRefusal, lifecycle
from orders.core.order_request import Goods
from orders.models import Order, Place, Quote
from orders.services.asking import Access, order_for_writing, priced_for
from orders.services.corrections import Correction, correct_order
from orders.services.held import release_holds
from orders.services.placing import DAYS_THAT_SUIT, NoSuchQuote, QuoteTooOld
from orders.services.quotes import Spot
from orders.services.sharing import leave_shared
from orders.services.spoken_for import leave_spoken_for

MAY_BE_ANOTHER = (Order.State.ASKED, Order.State.CONFIRMED)


class StandsOnItsDay(CustomerRefusal):
    """A day is planned for the order as it is."""

    says = "Your day is planned for what you ordered: call us to change it."


@transaction.atomic
def take_quote_instead(
    *, number: int, quote_token: UUID, day: date | None, on: date, at: datetime, cut_off_hour: int
) -> None:
    """The order becomes what the quote says, at its price for the day; who, notes and payments stay.

    The seller looks at it anew: it is a new request again, and holds no wood until it is confirmed.

    Errors
        NoSuchOrder, NoSuchQuote, QuoteTooOld, DayNotOffered
        TooLateToChange: past the cut-off. StandsOnItsDay: its day is planned.
        SpokenFor, NotEnoughBundles: others asked for it first. SharedDay: a neighbor's order rides along.
    """
    order = order_for_writing(number)
    if order.state not in MAY_BE_ANOTHER:
        raise StandsOnItsDay
    lifecycle.check_customer_change(
        lifecycle.State(order.state),
        order=order.reference,
        day=order.promised_on,
        now=timezone.localtime(at),
        hour=cut_off_hour,
    )
    leave_shared(order)
    quote = Quote.objects.select_related("place", "sheet", "market").filter(token=quote_token).first()
    if quote is None:
        raise NoSuchQuote
    if on > quote.last_day:
        raise QuoteTooOld(day=quote.last_day)
    if order.state == Order.State.CONFIRMED:
        release_holds(order, at=at)
        order.state, order.confirmed_at = Order.State.ASKED, None
        order.promised_on = order.comes_from = order.comes_to = None
        order.save(update_fields=["state", "confirmed_at", "promised_on", "comes_from", "comes_to"])
    goods = from_row(Goods, quote)
    leave_spoken_for(goods, on=on, at=at, apart_from=number)
    first_on = day or on
    asked = Correction(
        goods=goods,
        access=_access(order.place),
        small_rig_only=quote.small_rig_only,
        first_on=first_on,
        last_on=day or first_on + timedelta(days=DAYS_THAT_SUIT),
        spot=_spot(quote.place),
        figures=priced_for(order.customer, quote, day),
    )
    correct_order(number=number, asked=asked, at=at, who="customer")
    Order.objects.filter(number=number).update(quote=quote)  # its days stay on offer


def _access(place: Place | None) -> Access:
    if place is None:
        return Access()
    return Access(drop_spot=place.drop_spot, gate_code=place.gate_code, access_note=place.access_note)


def _spot(place: Place | None) -> Spot | None:
    return from_row(Spot, place) if place else None

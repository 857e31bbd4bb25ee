"""What the seller puts right on an order, wherever it stands: place, days, wood, amount, lots, price."""

from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial
from typing import Any

from django.db import transaction

from inventory.core.references import named
from inventory.core.rows import columns_of, from_row
from inventory.selectors.drawn import drawn_for
from inventory.services import audit
from orders.core import OrdersError, lifecycle
from orders.core.access import stored_access
from orders.core.corrections import OFF_ITS_DAY, THERE, Part, check_parts
from orders.core.figures import Figures, PriceSums
from orders.core.order_request import Goods, OrderedWood
from orders.models import Order, Place, Quote, Town
from orders.selectors.money import balance_of_order
from orders.services.asking import Access, order_for_writing
from orders.services.orders import Picked, resettle
from orders.services.quotes import Spot
from orders.services.redrawing import draw_instead, hold_instead, lots_of
from orders.services.tickets import NothingToReplace, replace_ticket
from orders.services.whose import Whose, hand_over

State = lifecycle.State


class StandsOnADay(OrdersError):
    """A day was planned for the order as it was."""

    says = "{order} stands on a day: take it off that day, then correct it."
    in_words = {"order": partial(named, is_first=True)}


class OtherMarket(OrdersError):
    says = "{town} is priced otherwise: have the price worked out anew, or write what you agreed."


class PriceBelowCredits(OrdersError):
    says = (
        "{credited:.2f} is credited on this order, more than a price of {total:.2f}: undo the credit first."
    )


class PartlyDelivered(OrdersError):
    """Part of the order's wood is out of the lots and part still held: neither amount is the order's."""

    says = "Part of {order} is delivered already: bring the rest first, and put it right then."
    in_words = {"order": named}


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """An order as it should be.

    Shapes
        spot: None leaves the place where it is. figures: None keeps the price.
        picks: the lots and amounts; none leaves the wood as it is held or was drawn.
        whose: None leaves it with its customer.
    """

    goods: Goods
    access: Access
    small_rig_only: bool
    first_on: date
    last_on: date
    spot: Spot | None = None
    figures: Figures | None = None
    picks: tuple[Picked, ...] = ()
    whose: Whose | None = None


def parts_touched(number: int, asked: Correction) -> frozenset[Part]:
    """What of the order the correction would change.

    Errors
        NoSuchOrder
    """
    return _parts(order_for_writing(number), asked)


@transaction.atomic
def correct_order(*, number: int, asked: Correction, at: datetime, who: str) -> None:
    """Write the order as it should be; holds, draws, ticket and balance follow.

    A promised day outside the days that work is given up. A delivered order's ticket is replaced.

    Errors
        NoSuchOrder, NotCorrectable
        StandsOnADay: it must come off its day first.
        OtherMarket: a town whose prices are not the order's, and the price is to stay.
        PriceBelowCredits
        WrongAmountPicked, UnknownLot, NotEnoughOpen: the lots do not fill it.
        ValidationError: a value a column refuses, days in the wrong order.
    """
    order = order_for_writing(number)
    parts = _parts(order, asked)
    check_parts(parts, state=State(order.state), order=order.reference)
    if order.state == State.PLANNED and parts & OFF_ITS_DAY:
        raise StandsOnADay(order=order.reference)
    if (
        parts & {Part.GOODS, Part.LOTS}
        and order.state not in THERE
        and any(drawn_for(order.reference).values())
    ):
        raise PartlyDelivered(order=order.reference)
    before = _told(order)
    if asked.whose is not None:
        hand_over(order, asked.whose, at=at)
    _write_place(order, asked, parts)
    _write_days(order, asked)
    _write_goods(order, asked.goods)
    if asked.figures is not None:
        _write_price(order, asked.figures)
    if Part.GOODS in parts or Part.PRICE in parts:
        _requote(order, asked.figures)
    order.full_clean()
    order.save()
    if parts & {Part.GOODS, Part.LOTS}:
        rewood = draw_instead if order.state in THERE else hold_instead
        rewood(order, asked.picks, at=at, who=who)
    resettle(order, at=at, who=who)
    if order.state in THERE and parts:
        _keep_ticket_true(number, at=at, who=who)
    audit.note(at=at, who=who, verb="corrected", thing=order.reference, before=before, after=_told(order))


def _keep_ticket_true(number: int, *, at: datetime, who: str) -> None:
    """A ticket already given is replaced where it says something else now."""
    with suppress(NothingToReplace):
        replace_ticket(number=number, at=at, who=who)


def _parts(order: Order, asked: Correction) -> frozenset[Part]:
    place = order.place
    access = (place.drop_spot, place.gate_code, place.access_note, place.access) if place else ("",) * 4
    ticked = access[3] if asked.access.ticked is None else stored_access(asked.access.ticked)
    told = (
        asked.access.drop_spot.strip(),
        asked.access.gate_code.strip(),
        asked.access.access_note.strip(),
        ticked,
    )
    changed = {
        Part.ACCESS: told != access and place is not None,
        Part.PLACE: asked.spot is not None or asked.small_rig_only != order.small_rig_only,
        Part.DAYS: (asked.first_on, asked.last_on) != (order.first_on, order.last_on),
        Part.GOODS: asked.goods != goods_of(order),
        Part.LOTS: bool(asked.picks)
        and {pick.lot: pick.cords for pick in asked.picks if pick.cords} != lots_of(order),
        Part.WHOSE: asked.whose is not None,
        Part.PRICE: asked.figures is not None and asked.figures.total != order.total_dollars,
    }
    return frozenset(part for part, is_changed in changed.items() if is_changed)


def goods_of(order: Order) -> Goods:
    """What the order is for, or what was delivered of it."""
    is_there = order.state in THERE and order.delivered_cords is not None
    return from_row(
        Goods,
        order,
        cords=order.delivered_cords if is_there and order.delivered_cords else order.cords,
    )


def _write_place(order: Order, asked: Correction, parts: frozenset[Part]) -> None:
    if not parts & {Part.ACCESS, Part.PLACE}:
        return
    place = order.place
    if place is None:
        if asked.spot is None:
            return
        place = Place(customer=order.customer)
    elif place.orders.exclude(pk=order.pk).exists() or place.customer_id is None:
        place.pk = None  # other orders go there: this one gets its own
        place._state.adding = True
        place.customer = order.customer
    if asked.spot is not None:
        _write_spot(order, place, asked.spot, is_price_kept=asked.figures is None)
    access = asked.access
    place.drop_spot, place.gate_code = access.drop_spot.strip(), access.gate_code.strip()
    place.access_note, place.small_rig_only = access.access_note.strip(), asked.small_rig_only
    if access.ticked is not None:
        place.access = stored_access(access.ticked)
    place.full_clean()
    place.save()
    order.place, order.small_rig_only = place, asked.small_rig_only


def _write_spot(order: Order, place: Place, spot: Spot, *, is_price_kept: bool) -> None:
    town = Town.objects.filter(pk=spot.town_id or 0).select_related("market").first()
    if town is not None and town.market_id != order.market_id:
        if is_price_kept:
            raise OtherMarket(town=town.name)
        order.market = town.market
    place.address, place.town = spot.address[:200], town
    place.lat, place.lon, place.is_exact = spot.lat, spot.lon, spot.is_exact
    place.is_confirmed = spot.is_confirmed


def _write_days(order: Order, asked: Correction) -> None:
    order.first_on, order.last_on = asked.first_on, asked.last_on
    if order.promised_on is None or order.state in THERE:
        return
    if not asked.first_on <= order.promised_on <= asked.last_on:
        order.promised_on = order.comes_from = order.comes_to = None


def _write_goods(order: Order, goods: Goods) -> None:
    if goods == goods_of(order):
        return
    for name, value in columns_of(Goods, goods).items():
        setattr(order, name, value)
    if order.state in THERE:
        order.delivered_cords = goods.cords


def _write_price(order: Order, figures: Figures) -> None:
    credited = balance_of_order(order.pk, total=order.total_dollars).credited
    if figures.total < credited:
        raise PriceBelowCredits(total=figures.total, credited=credited)
    for name, value in figures.columns().items():
        setattr(order, name, value)


def _requote(order: Order, figures: Figures | None) -> None:
    """The quote as it now stands: the old one keeps what was said, and its days are offered no more."""
    quote = order.quote
    if quote is None:
        return
    quote = Quote.objects.get(pk=quote.pk)
    quote.pk, quote._state.adding, quote.token = None, True, Quote._meta.get_field("token").get_default()
    quote.market, quote.customer, quote.place = order.market, order.customer, order.place
    kept = {**columns_of(OrderedWood, order), **PriceSums.of(order).columns(), "reasons": order.reasons}
    for name, value in kept.items():
        setattr(quote, name, value)
    if figures is not None and figures.miles is not None:
        quote.miles, quote.minutes = figures.miles, figures.minutes
        quote.is_estimate, quote.from_yard_id = figures.is_estimate, figures.from_yard_id
    quote.day_offers, quote.warning = [], ""
    quote.save()
    order.quote = quote


def _told(order: Order) -> dict[str, Any]:
    """What the trail keeps: no words of the customer's, so that erasing them is complete."""
    return {
        "wood": f"{order.dryness} {order.wood}",
        "cords": str(order.cords),
        "bundles": order.bundles,
        "how": f"{order.how}{', stacked' if order.stacked else ''}",
        "total": f"{order.total_dollars:.2f}",
        "days": f"{order.first_on} to {order.last_on}",
        "promised": str(order.promised_on or ""),
        "customer": str(order.customer_id),
        "town": order.place.town.name if order.place and order.place.town else "",
        "place": str(order.place_id or ""),
        "small trailer only": order.small_rig_only,
    }

"""A wish becomes a kept price: the lots it would take, the drive there, the days on offer.

Asked by the customer's price page and by the seller's answer to a text. The road is asked before anything is
written.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from fractions import Fraction
from math import ceil
from typing import Any, Self

from inventory.core.rows import columns_of
from inventory.core.units import bundle_cords
from inventory.selectors.business import business
from inventory.selectors.stock import LotRow
from orders.core import picking
from orders.core.drives import Drive
from orders.core.floors import DayRoad
from orders.core.order_request import How, OrderedWood, OrderRequest
from orders.core.places import place_rule
from orders.core.quotes import Quote, quote_for
from orders.selectors import prices
from orders.selectors.on_sale import OnSale, on_sale
from orders.selectors.sharing import Neighbor
from orders.services.quotes import SavedQuote, Spot, save_quote
from routing.quoting.days import drives_on_offer
from routing.quoting.drives import Cargo, Roads, RoundTrip, drive_to, seller_cost
from routing.quoting.pick_up import SOME_KINDLING, pick_up_days, yards_with
from routing.quoting.sharing import day_with, place_of
from routing.quoting.spots import find_spot
from routing.selectors.planning.part_sizes import whole_lb

SOONEST_DAYS = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceInput(OrderedWood):
    """What somebody wants to know the price of, as a page heard it."""

    how: How = How.DELIVERED
    where: str = ""
    town_id: int | None = None
    lat: float | None = None
    lon: float | None = None
    is_off_map: bool = False
    is_new_customer: bool = True
    customer_id: int | None = None
    first_on: date | None = None
    last_on: date | None = None
    asked_by: str = ""
    neighbor: Neighbor | None = None  # whose drop and drive it shares

    @classmethod
    def again(cls, wood: OrderedWood, **more: Any) -> Self:
        """The same wood as in a quote or an order."""
        return cls(**{**columns_of(OrderedWood, wood), "how": How(wood.how)}, **more)

    def as_order_request(self, *, market: str, place: str) -> OrderRequest:
        return OrderRequest(
            **columns_of(OrderedWood, self),
            market=market,
            place=place,
            first_on=self.first_on,
            last_on=self.last_on,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Measured:
    """A wish with its place, its lots and its drive; without one it is fetched at the yard."""

    order_request: OrderRequest
    first_honest_day: date
    picks: tuple[picking.Pick, ...] = ()
    spot: Spot | None = None
    town: prices.TownRow | None = None
    lat: float = 0.0
    lon: float = 0.0
    trip: RoundTrip | None = None

    @property
    def drive(self) -> Drive | None:
        return self.trip.drive if self.trip else None


def price_request(
    asked: PriceInput, *, on: date, at: datetime, language: str = "en", sale: OnSale | None = None
) -> SavedQuote:
    """Price what was asked, with days on offer, and keep it.

    Shapes
        sale: what is on sale today, when the caller has read it.

    Errors
        NoPriceSheet: no sheet holds today.
        NotHere: the place is not known or not served.
        NoSuchWood, NotEnoughWood, NotEnoughBundles: not open; and all that `save_quote` refuses.
    """
    sale = sale or on_sale(on)
    found = _measured(asked, sale, on=on)
    order_request, trip = found.order_request, found.trip
    cords = order_request.cords + bundle_cords(order_request.bundles)
    cost = seller_cost(cords=cords, is_stacked=order_request.stacked, trip=trip) if trip else None
    days: tuple[DayRoad, ...] = ()
    soonest = max(found.first_honest_day, on + timedelta(days=SOONEST_DAYS))
    if asked.neighbor is not None:
        days = (day_with(asked.neighbor, cords=cords, soonest=soonest),)
    elif order_request.how is How.PICK_UP:
        yards = yards_with(sale.lots, wood=asked.wood, dryness=asked.dryness, cords=_cords(asked), on=soonest)
        days = pick_up_days(yards, first_on=soonest)
    elif trip is not None and found.town is not None and not found.town.is_far:
        days = drives_on_offer(
            order_request=order_request,
            lat=found.lat,
            lon=found.lon,
            town_id=found.town.id,
            first_on=soonest,
            drive=trip.drive,
            cost=cost,
            picks=found.picks,
        )
    return save_quote(
        order_request=order_request,
        on=on,
        at=at,
        drive=found.drive,
        spot=found.spot,
        from_yard_id=trip.yard_id if trip else None,
        days=days,
        is_new_customer=asked.is_new_customer,
        customer_id=asked.customer_id,
        first_honest_day=found.first_honest_day,
        in_force=sale.in_force,
        cost=cost,
        rule=place_rule(business().place_key),
        language=language,
        asked_by=asked.asked_by,
        neighbor_id=asked.neighbor.id if asked.neighbor else None,
    )


def price_now(
    asked: PriceInput,
    *,
    on: date,
    language: str = "en",
    sale: OnSale | None = None,
    roads: Roads | None = None,
) -> Quote:
    """What was asked costs this, driven alone or with a neighbor's; no day is looked at and nothing is kept.

    Errors
        as `price_request`
    """
    sale = sale or on_sale(on)
    found = _measured(asked, sale, on=on, roads=roads)
    assert sale.in_force is not None  # `_measured` refuses without
    with_theirs = None
    if asked.neighbor is not None:
        cords = found.order_request.cords + bundle_cords(found.order_request.bundles)
        soonest = max(found.first_honest_day, on + timedelta(days=SOONEST_DAYS))
        with_theirs = day_with(asked.neighbor, cords=cords, soonest=soonest)
    return quote_for(
        found.order_request,
        sheet=sale.in_force.sheet,
        on=on,
        drive=found.drive,
        is_new_customer=asked.is_new_customer,
        rule=place_rule(business().place_key),
        day=with_theirs,
        language=language,
    )


def _measured(asked: PriceInput, sale: OnSale, *, on: date, roads: Roads | None = None) -> _Measured:
    if sale.in_force is None:
        raise prices.NoPriceSheet(day=on)
    if asked.bundles > sale.bundles:
        raise picking.NotEnoughBundles(wanted=asked.bundles, left=sale.bundles)
    first_on = _first_honest_day(asked, sale.lots, on=on)
    if asked.how is How.PICK_UP:
        near = next((terms.key for terms in sale.in_force.sheet.markets if not terms.is_far), "near")
        return _Measured(
            order_request=asked.as_order_request(market=near, place=""), first_honest_day=first_on
        )
    spot, town = (
        place_of(asked.neighbor, sale.towns)
        if asked.neighbor
        else find_spot(
            where=asked.where,
            town_id=asked.town_id,
            lat=asked.lat,
            lon=asked.lon,
            towns=sale.towns,
            is_off_map=asked.is_off_map,
        )
    )
    order_request = asked.as_order_request(market=town.market, place=town.name)
    lat, lon = (town.lat if spot.lat is None else spot.lat), (town.lon if spot.lon is None else spot.lon)
    holding = picking.yards_holding(
        sale.lots, wood=order_request.wood, cords=_cords(asked), on=first_on, dryness=order_request.dryness
    )
    picks = _picks(order_request, sale.lots, on=max(first_on, on + timedelta(days=SOONEST_DAYS)))
    trip = drive_to(
        lat=lat,
        lon=lon,
        yards=holding or {lot.yard for lot in sale.lots},
        cargo=_cargo(order_request, picks, sale.lots),
        on=on,
        roads=roads,
    )
    return _Measured(
        order_request=order_request,
        first_honest_day=first_on,
        picks=picks,
        spot=spot,
        town=town,
        lat=lat,
        lon=lon,
        trip=trip,
    )


def _first_honest_day(asked: PriceInput, lots: tuple[LotRow, ...], *, on: date) -> date:
    """The first day the wood can go under the word it is sold by.

    Errors
        NoSuchWood, NotEnoughWood, NothingDryEnough
    """
    cords = _cords(asked)
    first = picking.first_day(lots, wood=asked.wood, cords=cords, on=on, dryness=asked.dryness)
    if first is None:
        picking.pick_lots(lots, wood=asked.wood, cords=cords, on=on, dryness=asked.dryness)
    return first or on


def _picks(order_request: OrderRequest, lots: tuple[LotRow, ...], *, on: date) -> tuple[picking.Pick, ...]:
    """The lots it would take on the first day on offer; none for kindling alone."""
    if not order_request.cords:
        return ()
    return picking.pick_lots(
        lots, wood=order_request.wood, cords=order_request.cords, on=on, dryness=order_request.dryness
    )


def _cargo(order_request: OrderRequest, picks: Iterable[picking.Pick], lots: Iterable[LotRow]) -> Cargo:
    """What the road has to carry, each lot at the pounds a plan would count."""
    lb_per_cord = {lot.code: lot.plan_lb_per_cord for lot in lots}
    wood_lb = sum((pick.cords * whole_lb(lb_per_cord.get(pick.lot, 0.0)) for pick in picks), Fraction(0))
    return Cargo(
        cords=order_request.cords, wood_lb=ceil(wood_lb), small_rig_only=order_request.small_rig_only
    )


def _cords(asked: PriceInput) -> Fraction:
    return asked.cords or SOME_KINDLING

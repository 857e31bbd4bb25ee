"""What an order would cost if it were another one: at the prices of the day it was asked for."""

from datetime import date
from math import ceil

from inventory.core.rows import columns_of
from inventory.selectors.business import business
from orders.core import picking, quotes
from orders.core.figures import Figures, PriceSums
from orders.core.order_request import Goods, How, OrderRequest
from orders.core.places import place_rule
from orders.selectors import prices
from orders.selectors.on_sale import OnSale, on_sale
from orders.selectors.orders import OrderView
from orders.services.quotes import Spot, reasons_as_rows
from routing.core import RoutingError
from routing.quoting.drives import Cargo, RoundTrip, drive_to
from routing.selectors.planning.part_sizes import whole_lb


class NowhereToDrive(RoutingError):
    says = "Delivery needs a place: write the street and choose the town."


def repriced(view: OrderView, goods: Goods, *, small_rig_only: bool, spot: Spot | None, on: date) -> Figures:
    """The figures of the changed order, line by line; the drive is measured, no shared road is counted.

    Errors
        NoPriceSheet, PriceMissing, BelowMinimum, TooFar and the like: as for any price.
        NowhereToDrive: delivered, and no town is known. NoDrive
    """
    in_force = prices.required_sheet(view.asked_on)
    sale = on_sale(on)
    town = _town(view, spot, sale) if goods.how == How.DELIVERED else None
    request = OrderRequest(
        **columns_of(Goods, goods),
        market=town.market if town else view.market,
        small_rig_only=small_rig_only,
        place=town.name if town else "",
    )
    trip = _trip(view, request, spot, town, sale, on=on) if town else None
    quote = quotes.quote_for(
        request,
        sheet=in_force.sheet,
        on=view.asked_on,
        drive=trip.drive if trip else None,
        is_new_customer=bool(view.price.deposit),
        rule=place_rule(business().place_key),
        language=view.customer.language,
    )
    return Figures.of(
        quote,
        reasons=tuple(reasons_as_rows(quote.reasons)),
        miles=trip.drive.miles if trip else None,
        minutes=trip.drive.minutes if trip else None,
        is_estimate=trip.drive.estimated if trip else False,
        from_yard_id=trip.yard_id if trip else None,
    )


def figures_of(view: OrderView) -> Figures:
    """The order's figures as they stand."""
    return Figures(**columns_of(PriceSums, view.price), reasons=tuple(reasons_as_rows(view.price.reasons)))


def _town(view: OrderView, spot: Spot | None, sale: OnSale) -> prices.TownRow:
    for town in sale.towns:
        if (spot and town.id == spot.town_id) or (spot is None and town.name == view.place.town):
            return town
    raise NowhereToDrive


def _trip(
    view: OrderView, request: OrderRequest, spot: Spot | None, town: prices.TownRow, sale: OnSale, *, on: date
) -> RoundTrip:
    lat, lon = (spot.lat, spot.lon) if spot else (view.place.lat, view.place.lon)
    held = {hold.yard for hold in view.holds if hold.state != "released"}
    same_wood = (request.wood, request.dryness) == (view.wood, view.dryness)
    holding = picking.yards_holding(
        sale.lots, wood=request.wood, cords=request.cords, on=on, dryness=request.dryness
    )
    yards = (held if same_wood else frozenset()) | holding or {lot.yard for lot in sale.lots}
    heaviest = max((lot.plan_lb_per_cord for lot in sale.lots if lot.wood == request.wood), default=0.0)
    cargo = Cargo(
        cords=request.cords,
        wood_lb=ceil(request.cords * whole_lb(heaviest)),
        small_rig_only=request.small_rig_only,
    )
    return drive_to(
        lat=town.lat if lat is None else lat,
        lon=town.lon if lon is None else lon,
        yards=yards,
        cargo=cargo,
        on=on,
    )

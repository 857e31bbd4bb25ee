"""A correction of an order read from its form, and whom it touches in sentences."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from fractions import Fraction
from typing import Any

from django.utils.translation import gettext as _

from firewood_site.seller.forms.corrections import AGREED, ANEW, KEEP, CorrectForm
from firewood_site.templatetags.firewood import cords as cords_words
from firewood_site.templatetags.firewood import day, dollars
from inventory.core.rows import from_row
from inventory.core.woods import Wood
from inventory.selectors.drawn import drawn_for
from inventory.selectors.sale import lots_for_picking
from inventory.selectors.spoken import listed, reader_language
from orders.core import OrdersError, picking
from orders.core.corrections import OFF_ITS_DAY, THERE, Part
from orders.core.figures import Figures, agreed
from orders.core.lifecycle import State
from orders.core.order_request import Goods, How
from orders.selectors.orders import OrderView
from orders.selectors.prices import towns
from orders.selectors.shortfalls import PromisedRow
from orders.services.asking import Access
from orders.services.corrections import Correction
from orders.services.customers import read_phone
from orders.services.held import bundle_cords_in_stock
from orders.services.orders import Picked
from orders.services.quotes import Spot
from orders.services.whose import Whose
from routing.core import RoutingError
from routing.quoting.repricing import figures_of, repriced
from routing.quoting.spots import find_spot
from routing.services.off_day import days_carrying


def asked_of(view: OrderView, form: CorrectForm, *, on: date) -> Correction:
    """The order as the form has it.

    Errors
        as for any place, price and pick of lots.
    """
    cleaned = form.cleaned_data
    goods, spot = _goods(view, cleaned), _spot(view, cleaned)
    return Correction(
        goods=goods,
        access=Access(
            drop_spot=cleaned["drop_spot"],
            gate_code=cleaned["gate_code"],
            access_note=cleaned["access_note"],
            ticked=tuple(cleaned["ticked"]),
        ),
        small_rig_only=cleaned["small_rig_only"],
        first_on=cleaned.get("first_on") or view.promise.first_on,
        last_on=cleaned.get("last_on") or view.promise.last_on,
        spot=spot,
        figures=_figures(view, goods, spot, cleaned, on=on),
        picks=_picks(view, goods, form, on=on),
        whose=_whose(view, cleaned),
    )


def moved_off(view: OrderView, row: PromisedRow, code: str) -> Correction:
    """The order as it is, with what a short lot lacks taken from the lots that have it."""
    lots = lots_now(view)
    for pick in row.instead:
        lots[pick.lot] = lots.get(pick.lot, Fraction(0)) + pick.cords
        lots[code] = lots.get(code, Fraction(0)) - pick.cords
    place, promise = view.place, view.promise
    return Correction(
        goods=from_row(Goods, view),
        access=Access(
            drop_spot=place.drop_spot, gate_code=place.gate_code, access_note=place.access_note
        ),
        small_rig_only=view.small_rig_only,
        first_on=promise.first_on,
        last_on=promise.last_on,
        picks=tuple(Picked(lot=lot, cords=cords) for lot, cords in lots.items() if cords > 0),
    )  # fmt: skip


def lots_now(view: OrderView) -> dict[str, Fraction]:
    """Cords by lot: what stands held for the order, or what was drawn for it."""
    if State(view.state) in THERE:
        return drawn_for(view.reference)
    held: dict[str, Fraction] = {}
    for hold in view.holds:
        if hold.state == "standing":
            held[hold.lot_code] = held.get(hold.lot_code, Fraction(0)) + hold.cords
    return held


def touched_by(view: OrderView, asked: Correction, parts: frozenset[Part]) -> tuple[str, ...]:
    """Sentences on what the change does to others."""
    if not parts:
        return (_("Nothing has changed."),)
    told = [*_price_told(view, asked, parts), *_wood_told(view, asked, parts)]
    if asked.whose is not None:
        said = _("It is {name}'s from now on. {customer}'s link no longer opens it: send {name} the new one.")
        told.append(said.format(name=asked.whose.name, customer=view.customer.name))
    if asked.spot is not None:
        goes = _("It goes to {address}.")
        if not asked.spot.is_confirmed:
            goes = _("It goes to {address}, which the map is not sure of.")
        told.append(goes.format(address=asked.spot.address))
    if view.state == State.PLANNED and parts & OFF_ITS_DAY:
        carrying = [day(on) for on in days_carrying(view.number)]
        days = listed(carrying) if carrying else day(view.promise.promised_on)
        said = _("It comes off {days}. Plan it again; that day is committed again without it.")
        told.append(said.format(days=days))
    elif view.promise.promised_on and not asked.first_on <= view.promise.promised_on <= asked.last_on:
        said = _("{customer} was promised {day}: that promise is given up.")
        told.append(said.format(customer=view.customer.name, day=day(view.promise.promised_on)))
    if view.ticket_number:
        said = _("Ticket {number} is replaced by a new one that names it.")
        told.append(said.format(number=view.ticket_number))
    said = _("{customer} sees it on the order's page, but gets no letter: tell them.")
    if view.customer.phone:
        said = _("{customer} sees it on the order's page, but gets no letter: call {phone}.")
    told.append(said.format(customer=view.customer.name, phone=view.customer.shown_phone))
    return tuple(told)


def _price_told(view: OrderView, asked: Correction, parts: frozenset[Part]) -> list[str]:
    if asked.figures is None or Part.PRICE not in parts:
        kept = _("The price stays {dollars}.").format(dollars=dollars(view.price.total))
        held = _("The wood held stays held.")
        return [f"{kept} {held}" if not parts & {Part.GOODS, Part.LOTS} else kept]
    new = asked.figures.total
    changes = _("The price goes from {was} to {new}.").format(was=dollars(view.price.total), new=dollars(new))
    told = [changes]
    if view.customer.language == reader_language():  # the lines are written in the customer's
        told += [f"{line['label']}: {dollars(line['dollars'])}." for line in asked.figures.reasons]
    left = new - view.balance.received - view.balance.credited
    if view.balance.received:
        said = _("{paid} is paid, so {due} is due.")
        if left < 0:
            said = _("{paid} is paid, so we owe {due} back.")
        told.append(said.format(paid=dollars(view.balance.received), due=dollars(abs(left))))
    if view.balance.credited:
        said = _("{dollars} is credited on it and stays credited.")
        told.append(said.format(dollars=dollars(view.balance.credited)))
    return told


def _wood_told(view: OrderView, asked: Correction, parts: frozenset[Part]) -> list[str]:
    if not parts & {Part.GOODS, Part.LOTS} or view.state == State.ASKED:
        return []
    is_there, now_of = State(view.state) in THERE, lots_now(view)
    was = _lots_words(now_of)
    if asked.picks:
        said = _("Drawn: {lots}, in place of {was}.") if is_there else _("Held: {lots}, in place of {was}.")
        return [said.format(lots=_lots_words({pick.lot: pick.cords for pick in asked.picks}), was=was)]
    if is_there and now_of:
        return [_("What is more comes from the lot that gave most of its kind, and what is less goes back.")]
    return [(_("Drawn stays {was}.") if is_there else _("Held stays {was}.")).format(was=was)]


def _lots_words(lots: Mapping[str, Fraction]) -> str:
    said = _("{cords} of {lot}")
    named = (said.format(cords=cords_words(cords), lot=code) for code, cords in lots.items())
    return ", ".join(named) or _("nothing")


def _goods(view: OrderView, cleaned: dict[str, Any]) -> Goods:
    wood, _sign, dryness = cleaned["choice"].partition(":")
    is_kindling = wood == Wood.KINDLING
    return Goods(
        wood=wood,
        dryness=dryness or view.dryness,
        cords=Fraction(0) if is_kindling else cleaned["amount"],
        bundles=cleaned["bundles"] or 0,
        stacked=cleaned["laid"] == "stack",
        how=How.PICK_UP if cleaned["laid"] == "pick_up" else How.DELIVERED,
    )


def _whose(view: OrderView, cleaned: dict[str, Any]) -> Whose | None:
    """Somebody else than its customer; None when they are the same or nobody was named."""
    name, phone = cleaned["whose_name"].strip(), cleaned["whose_phone"].strip()
    if not name:
        return None
    is_same = (name.casefold(), read_phone(phone).kept) == (
        view.customer.name.casefold(),
        view.customer.phone,
    )
    return None if is_same else Whose(name=name, phone=phone)


def _spot(view: OrderView, cleaned: dict[str, Any]) -> Spot | None:
    """Where new words lead, in the towns we sell to; None when they are the same, or it is picked up."""
    if cleaned["laid"] == "pick_up":
        return None
    every = towns()
    town_id = int(cleaned["town"]) if cleaned["town"] else None
    was = next((town.id for town in every if town.name == view.place.town), None)
    where = cleaned["address"].strip()
    if (where, town_id) == (view.place.address, was) or not (where or town_id):
        return None
    spot, _town = find_spot(where=where, town_id=town_id, lat=None, lon=None, towns=every)
    return spot


def _figures(
    view: OrderView, goods: Goods, spot: Spot | None, cleaned: dict[str, Any], *, on: date
) -> Figures | None:
    way = cleaned["price"] or KEEP
    if way == ANEW:
        return repriced(view, goods, small_rig_only=cleaned["small_rig_only"], spot=spot, on=on)
    if way == AGREED:
        return agreed(
            _base(view, goods, spot, cleaned, on=on),
            total=cleaned["dollars"],
            language=view.customer.language,
        )
    return None


def _base(view: OrderView, goods: Goods, spot: Spot | None, cleaned: dict[str, Any], *, on: date) -> Figures:
    """The lines an agreed price starts from: worked out anew where that can be, else those kept."""
    is_same = spot is None and (goods.wood, goods.cords, goods.bundles, goods.stacked, goods.how) == (
        view.wood, view.cords, view.bundles, view.stacked, view.how,
    )  # fmt: skip
    if is_same:
        return figures_of(view)
    try:
        return repriced(view, goods, small_rig_only=cleaned["small_rig_only"], spot=spot, on=on)
    except (OrdersError, RoutingError):
        return figures_of(view)


def _picks(view: OrderView, goods: Goods, form: CorrectForm, *, on: date) -> tuple[Picked, ...]:
    """The lots as typed; where only the amount or the wood changed, those that fill it."""
    was, typed = lots_now(view), form.picked()
    if typed != was:
        return tuple(Picked(lot=code, cords=cords) for code, cords in typed.items())
    same = (goods.wood, goods.dryness, goods.cords, goods.bundles)
    if State(view.state) not in (State.CONFIRMED, State.PLANNED) or same == (
        view.wood, view.dryness, view.cords, view.bundles,
    ):  # fmt: skip
        return ()
    lots = [
        replace(lot, open=lot.open_cords + was.get(lot.code, Fraction(0))) for lot in lots_for_picking(on)
    ]
    picks: list[picking.Pick] = []
    if goods.cords:
        day_on = max(view.promise.promised_on or view.promise.first_on, on)
        picks += picking.pick_lots(lots, wood=goods.wood, cords=goods.cords, on=day_on, dryness=goods.dryness)
    if goods.bundles:
        picks += picking.pick_lots(
            lots, wood=Wood.KINDLING, cords=bundle_cords_in_stock(goods.bundles), on=on
        )
    return tuple(picks)

"""Wood carried between yards, with what the drive cost charged to it."""

from datetime import date
from fractions import Fraction
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from firewood_site.access import found, seller_required
from firewood_site.clock import now, today
from firewood_site.parts import page_or_part
from firewood_site.seller.forms.stock import MoveForm
from firewood_site.seller.hauls import HaulOffer, haul_offers
from firewood_site.seller.views.lots import refuse_if_changed
from inventory.core import InventoryError
from inventory.core.money import dollars
from inventory.core.units import parse_cords
from inventory.selectors.lot import LotPage, lot_page
from inventory.selectors.yards import yard_choices, yards
from inventory.services.moves import Haul, move_wood
from inventory.services.parts import Lie
from routing.selectors.rigs import RigRow, rigs


@seller_required
def move(request: HttpRequest, code: str) -> HttpResponse:
    page = found(lot_page(code, today()), f"There is no lot {code}.")
    others = [(yard_id, name) for yard_id, name in yard_choices() if yard_id != page.row.yard_id]
    form = MoveForm(request.POST or None, yards=others)
    working = rigs(only_working=True)
    offers = haul_offers(page.row, cords=_how_much(request, page), yards=yards(), rigs=working)
    if request.method == "POST" and form.is_valid():
        said = _with_road(form.cleaned_data, offers)
        try:
            refuse_if_changed(request, page)
            result = move_wood(
                code=code,
                to_yard_id=said["to_yard"],
                cords=said["cords"],
                haul=_haul(said, working, on=today()),
                lie=Lie(exposure=said["exposure"] or None),
                on=today(),
                at=now(),
                who=request.user.get_username(),
            )
        except InventoryError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Moved.")
            return redirect("lot", code=result)
    context = {"page": page, "row": page.row, "form": form, "offers": offers}
    return page_or_part(
        request, "seller/stock/move.html", "roads", context, status=422 if form.errors else 200
    )


def _how_much(request: HttpRequest, page: LotPage) -> Fraction:
    """The part typed so far, else the whole lot: what the trips are counted for."""
    typed = request.POST if request.method == "POST" else request.GET
    try:
        return parse_cords(typed.get("cords", "")) or page.row.on_hand
    except InventoryError:
        return page.row.on_hand


def _with_road(said: dict[str, Any], offers: tuple[HaulOffer, ...]) -> dict[str, Any]:
    """Miles and minutes as typed, else as the road to the chosen yard has them."""
    road = next((offer for offer in offers if offer.yard_id == said["to_yard"]), None)
    if road is None or said["miles"] is not None or said["minutes"] is not None:
        return said
    return {**said, "miles": road.miles, "minutes": road.minutes}


def _haul(said: dict[str, Any], known: tuple[RigRow, ...], *, on: date) -> Haul:
    """The cash typed, else half the miles loaded and half empty at the first rig's rates of the day."""
    cost, miles = said["cost_dollars"], said["miles"]
    rates = next((rate for rig in known for rate in rig.costs if rate.from_on <= on), None)
    if cost is None and miles and rates:
        cost = dollars(miles / 2 * (rates.loaded_mile + rates.empty_mile))
    return Haul(miles=miles, minutes=said["minutes"], cost_dollars=cost or None)

"""Wood carried between yards, with what the drive cost charged to it."""

from datetime import date
from fractions import Fraction
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from firewood_site.access import found, seller_required
from firewood_site.clock import now, today
from firewood_site.refusals import refusals
from firewood_site.seller.forms.stock import MoveForm
from firewood_site.seller.views.lots import lot_with_sheet, refuse_if_changed
from inventory.core import InventoryError
from inventory.core.money import dollars
from inventory.core.units import parse_cords
from inventory.selectors.lot import LotPage, lot_page
from inventory.selectors.yards import yard_choices, yards
from inventory.services.moves import Haul, move_wood
from inventory.services.parts import Storage
from routing.quoting.moves import HaulOffer, haul_offers
from routing.selectors.rigs import RigRow, rigs


@seller_required
def move(request: HttpRequest, code: str) -> HttpResponse:
    page = found(lot_page(code, today()), f"There is no lot {code}.")
    others = [(yard_id, name) for yard_id, name in yard_choices() if yard_id != page.row.yard_id]
    form = MoveForm(request.POST or None, initial={"on": today()}, yards=others)
    working = rigs(only_working=True)
    offers = haul_offers(page.row, cords=_how_much(request, page), yards=yards(), rigs=working, on=today())
    if request.method == "POST" and form.is_valid():
        cleaned = _with_road(form.cleaned_data, offers)
        with refusals(form):
            refuse_if_changed(request, page)
            result = move_wood(
                code=code,
                to_yard_id=cleaned["to_yard"],
                cords=cleaned["cords"],
                haul=_haul(cleaned, working, on=today()),
                storage=Storage(exposure=cleaned["exposure"] or None),
                on=min(cleaned["on"] or today(), today()),
                at=now(),
                who=request.user.get_username(),
            )
            messages.success(request, "Moved.")
            return redirect("lot", code=result)
    if getattr(request, "htmx", False):
        return render(request, "seller/stock/move.html#roads", {"row": page.row, "offers": offers})
    return lot_with_sheet(request, page, sheet="seller/stock/move.html", form=form, offers=offers)


def haul_by_road(page: LotPage, *, to_yard_id: int, cords: Fraction) -> Haul:
    """What carrying so much of a lot to a yard costs by the road."""
    working = rigs(only_working=True)
    offers = haul_offers(page.row, cords=cords, yards=yards(), rigs=working, on=today())
    asked = {"to_yard": to_yard_id, "miles": None, "minutes": None, "cost_dollars": None}
    return _haul(_with_road(asked, offers), working, on=today())


def _how_much(request: HttpRequest, page: LotPage) -> Fraction:
    """The part typed so far, else the whole lot: what the trips are counted for."""
    typed = request.POST if request.method == "POST" else request.GET
    try:
        return parse_cords(typed.get("cords", "")) or page.row.on_hand
    except InventoryError:
        return page.row.on_hand


def _with_road(cleaned: dict[str, Any], offers: tuple[HaulOffer, ...]) -> dict[str, Any]:
    """Miles and minutes as typed, else as the road to the chosen yard has them."""
    road = next((offer for offer in offers if offer.yard_id == cleaned["to_yard"]), None)
    if road is None or cleaned["miles"] is not None or cleaned["minutes"] is not None:
        return cleaned
    return {**cleaned, "miles": road.miles, "minutes": road.minutes}


def _haul(cleaned: dict[str, Any], known: tuple[RigRow, ...], *, on: date) -> Haul:
    """The cash typed, else half the miles loaded and half empty at the first rig's rates of the day."""
    cost, miles = cleaned["cost_dollars"], cleaned["miles"]
    rates = next((rate for rig in known for rate in rig.costs if rate.from_on <= on), None)
    if cost is None and miles and rates:
        cost = dollars(miles / 2 * (rates.loaded_mile + rates.empty_mile))
    return Haul(miles=miles, minutes=cleaned["minutes"], cost_dollars=cost or None)

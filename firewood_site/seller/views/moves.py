"""Wood carried between yards, with what the drive cost charged to it."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from firewood_site.access import found, seller_required
from firewood_site.clock import now, today
from firewood_site.seller.forms.stock import MoveForm
from inventory.core import InventoryError
from inventory.core.money import dollars
from inventory.selectors.lot import lot_page
from inventory.selectors.yards import yard_choices
from inventory.services.moves import Haul, move_wood
from inventory.services.parts import Lie
from routing.selectors.rigs import RigRow, rigs


@seller_required
def move(request: HttpRequest, code: str) -> HttpResponse:
    page = found(lot_page(code, today()), f"There is no lot {code}.")
    others = [(yard_id, name) for yard_id, name in yard_choices() if yard_id != page.row.yard_id]
    form = MoveForm(request.POST or None, yards=others)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        try:
            result = move_wood(
                code=code,
                to_yard_id=said["to_yard"],
                cords=said["cords"],
                haul=_haul(said, rigs(only_working=True), on=today()),
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
    context = {"page": page, "row": page.row, "form": form, "has_other": bool(others)}
    return render(request, "seller/stock/move.html", context, status=422 if form.errors else 200)


def _haul(said: dict[str, Any], known: tuple[RigRow, ...], *, on: date) -> Haul:
    """The cash typed, else half the miles loaded and half empty at the first rig's rates of the day."""
    cost, miles = said["cost_dollars"], said["miles"]
    rates = next((rate for rig in known for rate in rig.costs if rate.from_on <= on), None)
    if cost is None and miles and rates:
        cost = dollars(miles / 2 * (rates.loaded_mile + rates.empty_mile))
    return Haul(miles=miles, minutes=said["minutes"], cost_dollars=cost or None)

"""Open wood, the count on a past day, and a new lot."""

from decimal import Decimal

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import now, today
from firewood_site.seller.asked import day_asked
from firewood_site.seller.forms.stock import NewLotForm
from inventory.core import InventoryError
from inventory.selectors.figures import green_moisture, wood_choices
from inventory.selectors.stock import open_wood, stock_as_of
from inventory.selectors.yards import unit_choices, yard_choices
from inventory.services.lots import NewLot, open_lot


@seller_required
@require_safe
def stock(request: HttpRequest) -> HttpResponse:
    found = open_wood(today())
    oversold = [row for row in found.lots if row.is_oversold]
    bare = [row for row in found.lots if row.wants_cover]
    context = {"found": found, "oversold": oversold, "bare": bare}
    return render(request, "seller/stock/stock.html", context)


@seller_required
@require_safe
def stock_count(request: HttpRequest) -> HttpResponse:
    """What every lot held at the end of a day: for the January count."""
    on = day_asked(request.GET.get("on", "")) or today()
    rows = stock_as_of(on)
    total = sum(row.cords for row in rows)
    return render(request, "seller/stock/count.html", {"on": on, "rows": rows, "total": total})


@seller_required
def lot_new(request: HttpRequest) -> HttpResponse:
    yards = yard_choices()
    first = {"drying_from": today(), "cords": request.GET.get("cords", ""), "percent_1": 100, "wood_1": "fir"}
    form = NewLotForm(
        request.POST or None, initial=first, yards=yards, units=unit_choices(), woods=wood_choices()
    )
    if request.method == "POST" and form.is_valid():
        try:
            code = open_lot(
                lot=_new_lot(form.cleaned_data), on=today(), at=now(), who=request.user.get_username()
            )
        except (InventoryError, ValidationError) as error:
            form.add_error(None, error if isinstance(error, ValidationError) else str(error))
        else:
            messages.success(request, f"Lot {code} is open.")
            return redirect("lot", code=code)
    context = {"form": form, "has_yards": bool(yards)}
    return render(request, "seller/stock/lot_new.html", context, status=422 if form.errors else 200)


def _new_lot(said: dict) -> NewLot:
    names = set(NewLot.__dataclass_fields__) & set(said)
    fields = {name: said[name] for name in names if said[name] not in (None, "")}
    mix = said["mix"]
    if not said.get("start_moisture_pct"):
        green = sum(green_moisture(key) * float(share) / 100 for key, share in mix.items())
        fields["start_moisture_pct"] = Decimal(str(round(green, 1)))
    return NewLot(
        **{**fields, "yard_id": said["yard"], "unit_id": said.get("unit"), "mix": mix, "cords": said["cords"]}
    )

"""All wood in hand, and a new lot."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import now, today
from firewood_site.parts import page_or_part
from firewood_site.refusals import refusals
from firewood_site.seller.forms.stock import NewLotForm
from firewood_site.seller.query_values import day_of_query
from firewood_site.seller.views.measure import TakenAlong, taken_along
from inventory.selectors import readiness as selectors
from inventory.selectors.figures import wood_choices
from inventory.selectors.stock import open_wood, stock_as_of
from inventory.selectors.yards import unit_choices, yard_choices
from inventory.services.lots import NewLot, open_lot
from inventory.services.measures import open_measured
from orders.selectors.on_sale import sellable_today
from orders.selectors.shortfalls import short_lots
from orders.selectors.spoken_for import spoken_for


@seller_required
@require_safe
def stock(request: HttpRequest) -> HttpResponse:
    """All wood: what is open, when it is dry and may be called so, and what was there on a past day."""
    on = today()
    ready = selectors.readiness(on, href=lambda code: reverse("lot", args=[code]))
    by = max(day_of_query(request.GET.get("by", "")) or ready.first_rain, on)
    lines = selectors.honest_dry_on(by, on=on)
    found = open_wood(on)
    counted_on = day_of_query(request.GET.get("on", ""))
    context = {
        "found": found,
        "short": short_lots(on),
        "on_sale": sellable_today(on, spoken=spoken_for(now())),
        "bare": [row for row in found.lots if row.wants_cover],
        "ready": ready,
        "by": by,
        "lines": lines,
        "sums": selectors.honest_sums(lines),
        "counted_on": counted_on,
        "count_on": counted_on or on,
        "count": stock_as_of(counted_on or on),
    }
    return page_or_part(request, "seller/stock/stock.html", "honest", context)


@seller_required
def lot_new(request: HttpRequest) -> HttpResponse:
    yards = yard_choices()
    query = (request.POST if request.method == "POST" else request.GET).get("measured", "")
    along = taken_along(query) if query else None
    first = {"drying_from": today(), "percent_1": 100, "wood_1": "fir", **_lies(along)}
    form = NewLotForm(
        request.POST or None, initial=first, yards=yards, units=unit_choices(), woods=wood_choices()
    )
    if request.method == "POST" and form.is_valid():
        told: dict[str, Any] = {"at": now(), "who": request.user.get_username()}
        lot = _new_lot(form.cleaned_data)
        with refusals(form):
            if along is None:
                code = open_lot(lot=lot, on=today(), **told)
            else:
                code = open_measured(lot=lot, measured=along.measured, note=along.note, on=along.on, **told)
            messages.success(request, f"Lot {code} is open.")
            return redirect("lot", code=code)
    context = {"form": form, "has_yards": bool(yards), "along": along, "query": query}
    return render(request, "seller/stock/lot_new.html", context, status=422 if form.errors else 200)


def _lies(along: TakenAlong | None) -> dict[str, Any]:
    """What a measured heap says of the lot it begins."""
    if along is None:
        return {}
    form = {"splits_24": "splits", "stacked": "splits"}.get(along.measured.form, along.measured.form)
    piling = {"stack": "stacked", "trailer": "loose", "windrow": "heaped", "cone": "heaped"}
    return {
        "cords": f"{float(along.cords[1]):.2f}",
        "form": form,
        "wood": "logs" if form == "logs" else "fir",
        "piling": piling.get(along.measured.shape, "decked"),
    }


def _new_lot(cleaned: dict) -> NewLot:
    names = set(NewLot.__dataclass_fields__) & set(cleaned)
    fields = {name: cleaned[name] for name in names if cleaned[name] not in (None, "")}
    mix = cleaned["mix"]
    fields.setdefault("start_moisture_pct", None)
    return NewLot(
        **{
            **fields,
            "yard_id": cleaned["yard"],
            "unit_id": cleaned.get("unit"),
            "mix": mix,
            "cords": cleaned["cords"],
        }
    )

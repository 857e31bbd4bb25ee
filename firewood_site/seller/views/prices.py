"""The price sheet: what holds today, and a new one from a date on."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import now, today
from firewood_site.seller.forms.orders import SheetForm
from inventory.selectors.business import business
from orders.core import OrdersError
from orders.core.places import cautions_on, place_rule
from orders.core.sheets import PriceSheet
from orders.selectors import prices as tariff
from orders.services.prices import TERMS, PriceLine, save_sheet

WOODS = ("fir", "hardwood", "mixed")
DRYNESS = ("seasoned", "green")
FRACTIONS = ("3/4", "2/3", "1/2", "1/3", "1/4")


@seller_required
@require_safe
def prices(request: HttpRequest) -> HttpResponse:
    """The sheet that holds, in full, and those before and after it."""
    on = today()
    asked = request.GET.get("sheet", "")
    shown = tariff.sheet_by_id(int(asked)) if asked.isdigit() else tariff.sheet_in_force(on)
    context = {
        "shown": shown,
        "table": tariff.price_table(shown.sheet) if shown else (),
        "uplifts": [(up.cords, up.share * 100) for up in shown.sheet.uplifts] if shown else [],
        "sheets": tariff.sheets(on),
        "rule": place_rule(business().place_key),
        "cautions": cautions_on("price_sheet"),
    }
    return render(request, "seller/orders/prices.html", context)


@seller_required
def new_sheet(request: HttpRequest) -> HttpResponse:
    """Copy today's sheet, change it, let it hold from a day on."""
    on = today()
    current = tariff.sheet_in_force(on)
    lines = [
        (f"price-{terms.key}-{wood}-{dryness}", f"{terms.name}: {dryness} {wood}")
        for terms in tariff.markets()
        for wood in WOODS
        for dryness in DRYNESS
    ]
    sizes = [(f"size-{size.replace('/', '_')}", f"{size} cord") for size in FRACTIONS]
    initial = _initial(current.sheet, on) if current else {"from_on": on, "tax_on": "none", "tax_pct": 0}
    form = SheetForm(request.POST or None, initial=initial, lines=lines, sizes=sizes)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        try:
            save_sheet(
                from_on=said["from_on"],
                terms={name: said[name] for name in TERMS},
                lines=tuple(_line(name, said[name]) for name in form.line_names),
                uplifts={
                    _size(name): (said[name] or Decimal(0)) / 100
                    for name in form.size_names
                    if said[name] is not None
                }
                | {Fraction(1): Decimal(0)},
                on=on,
                at=now(),
                who=request.user.get_username(),
            )
            messages.success(request, f"These prices hold from {said['from_on']}.")
            return redirect("prices")
        except OrdersError as refusal:
            form.add_error(None, str(refusal))
        except ValidationError as refusal:
            form.add_error(None, "; ".join(refusal.messages))
    groups = [
        ("Prices a cord", [form[name] for name in form.line_names]),
        ("Smaller amounts cost more by the cord", [form[name] for name in form.size_names]),
    ]
    status = 422 if form.is_bound and form.errors else 200
    context = {"form": form, "groups": groups, "terms": [form[name] for name in TERMS]}
    return render(request, "seller/orders/new_sheet.html", context, status=status)


def _initial(sheet: PriceSheet, on: date) -> dict[str, Any]:
    filled: dict[str, Any] = {
        name: getattr(sheet, name) for name in TERMS if hasattr(sheet, name) and name != "note"
    }
    filled["from_on"] = on + timedelta(days=1)
    filled["tax_pct"] = sheet.tax.percent
    filled["tax_on"] = "all" if sheet.tax.on_delivery else "wood" if sheet.tax.on_wood else "none"
    for price in sheet.cord_prices:
        filled[f"price-{price.market}-{price.wood}-{price.dryness}"] = price.dollars
    for uplift in sheet.uplifts:
        filled[f"size-{str(uplift.cords).replace('/', '_')}"] = f"{(uplift.share * 100).normalize():f}"
    return filled


def _line(name: str, dollars: Decimal | None) -> PriceLine:
    _price, market, wood, dryness = name.split("-")
    return PriceLine(market=market, wood=wood, dryness=dryness, dollars=dollars)


def _size(name: str) -> Fraction:
    return Fraction(name.removeprefix("size-").replace("_", "/"))

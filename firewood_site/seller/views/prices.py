"""The price sheet: what holds today, and a new one from a date on."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import signed, today
from firewood_site.refusals import refusals
from firewood_site.seller.forms.orders import PRICED_AS, SheetForm
from firewood_site.seller.price_example import PriceExample, example_of
from firewood_site.seller.query_values import row_of_query
from firewood_site.templatetags.firewood import long_day
from firewood_site.templatetags.selling import dry_name
from inventory.core.local import local
from inventory.core.units import by_the_unit, cord_units, cords_of_m3, format_cords
from inventory.core.woods import SPLIT_WOODS, Wood
from inventory.selectors.business import business
from orders.core.first_prices import first_cord_prices
from orders.core.places import cautions_on, place_rule
from orders.core.sheets import TERMS, CordPrice, MarketTerms, PriceSheet, usual_uplifts
from orders.selectors import prices as tariff
from orders.services.prices import COLUMNS, save_sheet

BETWEEN = (Fraction(11, 12), Fraction(5, 6), Fraction(7, 12), Fraction(5, 12))  # priced between listed ones
DRYNESS = ("seasoned", "green")
NEW_SHEET = "seller/orders/new_sheet.html"


@seller_required
@require_safe
def prices(request: HttpRequest) -> HttpResponse:
    """The sheet that holds, in full, and those before and after it."""
    on = today()
    asked = row_of_query(request.GET.get("sheet", ""))
    shown = tariff.sheet_by_id(asked) if asked else tariff.sheet_in_force(on)
    rule = place_rule(business().place_key)
    context = {
        "shown": shown,
        "terms": [(term, getattr(shown.sheet, name)) for name, term in TERMS.items()] if shown else [],
        "table": tariff.price_table(shown.sheet, also=_between(shown.sheet)) if shown else (),
        "uplifts": [(up.cords, up.share * 100) for up in shown.sheet.uplifts] if shown else [],
        "sheets": tariff.sheets(on),
        "rule": rule,
        "cautions": [
            one for one in cautions_on("price_sheet") if not (one.topic == "full_cord" and rule.is_metric)
        ],
    }
    return render(request, "seller/orders/prices.html", context)


@seller_required
def new_sheet(request: HttpRequest) -> HttpResponse:
    """Copy today's sheet, change it, let it hold from a day on."""
    on = today()
    current = tariff.sheet_in_force(on)
    markets = tariff.markets()
    lines = [
        (f"price-{terms.key}-{wood}-{dryness}", f"{dry_name(dryness).capitalize()} {wood}, a cord ($)")
        for terms in markets
        for wood in SPLIT_WOODS
        for dryness in DRYNESS
    ]
    known = {uplift.cords for uplift in current.sheet.uplifts} if current else set()
    if current is None or current.sheet.is_by_m3 == local().is_metric:
        known |= {*usual_uplifts()}
    sizes = [
        (_size_name(cords), format_cords(cords)) for cords in sorted(known - {Fraction(1)}, reverse=True)
    ]
    initial = _initial(current.sheet, on) if current else _usual(on, markets)
    form = SheetForm(request.POST or None, initial=initial, lines=lines, sizes=sizes)
    if request.htmx or "look" in request.POST:  # type: ignore[attr-defined]  # a price was typed
        return render(request, f"{NEW_SHEET}#example", {"example": _example(form, on)})
    if request.method == "POST" and form.is_valid():
        cleaned = form.cleaned_data
        with refusals(form):
            save_sheet(
                from_on=cleaned["from_on"],
                terms={name: cleaned[name] for name in COLUMNS},
                lines=[_line(name, cleaned[name]) for name in form.line_names if cleaned[name] is not None],
                uplifts={
                    _size(name): (cleaned[name] or Decimal(0)) / 100
                    for name in form.size_names
                    if cleaned[name] is not None
                }
                | {Fraction(1): Decimal(0)},
                on=on,
                **signed(request),
            )
            messages.success(request, f"These prices hold from {long_day(cleaned['from_on'])}.")
            return redirect("prices")
    groups = [
        (terms.name, [form[name] for name in form.line_names if name.startswith(f"price-{terms.key}-")])
        for terms in markets
    ]
    if groups:
        groups.append(("Logs and kindling", [form[name] for name in form.EVERYWHERE]))
    status = 422 if form.is_bound and form.errors else 200
    context = {
        "form": form,
        "groups": groups,
        "sizes": [form[name] for name in form.size_names],
        "terms": [form[name] for name in form.term_names],
        "example": _example(form, on),
        "is_first": current is None,
        "wrong": [name for name in (*form.size_names, *form.term_names) if name in form.errors],
    }
    return render(request, NEW_SHEET, context, status=status)


def _example(form: SheetForm, on: date) -> PriceExample | None:
    return example_of(form, on=on, size=_size, line=_sold)


def _usual(on: date, markets: tuple[MarketTerms, ...]) -> dict[str, Any]:
    """What a first sheet starts from: usual terms, and fir near home at what pays its hours."""
    shares = {_size_name(cords): f"{(share * 100).normalize():f}" for cords, share in usual_uplifts().items()}
    seller = business()
    dry, green = first_cord_prices(
        hours_per_cord=seller.production_hours_per_cord,
        cash_per_cord=seller.production_cash_per_cord,
        wage=seller.target_wage,
    )
    near = next((terms.key for terms in markets if not terms.is_far), "")
    cords = {f"price-{near}-{Wood.FIR}-seasoned": dry, f"price-{near}-{Wood.FIR}-green": green}
    usual = tariff.usual_terms()
    if local().is_metric:
        cords = {name: _whole_here(rate) for name, rate in cords.items()}
        usual |= {name: _whole_here(usual[name]) for name, term in TERMS.items() if term.is_by_wood}
        usual |= {name: Decimal(round(usual[name] / 5) * 5) for name in ("free_miles", "longest_miles")}
        usual["per_mile"] = round(usual["per_mile"], 1)
    return {"from_on": on, **usual, **_as_asked(usual), **shares, **cords}


def _whole_here(rate: Decimal) -> Decimal:
    """A rate by the cord that is whole by the unit of the place."""
    return round(by_the_unit(rate)) * cord_units()


def _as_asked(terms: dict[str, Any]) -> dict[str, Any]:
    """What the form asks otherwise than the sheet keeps it."""
    return {
        "deposit_again_pct": 0 if terms["deposit_new_customers_only"] else terms["deposit_pct"],
        "tax_drive_pct": terms["tax_pct"] if terms["tax_on"] == "all" else 0,
    } | {asked: terms[name] for name, asked in PRICED_AS.items()}


def _initial(sheet: PriceSheet, on: date) -> dict[str, Any]:
    filled: dict[str, Any] = {name: getattr(sheet, name) for name in TERMS}
    filled["from_on"] = on + timedelta(days=1)
    filled["tax_pct"] = sheet.tax.percent
    filled["tax_on"] = "all" if sheet.tax.on_delivery else "wood" if sheet.tax.on_wood else "none"
    filled |= _as_asked(filled)
    for price in sheet.cord_prices:
        filled[f"price-{price.market}-{price.wood}-{price.dryness}"] = price.dollars
    for uplift in sheet.uplifts:
        filled[_size_name(uplift.cords)] = f"{(uplift.share * 100).normalize():f}"
    return filled


def _sold(name: str) -> tuple[str, str, str]:
    """Market, wood and dryness of a field of the form."""
    market, wood, dryness = name.removeprefix("price-").rsplit("-", 2)
    return market, wood, dryness


def _line(name: str, dollars: Decimal) -> CordPrice:
    market, wood, dryness = _sold(name)
    return CordPrice(market=market, wood=wood, dryness=dryness, dollars=dollars)


def _between(sheet: PriceSheet) -> tuple[Fraction, ...]:
    """Some amounts that have no line of their own, priced between those that do."""
    return tuple(cords_of_m3(Fraction(halves, 2)) for halves in (7, 5, 3)) if sheet.is_by_m3 else BETWEEN


def _size_name(cords: Fraction | str) -> str:
    return f"size-{str(cords).replace('/', '_')}"


def _size(name: str) -> Fraction:
    return Fraction(name.removeprefix("size-").replace("_", "/"))

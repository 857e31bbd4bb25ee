"""Yards and their air, and the ground the wood is cut on."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import now, today
from firewood_site.photos import photos_about
from firewood_site.seller.forms.ground import AirForm, PhotoForm, UnitForm, YardForm
from firewood_site.seller.posted import posted
from inventory.core import InventoryError
from inventory.core.climate import Climate, cities, climate_from_csv, own_climate, steady_climate
from inventory.selectors import yards as selectors
from inventory.services.yards import save_unit, save_yard, set_climate
from orders.core.places import cautions_on

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
LONGEST_FILE = 2_000_000


@seller_required
@require_safe
def yards(request: HttpRequest) -> HttpResponse:
    return render(request, "seller/stock/yards.html", {"yards": selectors.yards()})


@seller_required
def yard(request: HttpRequest, yard_id: int | None = None) -> HttpResponse:
    page = None if yard_id is None else found(selectors.yard_page(yard_id), "There is no such yard.")
    form = YardForm(request.POST or None, initial=_yard_values(page))
    if request.method == "POST" and form.is_valid():
        try:
            saved = save_yard(
                yard_id=yard_id, values=form.cleaned_data, at=now(), who=request.user.get_username()
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, "Saved.")
            return redirect("yard", yard_id=saved)
    return _yard_page(request, page, form, AirForm(cities=cities()))


@seller_required
@posted
def yard_air(request: HttpRequest, yard_id: int) -> HttpResponse:
    page = found(selectors.yard_page(yard_id), "There is no such yard.")
    form = AirForm(request.POST, request.FILES, cities=cities())
    if form.is_valid():
        try:
            climate = _climate(form)
            set_climate(
                yard_id=yard_id,
                climate=climate,
                city=form.cleaned_data["city"],
                at=now(),
                who=request.user.get_username(),
            )
        except InventoryError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "The yard's air is set. Every forecast here follows it.")
            return redirect("yard", yard_id=yard_id)
    return _yard_page(request, page, YardForm(initial=_yard_values(page)), form)


@seller_required
@require_safe
def units(request: HttpRequest) -> HttpResponse:
    return render(request, "seller/stock/units.html", {"units": selectors.units()})


@seller_required
def unit(request: HttpRequest, unit_id: int | None = None) -> HttpResponse:
    page = None if unit_id is None else found(selectors.unit_page(unit_id), "There is no such ground.")
    form = UnitForm(request.POST or None, initial=page.values if page else None)
    if request.method == "POST" and form.is_valid():
        try:
            save_unit(unit_id=unit_id, values=form.cleaned_data, at=now(), who=request.user.get_username())
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, "Saved.")
            return redirect("units")
    context = {
        "form": form,
        "page": page,
        "cautions": cautions_on("unit"),
        "photos": photos_about(f"unit {page.row.name}") if page else (),
        "photo_form": PhotoForm(initial={"taken_on": today()}),
    }
    return render(request, "seller/stock/unit.html", context, status=422 if form.errors else 200)


def _yard_values(page: selectors.YardPage | None) -> dict | None:
    if page is None:
        return None
    room = page.row.room_cords
    return {**page.values, "room_cords": "" if room is None else f"{float(room):g}"}


def _yard_page(
    request: HttpRequest, page: selectors.YardPage | None, form: YardForm, air: AirForm
) -> HttpResponse:
    months = tuple(zip(MONTHS, page.climate.emc_pct, strict=True)) if page else ()
    context = {"form": form, "air": air, "page": page, "months": months}
    status = 422 if form.errors or air.errors else 200
    return render(request, "seller/stock/yard.html", context, status=status)


def _climate(form: AirForm) -> Climate:
    """The air asked for; a city's own is looked up by the service."""
    said = form.cleaned_data
    if said["months"]:
        return own_climate(said["months"])
    if said["file"]:
        text = said["file"].read(LONGEST_FILE).decode("utf-8", errors="replace")
        return climate_from_csv(text, name=said["file"].name)
    return steady_climate()

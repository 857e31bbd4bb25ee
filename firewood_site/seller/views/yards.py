"""Yards and their weather, and the ground the wood is cut on."""

from pathlib import PurePath
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import now, signed, today
from firewood_site.refusals import refusals
from firewood_site.seller.forms.ground import PhotoForm, UnitForm, WeatherForm, YardForm
from firewood_site.seller.ground_tasks import before_and_after
from firewood_site.seller.post_only import post_only
from inventory.core.stand import source_of_trees
from inventory.selectors import yards as selectors
from inventory.selectors.photos import photos_about
from inventory.services.weather import load_weather, set_weather
from inventory.services.yards import save_unit, save_yard
from orders.core.places import cautions_on
from routing.selectors.roads.current import roads_now

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
LONGEST_FILE = 8_000_000


@seller_required
@require_safe
def yards(request: HttpRequest) -> HttpResponse:
    return render(request, "seller/stock/yards.html", {"yards": selectors.yards()})


@seller_required
def yard(request: HttpRequest, yard_id: int | None = None) -> HttpResponse:
    page = None if yard_id is None else found(selectors.yard_page(yard_id), "There is no such yard.")
    form = YardForm(request.POST or None, initial=_yard_values(page))
    if request.method == "POST" and form.is_valid():
        with refusals(form):
            saved = save_yard(yard_id=yard_id, values=form.cleaned_data, **signed(request))
            where = f" It lies at {form.found.label}." if form.found else ""
            messages.success(request, f"Saved.{where}")
            return redirect("yard", yard_id=saved)
    return _yard_page(request, page, form, _weather_form(page))


@seller_required
@post_only
def yard_weather(request: HttpRequest, yard_id: int) -> HttpResponse:
    page = found(selectors.yard_page(yard_id), "There is no such yard.")
    form = _weather_form(page, request.POST, request.FILES)
    if form.is_valid():
        with refusals(form):
            notes = _set_weather(yard_id, form.cleaned_data, request.user.get_username())
            told = ["The yard's weather is set. Every forecast here follows it.", *notes]
            messages.success(request, " ".join(told))
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
        with refusals(form):
            save_unit(unit_id=unit_id, values=form.cleaned_data, **signed(request))
            messages.success(request, "Saved.")
            return redirect("units")
    context = {
        "form": form,
        "page": page,
        "counted": page.counted if page else None,
        "tree_source": source_of_trees(),
        "cautions": cautions_on("unit"),
        "slash_cautions": cautions_on("slash"),
        **(before_and_after(page.row.unit_id, page.row.name) if page else {}),
        "photos": photos_about(f"unit {page.row.name}") if page else (),
        "photo_form": PhotoForm(initial={"on": today()}),
    }
    return render(request, "seller/stock/unit.html", context, status=422 if form.errors else 200)


def _yard_values(page: selectors.YardPage | None) -> dict | None:
    if page is None:
        return None
    room = page.row.room_cords
    return {**page.values, "room_cords": "" if room is None else f"{float(room):g}"}


def _weather_form(page: selectors.YardPage | None, *posted: Any) -> WeatherForm:
    stations = [(row.station_id, row.name) for row in page.stations] if page else []
    return WeatherForm(*posted, cities=page.cities if page else (), stations=stations)


def _yard_page(
    request: HttpRequest, page: selectors.YardPage | None, form: YardForm, weather: WeatherForm
) -> HttpResponse:
    months = tuple(zip(MONTHS, page.air_pct, strict=True)) if page else ()
    context = {
        "form": form,
        "weather": weather,
        "page": page,
        "months": months,
        "has_map": not roads_now().is_estimate,
    }
    status = 422 if form.errors or weather.errors else 200
    return render(request, "seller/stock/yard.html", context, status=status)


def _set_weather(yard_id: int, cleaned: dict[str, Any], who: str) -> tuple[str, ...]:
    """The weather asked for; what a file left out, as sentences."""
    told: dict[str, Any] = {"yard_id": yard_id, "at": now(), "who": who}
    if cleaned["file"]:
        text = cleaned["file"].read(LONGEST_FILE).decode("utf-8", errors="replace")
        name = PurePath(cleaned["file"].name).stem.replace("_", " ")
        return load_weather(text=text, name=name, station_id=cleaned["station"], on=today(), **told)
    set_weather(city=cleaned["city"], emc_pct=cleaned["months"], station_id=cleaned["station"], **told)
    return ()

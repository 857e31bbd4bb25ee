"""What a seller says once, on one page: each part with its rows, its form and its own address."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from firewood_site import people
from firewood_site.access import found, seller_required
from firewood_site.body_limit import takes_maps
from firewood_site.clock import signed, today
from firewood_site.refusals import refusals
from firewood_site.seller.first_start import blocking, set_up_part
from firewood_site.seller.forms import set_up as asked
from firewood_site.seller.post_only import post_only
from firewood_site.seller.steps import step
from firewood_site.seller.town_picker import town_map, towns_to_pick
from inventory.selectors.stock import open_wood
from orders.selectors import prices
from orders.services import markets
from routing.selectors.earned.worth import months_brought
from routing.selectors.roads.current import place_names, posted_roads, roads_now
from routing.selectors.roads.loading import road_load
from routing.services import road_marks, seasons
from routing.services.road_loads import ask_for_roads, keep_upload
from routing.tasks import load_roads_in_background

TOWN_PARTS = ("town", "towns", "market")


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of the page: its form, and what saving and removing do; a saving may have words to say."""

    form: Callable[..., forms.Form]
    save: Callable[..., str | None]
    remove: Callable[..., None] | None = None


@seller_required
@require_safe
def set_up(request: HttpRequest) -> HttpResponse:
    return _page(request, part=request.GET.get("part", ""))


@seller_required
@require_safe
def roads_progress(request: HttpRequest) -> HttpResponse:
    """How far the loading of a map is; the page asks again while it runs."""
    if not getattr(request, "htmx", False):
        return redirect(set_up_part("roads"))
    context = {"loading": road_load(at=timezone.now()), "roads": roads_now()}
    return render(request, "seller/money/roads.html#loading", context)


@takes_maps
@seller_required
@post_only
def add(request: HttpRequest, part: str) -> HttpResponse:
    """Take one part's form; the page again with its mistakes."""
    chosen = found(_parts().get(part))
    form = chosen.form(request.POST, request.FILES, auto_id=f"{part}-%s")
    if form.is_valid():
        with refusals(form):
            told = chosen.save(form, **signed(request))
            messages.success(request, told or "Saved.")
            return redirect(set_up_part(part))
    return _page(request, part=part, form=form)


def _refused(request: HttpRequest, sentence: str, *, part: str = "person", **_more: Any) -> HttpResponse:
    messages.error(request, sentence)
    return redirect(set_up_part(part))


@step(_refused)
def remove(request: HttpRequest, part: str, row_id: int) -> HttpResponse:
    chosen = found(_parts().get(part))
    found(chosen.remove)(row_id, **signed(request))
    messages.success(request, "Removed.")
    return redirect(set_up_part(part))


@step(_refused)
def role(request: HttpRequest, user_id: int) -> HttpResponse:
    """What somebody may do from now on."""
    people.set_role(user_id=user_id, role=request.POST.get("role", ""), **signed(request))
    messages.success(request, "Saved.")
    return redirect(set_up_part("person"))


@step(_refused)
def invite(request: HttpRequest, user_id: int) -> HttpResponse:
    """A link to send, or a code to read aloud, for somebody to sign in with. Shown once."""
    return _page(request, part="person", invitation=people.invite(user_id=user_id, **signed(request)))


def _parts() -> dict[str, Part]:
    return {
        "town": Part(
            form=partial(asked.TownForm, markets=_markets()),
            save=_save_town,
            remove=lambda row, **by: markets.remove_town(town_id=row, **by),
        ),
        "towns": Part(
            form=partial(asked.PickedTownsForm, markets=_markets(), towns=towns_to_pick(prices.towns())),
            save=_save_picked,
        ),
        "market": Part(form=asked.MarketForm, save=_as_filled_in(markets.save_market)),
        "way": Part(
            form=asked.WayForm,
            save=_as_filled_in(markets.offer_way_to_pay),
            remove=lambda row, **by: markets.stop_way_to_pay(way_id=row, **by),
        ),
        "person": Part(form=asked.PersonForm, save=_save_person),
        "limit": Part(
            form=asked.LimitForm,
            save=_as_filled_in(road_marks.post_limit),
            remove=lambda row, **by: road_marks.forget_limit(limit_id=row, **by),
        ),
        "roads": Part(form=asked.RoadsForm, save=_save_roads),
        "month": Part(
            form=asked.MonthsForm,
            save=_save_months,
            remove=lambda row, **by: seasons.forget_month(month_id=row, **by),
        ),
    }


def _as_filled_in(service: Callable[..., object]) -> Callable[..., None]:
    """A saving whose form asks just what the service takes."""

    def save(form: forms.Form, **by: Any) -> None:
        service(**form.cleaned_data, **by)

    return save


def _page(
    request: HttpRequest,
    *,
    part: str = "",
    form: forms.Form | None = None,
    invitation: people.Invitation | None = None,
) -> HttpResponse:
    on = today()
    filled = {
        name: form if form and name == part else entry.form(auto_id=f"{name}-%s")
        for name, entry in _parts().items()
    }
    pickable = towns_to_pick(prices.towns())
    context = {
        "pickable": pickable,
        "town_map": town_map(pickable) if part in TOWN_PARTS else "",
        "blocking": tuple(blocking(on, open_wood(on))),
        "forms": filled,
        "part": part,
        "towns": prices.towns(),
        "markets": prices.markets(),
        "ways": [way for way in prices.ways_kept() if way.is_offered],
        "people": people.people(),
        "invitation": invitation,
        "roles": [*asked.ROLES, ("none", "can't sign in to anything")],
        "limits": posted_roads(),
        "months": months_brought(),
        "places": place_names(),
        "roads": roads_now(),
        "loading": road_load(at=timezone.now()),
    }
    return render(request, "seller/money/set_up.html", context, status=422 if form else 200)


def _markets() -> list[tuple[str, str]]:
    """Markets to choose from; near and far are there before their first town."""
    kept = [(terms.key, terms.name) for terms in prices.markets()]
    first = [(key, str(usual["name"])) for key, usual in markets.FIRST_MARKETS.items()]
    return kept + [(key, name) for key, name in first if key not in dict(kept)]


def _save_town(form: asked.TownForm, **by: Any) -> str:
    cleaned = form.cleaned_data
    name = cleaned["name"] if form.found is None else form.found.label.split(",")[0]
    told = {key: cleaned[key] for key in ("lat", "lon", "market", "hop_miles")}
    markets.save_town(name=name, **told, **by)
    return f"You sell to {name}."


def _save_picked(form: asked.PickedTownsForm, **by: Any) -> str:
    picked = [town for town in towns_to_pick(prices.towns()) if town.name in form.cleaned_data["name"]]
    for town in picked:
        markets.save_town(
            name=town.name, lat=town.lat, lon=town.lon, market=form.cleaned_data["market"], **by
        )
    return f"You sell to {', '.join(town.name for town in picked)}."


def _save_person(form: forms.Form, **by: Any) -> str:
    first = people.add_person(**form.cleaned_data, **by)
    return f"{form.cleaned_data['name']} signs in with {first} and then sets their own."


def _save_roads(form: forms.Form, **by: Any) -> str:
    sent, typed = form.cleaned_data["file"], form.cleaned_data["path"].strip()
    file = keep_upload(chunks=sent.chunks(), name=sent.name, size=sent.size) if sent else Path(typed)
    name = sent.name if sent else file.name
    load_roads_in_background.enqueue(ask_for_roads(file=file, name=name, is_upload=bool(sent), **by))
    return "The roads are being loaded. Go on meanwhile: drives are estimates until it is done."


def _save_months(form: forms.Form, **by: Any) -> str:
    months = form.cleaned_data["months"]
    seasons.bring_forward(months=months, **by)
    return f"{len(months)} month{'s'[: len(months) - 1]} kept."

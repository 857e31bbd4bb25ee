"""Woods against each other, and every figure behind the pages with where it was read."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import signed, today
from firewood_site.parts import page_or_part
from firewood_site.refusals import refusals
from firewood_site.seller.forms.ground import CompareForm, SpeciesForm, both_names
from firewood_site.seller.post_only import post_only
from inventory.selectors.figures import (
    WoodValues,
    climate_sources,
    compare,
    other_figures,
    wood_choices,
    wood_rows,
    wood_values,
)
from inventory.services.species import drop_species, save_species


@seller_required
@require_safe
def species(request: HttpRequest) -> HttpResponse:
    first = {"wood_1": "oak", "wood_2": "fir", "price_1": "350", "price_2": "260"}
    first |= {"pct_1": "20", "pct_2": "20", "stove_1": "70", "stove_2": "70"}
    form = CompareForm({**first, **request.GET.dict()}, woods=wood_choices())
    answer = None
    if form.is_valid():
        cleaned = form.cleaned_data
        rows = {"one": 1, "other": 2}
        percents = {
            f"{name}_pct": float(cleaned[f"pct_{row}"]) for name, row in rows.items() if cleaned[f"pct_{row}"]
        }
        stoves = {
            f"{name}_stove": float(cleaned[f"stove_{row}"]) / 100
            for name, row in rows.items()
            if cleaned[f"stove_{row}"]
        }
        answer = compare(
            cleaned["wood_1"],
            cleaned["wood_2"],
            one_price=cleaned["price_1"],
            other_price=cleaned["price_2"],
            **percents,
            **stoves,
        )
    context = {
        "form": form,
        "answer": answer,
        "woods": wood_rows(),
        "others": other_figures(),
        "climates": climate_sources(),
    }
    return page_or_part(request, "seller/stock/species.html", "answer", context)


@seller_required
@require_http_methods(["GET", "HEAD", "POST"])
def species_own(request: HttpRequest, key: str = "") -> HttpResponse:
    """A wood the tables leave out, or a published one put right."""
    known = found(wood_values(key), "There are no figures for this wood.") if key else None
    form = SpeciesForm(request.POST or None, initial=known.values if known else None)
    if request.method == "POST" and form.is_valid():
        with refusals(form):
            save_species(key=key, values=form.cleaned_data, on=today(), **signed(request))
            messages.success(request, f"Saved. {form.cleaned_data['name']} counts with these figures now.")
            return redirect("species")
    return _own_page(request, form, known)


@seller_required
@post_only
def species_drop(request: HttpRequest, key: str) -> HttpResponse:
    """Back to the published figures."""
    known = found(wood_values(key), "There are no figures for this wood.")
    with refusals() as refused:
        drop_species(key=key, **signed(request))
    if refused:
        form = SpeciesForm({**known.values, "name": both_names(known.values)})
        form.add_error(None, refused.text)
        return _own_page(request, form, known)
    messages.success(request, "Done. The published figures count.")
    return redirect("species")


def _own_page(request: HttpRequest, form: SpeciesForm, known: WoodValues | None) -> HttpResponse:
    context: dict[str, Any] = {"form": form, "title": known.name if known else "A wood of your own"}
    if known:
        context |= {"key": known.key, "is_own": known.is_own, "is_published": known.is_published}
    return render(request, "seller/stock/species_own.html", context, status=422 if form.errors else 200)

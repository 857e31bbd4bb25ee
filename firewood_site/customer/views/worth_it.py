"""Worth it? A page for anybody who stands before wood: no log-in, and nothing is kept."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from firewood_site.customer.worth_it import (
    Answer,
    WorthForm,
    answer,
    band,
    cords_range,
    drawn,
    per_hour_range,
    pounds_range,
)
from firewood_site.languages import in_their_language
from firewood_site.refusals import refusals
from inventory.selectors.business import business

FIRST = {
    "fill": "heaped", "box": "trailer_6x12", "feet": 16, "form": "splits", "wood": "fir", "dry": "green",
}  # fmt: skip


@in_their_language
@require_safe
def worth_it(request: HttpRequest) -> HttpResponse:
    """The form, and the answer to what its address says."""
    form, found = _answered(request)
    context: dict[str, Any] = {
        "form": form,
        "found": found,
        "link": request.build_absolute_uri(),
        "query": request.GET.urlencode(),
    }
    if found:
        context |= {
            "cords": cords_range(found),
            "pounds": pounds_range(found),
            "per_hour": per_hour_range(found.worth),
            "band": band(found.worth),
        }
    return render(
        request, "customer/worth_it.html", context, status=422 if form.is_bound and not found else 200
    )


@in_their_language
@require_safe
def worth_it_picture(request: HttpRequest) -> HttpResponse:
    """The same answer as a picture to send."""
    form, found = _answered(request)
    if found is None:
        raise Http404("There is no answer to draw.")
    picture = drawn(found, fill=form.cleaned_data["fill"], seller=business().name)
    return HttpResponse(picture, content_type="image/svg+xml")


def _answered(request: HttpRequest) -> tuple[WorthForm, Answer | None]:
    form = WorthForm(request.GET if "fill" in request.GET else None, initial=FIRST)
    if form.is_valid():
        with refusals(form):
            return form, answer(form.cleaned_data)
    return form, None

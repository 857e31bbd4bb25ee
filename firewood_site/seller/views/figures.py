"""Woods against each other, and every figure behind the pages with where it was read."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.parts import page_or_part
from firewood_site.seller.forms.ground import CompareForm
from inventory.selectors.figures import (
    climate_sources,
    compare,
    other_figures,
    wood_choices,
    wood_rows,
)


@seller_required
@require_safe
def species(request: HttpRequest) -> HttpResponse:
    first = {"one": "oak", "other": "fir", "one_price": "350", "other_price": "260"}
    first |= {"one_pct": "20", "other_pct": "20", "one_stove": "70", "other_stove": "70"}
    form = CompareForm({**first, **request.GET.dict()}, woods=wood_choices())
    answer = None
    if form.is_valid():
        said = form.cleaned_data
        percents = {name: float(said[name]) for name in ("one_pct", "other_pct") if said[name]}
        stoves = {name: float(said[name]) / 100 for name in ("one_stove", "other_stove") if said[name]}
        answer = compare(
            said["one"],
            said["other"],
            one_price=said["one_price"],
            other_price=said["other_price"],
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

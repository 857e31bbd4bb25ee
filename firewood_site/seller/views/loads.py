"""The load sheet: one printable page for the cab."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.seller.views.days import date_of
from routing.selectors.days import day_view
from routing.selectors.run_maps import map_of_run


@seller_required
@require_safe
def load_sheet(request: HttpRequest, on: str) -> HttpResponse:
    """Every run of the day, load by load: what goes on first, weight, stops, map."""
    view = day_view(date_of(on))
    context = {"day": view, "runs": [(run, map_of_run(run)) for run in view.runs]}
    return render(request, "seller/days/load_sheet.html", context)

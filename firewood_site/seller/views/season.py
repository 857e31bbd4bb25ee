"""The season, month by month."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import today
from inventory.selectors.business import business
from routing.core.charts import months_chart
from routing.selectors.worth import season as season_of_books


@seller_required
@require_safe
def season(request: HttpRequest) -> HttpResponse:
    view = season_of_books(today(), request.GET.get("season", ""))
    wage = business().target_wage
    chart = ""
    if view.months:
        chart = mark_safe(
            months_chart([row.worth for row in view.months], key="season", title="Net by month")
        )
    context = {
        "view": view,
        "chart": chart,
        "wage": wage,
        "left": view.total.left_after_wages(wage) if view.total else None,
    }
    return render(request, "seller/money/season.html", context)

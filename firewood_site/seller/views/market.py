"""Haul it to the far market, or sell it here?"""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import today
from firewood_site.parts import page_or_part
from firewood_site.refusals import refusals
from firewood_site.seller.forms.earned import HaulForm
from inventory.core.woods import ENGLISH_NAMES
from orders.core.places import cautions_on
from routing.earned.charts import near_far_chart
from routing.selectors.earned.market import haul_view
from routing.selectors.earned.market_choices import market_choices


@seller_required
@require_safe
def haul(request: HttpRequest) -> HttpResponse:
    context: dict[str, Any] = {"cautions": cautions_on("haul")}
    with refusals() as missing:
        choices = market_choices(today())
    if missing:
        return page_or_part(request, "seller/money/haul.html", "answer", context | {"missing": missing.text})
    form = HaulForm(request.GET, choices, {str(key): name for key, name in ENGLISH_NAMES.items()})
    context |= {"form": form, "wage": choices.target_wage, "sheet_from": choices.sheet.from_on}
    if form.is_valid():
        with refusals(form):
            view = haul_view(form.ask(), on=today(), among=choices)
            chart = near_far_chart(view.answer, key="near-far")
            context |= {"view": view, "answer": view.answer, "chart": chart}
    status = 422 if form.errors else 200
    return page_or_part(request, "seller/money/haul.html", "answer", context, status=status)

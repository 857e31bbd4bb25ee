"""Haul it to the far market, or sell it here?"""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import today
from firewood_site.parts import page_or_part
from firewood_site.seller.forms.earned import HaulForm
from firewood_site.wood_words import WOODS
from orders.core import OrdersError
from orders.core.places import cautions_on
from routing.core import RoutingError
from routing.core.charts import near_far_chart
from routing.selectors.market import NothingToCompare, ground, haul_view


@seller_required
@require_safe
def haul(request: HttpRequest) -> HttpResponse:
    context: dict[str, Any] = {"cautions": cautions_on("haul")}
    try:
        choices = ground(today())
    except NothingToCompare as error:
        return page_or_part(request, "seller/money/haul.html", "answer", context | {"missing": str(error)})
    form = HaulForm(request.GET, choices, {key: str(name) for key, name in WOODS.items()})
    context |= {"form": form, "wage": choices.target_wage, "sheet_from": choices.sheet.from_on}
    if form.is_valid():
        try:
            view = haul_view(form.ask(), on=today(), among=choices)
        except (RoutingError, OrdersError) as error:
            form.add_error(None, str(error))
        else:
            chart = mark_safe(near_far_chart(view.answer, key="near-far"))
            context |= {"view": view, "answer": view.answer, "chart": chart}
    status = 422 if form.errors else 200
    return page_or_part(request, "seller/money/haul.html", "answer", context, status=status)

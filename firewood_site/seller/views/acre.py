"""What the ground earned."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from routing.core.charts import Band, ranges_chart
from routing.selectors.acre import AcreView, acre_view, unit_names


@seller_required
@require_safe
def acre_sheet(request: HttpRequest) -> HttpResponse:
    said = request.GET.get("unit", "")
    if not unit_names():
        return render(request, "seller/money/acre.html", {"view": None})
    view = found(acre_view(int(said) if said.isdecimal() else None), "There is no such piece of ground.")
    return render(request, "seller/money/acre.html", {"view": view, "chart": _chart(view)})


def _chart(view: AcreView) -> str:
    if view.wages is None:
        return ""
    low, middle, high = sorted(
        (view.wages.worst, view.wages.likely, view.wages.best)
    )  # a loss turns them round
    band = Band(label="With cost-share", low=low, middle=middle, high=high)
    return mark_safe(
        ranges_chart(
            [band], key="acre", title="Dollars an hour, by your low and high hours", target=view.target_wage
        )
    )

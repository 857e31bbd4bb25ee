"""What the ground earned."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import today
from firewood_site.seller.ground_tasks import before_and_after
from firewood_site.seller.query_values import row_of_query
from inventory.core.charts.bars import Band, ranges_chart
from inventory.core.charts.figure import Chart
from inventory.selectors.yards import unit_choices
from routing.selectors.earned.acre import AcreView, acre_view


@seller_required
@require_safe
def acre_sheet(request: HttpRequest) -> HttpResponse:
    unit = request.GET.get("unit", "")
    if not unit_choices():
        return render(request, "seller/money/acre.html", {"view": None})
    view = found(acre_view(row_of_query(unit) or None, on=today()), "There is no such piece of ground.")
    context = {
        "view": view,
        "asked": bool(unit),
        "is_next": bool(unit) and any(patch.ground.unit_id == view.unit.unit_id for patch in view.ahead),
        "chart": _chart(view),
        "hours_left": sum(step.likely for step in view.lying.to_come),
        "per_acre": float(view.cords_per_acre or 0),
        **before_and_after(view.unit.unit_id, view.unit.name),
    }
    return render(request, "seller/money/acre.html", context)


def _chart(view: AcreView) -> Chart | None:
    if view.wages is None:
        return None
    low, middle, high = sorted(
        (view.wages.worst, view.wages.likely, view.wages.best)
    )  # a loss turns them round
    band = Band(label="With cost-share", low=low, middle=middle, high=high)
    return ranges_chart(
        [band], key="acre", title="Dollars an hour, by your low and high hours", target=view.target_wage
    )

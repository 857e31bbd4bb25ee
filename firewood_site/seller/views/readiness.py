"""When every lot will be dry, and what may honestly be called dry on a date."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import today
from firewood_site.parts import page_or_part
from firewood_site.seller.asked import day_asked
from inventory.selectors import readiness as selectors


@seller_required
@require_safe
def readiness(request: HttpRequest) -> HttpResponse:
    on = today()
    found = selectors.readiness(on, href=lambda code: reverse("lot", args=[code]))
    by = day_asked(request.GET.get("by", "")) or found.first_rain
    lines = selectors.honest_dry_on(max(by, on), on=on)
    context = {
        "found": found,
        "sums": selectors.honest_sums(lines),
        "chart": mark_safe(found.chart),  # drawn by inventory.core.chart, which escapes every word
        "by": max(by, on),
        "lines": lines,
    }
    return page_or_part(request, "seller/stock/readiness.html", "honest", context)

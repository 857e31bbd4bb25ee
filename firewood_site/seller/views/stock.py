"""All wood in hand."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import now, today
from firewood_site.parts import page_or_part
from firewood_site.seller.query_values import day_of_query
from inventory.selectors import readiness as selectors
from inventory.selectors.stock import open_wood, stock_as_of
from orders.selectors.on_sale import sellable_today
from orders.selectors.shortfalls import short_lots
from orders.selectors.spoken_for import spoken_for


@seller_required
@require_safe
def stock(request: HttpRequest) -> HttpResponse:
    """All wood: what is open, when it is dry and may be called so, and what was there on a past day."""
    on = today()
    ready = selectors.readiness(on, href=lambda code: reverse("lot", args=[code]))
    by = max(day_of_query(request.GET.get("by", "")) or ready.first_rain, on)
    lines = selectors.honest_dry_on(by, on=on)
    found = open_wood(on)
    counted_on = day_of_query(request.GET.get("on", ""))
    context = {
        "found": found,
        "short": short_lots(on),
        "on_sale": sellable_today(on, spoken=spoken_for(now())),
        "bare": [row for row in found.lots if row.wants_cover],
        "ready": ready,
        "by": by,
        "lines": lines,
        "sums": selectors.honest_sums(lines),
        "counted_on": counted_on,
        "count_on": counted_on or on,
        "count": stock_as_of(counted_on or on),
    }
    return page_or_part(request, "seller/stock/stock.html", "honest", context)

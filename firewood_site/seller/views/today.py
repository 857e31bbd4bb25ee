"""What wants doing now."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required


@seller_required
@require_safe
def today_page(request: HttpRequest) -> HttpResponse:
    return render(request, "seller/money/today.html", {})

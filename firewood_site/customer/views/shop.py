"""The front page: what is for sale in plain words, how dry and how we know, how big, how hot, how much."""

from fractions import Fraction

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from firewood_site.clock import today
from firewood_site.languages import in_their_language
from firewood_site.showing import shop_woods, waiting_woods
from orders.selectors import prices

SIZES = (Fraction(1, 3), Fraction(1, 2), Fraction(1))


@in_their_language
@require_safe
def shop(request: HttpRequest) -> HttpResponse:
    """What is for sale today."""
    on = today()
    in_force = prices.sheet_in_force(on)
    context = {
        "woods": shop_woods(on),
        "waiting": waiting_woods(on),
        "sheet": in_force.sheet if in_force else None,
        "towns": prices.towns(),
        "sizes": SIZES,
    }
    return render(request, "customer/shop.html", context)

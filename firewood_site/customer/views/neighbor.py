"""A neighbor rides along: a link from one order's page begins a price for the same drop on the same day."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from firewood_site.access import is_neighbor_token, neighbor_number_of
from firewood_site.clock import now
from firewood_site.customer.remembered import price_anew, price_for, priced_for
from firewood_site.languages import in_their_language
from inventory.selectors.business import business
from orders.selectors.orders import order_view
from orders.selectors.sharing import Neighbor, neighbor


@in_their_language
@require_GET
def join(request: HttpRequest, token: str) -> HttpResponse:
    """The price form for wood that is dumped where the neighbor's is; for an hour, on this phone."""
    answer = redirect("quote")
    if _open_to(token) is None:
        messages.error(
            request, _("That order can't be shared any more. You can ask for a price of your own here.")
        )
        price_anew(answer)
        return answer
    price_for(answer, token)
    return answer


def neighbor_of(request: HttpRequest) -> Neighbor | None:
    """The order that what is priced here shares its drop with; None for one of its own."""
    token = priced_for(request)
    return _open_to(token) if token else None


def _open_to(token: str) -> Neighbor | None:
    number = neighbor_number_of(token)
    view = order_view(number) if number is not None else None
    if view is None or not is_neighbor_token(token, view.link_secret):
        return None
    return neighbor(view.number, at=now(), cut_off_hour=business().change_cut_off_hour)

"""Another wood, amount or place for an order that stands: priced on the same pages before it is saved."""

from datetime import date
from decimal import Decimal, InvalidOperation
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from firewood_site.access import found, order_path
from firewood_site.clock import now, today
from firewood_site.customer.linked import linked_order, order_of_token
from firewood_site.customer.remembered import price_anew, price_for, priced_for
from firewood_site.languages import in_their_language
from firewood_site.refusals import refusals
from inventory.selectors.business import business
from orders.core.order_request import How
from orders.selectors.orders import OrderView
from orders.selectors.prices import towns
from orders.selectors.quotes import quote_view
from orders.services.reordering import take_quote_instead


@in_their_language
@require_GET
def begin(request: HttpRequest, token: str) -> HttpResponse:
    """The price form, filled with the order as it is; for an hour its price can take the order's place."""
    view = linked_order(request, token)
    answer = redirect(f"{reverse('quote')}?{_filled(view)}")
    price_for(answer, token)
    return answer


@in_their_language
@require_POST
def take(request: HttpRequest, token: str, quote: UUID) -> HttpResponse:
    """The order becomes what was priced, if the price is the one that was read."""
    view = linked_order(request, token)
    priced = found(quote_view(quote), _("This price is not known any more: ask for it again."))
    chosen = request.POST.get("day", "")
    day = date.fromisoformat(chosen) if chosen in {day.on.isoformat() for day in priced.days} else None
    page = f"{reverse('quote-price', args=[quote])}?{urlencode({'day': chosen or 'any'})}"
    if priced.asks_place or _seen(request) != priced.due_on(day).total:
        return redirect(page)
    if priced.how == How.DELIVERED and not priced.has_street:
        messages.error(request, _("Write the street and number it goes to."))
        return redirect(page)
    with refusals() as refused:
        take_quote_instead(
            number=view.number,
            quote_token=priced.token,
            day=day,
            on=today(),
            at=now(),
            cut_off_hour=business().change_cut_off_hour,
        )
        messages.success(request, _("Your order is changed. We look at it again and confirm it."))
        answer = redirect(order_path(view.number, view.link_secret))
        price_anew(answer)
        return answer
    messages.error(request, refused.text)
    return redirect(page)


def changing(request: HttpRequest) -> tuple[str, OrderView] | None:
    """The order that what is priced here may take the place of, with its link; None for a new one."""
    token = priced_for(request)
    view = order_of_token(token) if token else None
    return None if view is None else (token, view)


def _seen(request: HttpRequest) -> Decimal | None:
    try:
        return Decimal(request.POST.get("seen", ""))
    except InvalidOperation:
        return None


def _filled(view: OrderView) -> str:
    """The order as the price form's fields."""
    town = view.place.town
    filled = {
        "choice": f"{view.wood}:{view.dryness}",
        "amount": str(view.cords) if view.cords else "",
        "bundles": str(view.bundles) if view.bundles else "",
        "town": next((str(row.id) for row in towns() if row.name == town), ""),
        "where": view.place.address.removesuffix(town).rstrip(", ") if town else view.place.address,
        "how": view.how,
        "laid": "stack" if view.stacked else "drop",
        "small_rig": "on" if view.small_rig_only else "",
    }
    return urlencode({name: value for name, value in filled.items() if value})

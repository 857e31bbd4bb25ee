"""Paying ahead by card, on the page of the seller's provider; and the provider's word that it came."""

import logging
import time

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST

from firewood_site import throttle
from firewood_site.access import order_path
from firewood_site.cards import NotTheirs, card_provider
from firewood_site.clock import now, today
from firewood_site.customer.linked import linked_order
from firewood_site.customer.views.order import shown_with
from firewood_site.languages import in_their_language
from firewood_site.letters import order_link, payment_reference
from firewood_site.refusals import refusals
from orders.selectors.orders import order_view
from orders.services.payments import record_payment

PAYS_A_WHILE = 20

logger = logging.getLogger(__name__)


@in_their_language
@require_POST
def by_card(request: HttpRequest, token: str) -> HttpResponse:
    """One tap to the provider's page, for the deposit, or for all that is due once it is in."""
    view = linked_order(request, token)
    provider = card_provider()
    dollars = view.deposit_due or view.balance.due
    if provider is None or not view.may_pay_ahead or not dollars:
        return redirect(order_path(view.number, view.link_secret))
    with refusals() as refused:
        throttle.count_or_refuse(request, "card", most=PAYS_A_WHILE, minutes=10)
        return redirect(
            provider.pay_page(
                number=view.number,
                dollars=dollars,
                what=payment_reference(view),
                back=order_link(view),
                key=f"{view.link_secret}-{dollars}-{today()}",
            )
        )
    return shown_with(request, token, view, refused)


@csrf_exempt
@require_POST
def card_event(request: HttpRequest) -> HttpResponse:
    """The provider's signed word that money came: booked once, however often it is told."""
    provider = card_provider()
    if provider is None:
        raise Http404(_("There is nothing here."))
    try:
        paid = provider.read_event(request.body, request.headers, now=time.time())
    except NotTheirs:
        return HttpResponse(status=400)
    if paid is None:
        return HttpResponse(status=204)
    view = order_view(paid.number)
    if view is None:
        logger.error("A card payment of %s came for order %s, which is not known.", paid.dollars, paid.number)
        return HttpResponse(status=204)
    record_payment(
        number=view.number,
        dollars=paid.dollars,
        method="card",
        on=today(),
        at=now(),
        who="card provider",
        key=paid.key,
        is_deposit=bool(view.deposit_due),
        keep_too_much=True,
    )
    return HttpResponse(status=204)

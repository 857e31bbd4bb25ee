"""The order a signed link names."""

from django.http import Http404, HttpRequest
from django.utils.translation import gettext as _

from firewood_site import throttle
from firewood_site.access import is_order_token, order_number_of
from orders.selectors.orders import OrderView, order_view


def order_of_token(token: str) -> OrderView | None:
    """The order a link was signed for; None for a forged, revoked or old one."""
    number = order_number_of(token)
    view = order_view(number) if number is not None else None
    return view if view is not None and is_order_token(token, view.link_secret) else None


def linked_order(request: HttpRequest, token: str) -> OrderView:
    """The order of a signed link; guessing is slow and tells nothing.

    Errors
        Http404: forged, revoked or too old.
    """
    view = order_of_token(token)
    if view is None:
        try:
            throttle.count_or_refuse(request, "link", most=30, minutes=10)
        except throttle.TooMany as refusal:
            raise Http404(str(refusal)) from refusal
        raise Http404(_("This link is not valid any more. Ask us for a new one."))
    return view

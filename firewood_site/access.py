"""Who may see what: staff by group, customers by signed, expiring, revocable links."""

from collections.abc import Callable
from functools import wraps
from typing import Any
from uuid import UUID

from django.contrib.auth.views import redirect_to_login
from django.core import signing
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse

SELLERS = "sellers"
DRIVERS = "drivers"
LINK_SALT = "firewood.order-link"
LINK_DAYS = 400  # a season and the reminder after it

type View = Callable[..., HttpResponse]


def is_seller(user: Any) -> bool:
    return bool(user.is_authenticated and (user.is_superuser or user.groups.filter(name=SELLERS).exists()))


def is_driver(user: Any) -> bool:
    return bool(
        user.is_authenticated
        and (user.is_superuser or user.groups.filter(name__in=(SELLERS, DRIVERS)).exists())
    )


def _required(claim: Callable[[Any], bool]) -> Callable[[View], View]:
    def decorate(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            if not claim(request.user):
                raise PermissionDenied("This page is for the people who sell the wood.")
            return view(request, *args, **kwargs)

        return guarded

    return decorate


seller_required = _required(is_seller)
driver_required = _required(is_driver)


def found[Row](row: Row | None, sentence: str = "There is nothing at this address.") -> Row:
    """The row, or the page that says there is none."""
    if row is None:
        raise Http404(sentence)
    return row


def order_token(number: int, secret: UUID) -> str:
    """A signed name for one order's status page. Changing the order's secret revokes it."""
    return signing.dumps({"n": number, "s": secret.hex}, salt=LINK_SALT, compress=False)


def read_order_token(token: str) -> tuple[int, UUID] | None:
    """The order number and secret inside a link; None if forged, broken or too old."""
    try:
        said = signing.loads(token, salt=LINK_SALT, max_age=LINK_DAYS * 86400)
        return int(said["n"]), UUID(said["s"])
    except (signing.BadSignature, KeyError, ValueError, TypeError):
        return None


def order_path(number: int, secret: UUID) -> str:
    """The path of an order's status page, signed."""
    return reverse("order-status", args=[order_token(number, secret)])

"""Who may see what: staff by group, customers by signed, expiring, revocable links."""

import base64
import time
from collections.abc import Callable
from functools import wraps
from typing import Any
from uuid import UUID

from django.contrib.auth.views import redirect_to_login
from django.core import signing
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.cache import patch_cache_control
from django.utils.crypto import constant_time_compare, salted_hmac

from firewood_site import helper_rights

SELLERS = "sellers"
DRIVERS = "drivers"
HELPERS = "helpers"
NOT_YOURS = "This page is for the people who sell the wood."
LINK_SALT = "firewood.order-link"
LINK_DAYS = 400  # a season and the reminder after it
SIGNATURE_BYTES = 15  # 120 bits, 20 letters: short enough for a text message, far beyond guessing
DAY_SECONDS = 86_400
MOST_LETTERS = 8  # of a number in a link

type View = Callable[..., HttpResponse]


def roles_of(user: Any) -> frozenset[str]:
    """The groups somebody is in, asked of the database once a request; who installed the app sells."""
    if not user.is_authenticated:
        return frozenset()
    if not hasattr(user, "kept_roles"):
        names = user.groups.values_list("name", flat=True)
        user.kept_roles = frozenset({SELLERS} if user.is_superuser else names)
    kept: frozenset[str] = user.kept_roles
    return kept


def is_seller(user: Any) -> bool:
    return SELLERS in roles_of(user)


def is_helper(user: Any) -> bool:
    """Whether somebody helps without selling."""
    return HELPERS in roles_of(user) and not is_seller(user)


def _seller_refusal(request: HttpRequest) -> str:
    if is_seller(request.user):
        return ""
    if is_helper(request.user):
        name = request.resolver_match.url_name if request.resolver_match else None
        return "" if helper_rights.may(request.method, name) else helper_rights.REFUSAL
    return NOT_YOURS


def _driver_refusal(request: HttpRequest) -> str:
    if roles_of(request.user) & {SELLERS, DRIVERS}:
        return ""
    if is_helper(request.user):
        return "" if request.method in ("GET", "HEAD") else helper_rights.REFUSAL
    return NOT_YOURS


def _required(refusal: Callable[[HttpRequest], str]) -> Callable[[View], View]:
    def decorate(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            if sentence := refusal(request):
                raise PermissionDenied(sentence)
            return view(request, *args, **kwargs)

        return guarded

    return decorate


seller_required = _required(_seller_refusal)
driver_required = _required(_driver_refusal)
staff_required = _required(lambda request: "" if roles_of(request.user) else NOT_YOURS)


def found[Row](row: Row | None, sentence: str = "There is nothing at this address.") -> Row:
    """The row, or the page that says there is none."""
    if row is None:
        raise Http404(sentence)
    return row


def private(view: View) -> View:
    """A page behind a signed link: kept by no shared cache, listed by no search engine."""

    @wraps(view)
    def kept_quiet(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        answer = view(request, *args, **kwargs)
        patch_cache_control(answer, private=True)
        answer["X-Robots-Tag"] = "noindex, nofollow"
        return answer

    return kept_quiet


def order_token(number: int, secret: UUID) -> str:
    """A short signed name for one order's status page: number, day it was made, signature.

    The order's secret goes into the signature and not into the link; changing it revokes the link.
    """
    made = int(time.time() // DAY_SECONDS)
    head = f"{signing.b62_encode(number)}-{signing.b62_encode(made)}"
    return f"{head}-{_signature(head, secret)}"


def order_number_of(token: str) -> int | None:
    """The order a link says it is for, not yet believed; None if it is no link of ours or too old."""
    number, made, signature = _parts(token)
    if not (_is_short(number) and _is_short(made) and signature):
        return None
    age = time.time() // DAY_SECONDS - signing.b62_decode(made)
    return signing.b62_decode(number) if -1 <= age <= LINK_DAYS else None


def is_order_token(token: str, secret: UUID) -> bool:
    """Whether a link was signed for the order that has this secret."""
    number, made, signature = _parts(token)
    return constant_time_compare(signature, _signature(f"{number}-{made}", secret))


def neighbor_token(number: int, secret: UUID) -> str:
    """A signed name for an order that a neighbor may join: it opens nothing of the order itself."""
    head = signing.b62_encode(number)
    return f"{head}-{_signature(f'neighbor-{head}', secret)}"


def neighbor_number_of(token: str) -> int | None:
    """The order such a link says it is for, not yet believed."""
    number, _, signature = token.partition("-")
    return signing.b62_decode(number) if _is_short(number) and signature else None


def is_neighbor_token(token: str, secret: UUID) -> bool:
    number, _, signature = token.partition("-")
    return constant_time_compare(signature, _signature(f"neighbor-{number}", secret))


def order_path(number: int, secret: UUID) -> str:
    """The path of an order's status page, signed."""
    return reverse("order-status", args=[order_token(number, secret)])


def _parts(token: str) -> tuple[str, str, str]:
    number, _, rest = token.partition("-")
    made, _, signature = rest.partition("-")
    return number, made, signature


def _is_short(part: str) -> bool:
    return part.isascii() and part.isalnum() and len(part) <= MOST_LETTERS


def _signature(head: str, secret: UUID) -> str:
    signed = salted_hmac(LINK_SALT, f"{head}-{secret.hex}", algorithm="sha256").digest()
    return base64.urlsafe_b64encode(signed[:SIGNATURE_BYTES]).decode("ascii")

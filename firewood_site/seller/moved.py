"""Pages that became part of another: their old addresses lead there for good, with what was asked of them."""

from collections.abc import Callable
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, HttpResponsePermanentRedirect
from django.urls import reverse

from firewood_site.access import seller_required

FORM_AND_ALL = 308  # a form sent to an old address is sent on, not lost


def moved(name: str, anchor: str = "", *, asks: str = "") -> Callable[..., HttpResponse]:
    """A view that sends an old address to the page it became part of; `asks` is what it opens with there."""

    @seller_required
    def old_address(request: HttpRequest, code: str = "") -> HttpResponse:
        about = "&".join(part for part in (asks, urlencode({"lot": code}) if code else "") if part)
        return _led_on(request, reverse(name), anchor, asks=about)

    return old_address


def moved_one(name: str) -> Callable[..., HttpResponse]:
    """The same for the address of one thing, whose id or day the new address has too."""

    @seller_required
    def old_address(request: HttpRequest, **which: object) -> HttpResponse:
        return _led_on(request, reverse(name, kwargs=which))

    return old_address


def moved_below(old: str, new: str) -> Callable[..., HttpResponse]:
    """The same for an address and all below it: `rest` is what follows the old one."""

    @seller_required
    def old_address(request: HttpRequest, rest: str) -> HttpResponse:
        return _led_on(request, f"{request.path.removesuffix(f'{old}{rest}')}{new}{rest}")

    return old_address


def _led_on(request: HttpRequest, path: str, anchor: str = "", *, asks: str = "") -> HttpResponse:
    said = "&".join(part for part in (asks, request.GET.urlencode()) if part)
    query = f"?{said}" if said else ""
    answer = HttpResponsePermanentRedirect(f"{path}{query}{'#' + anchor if anchor else ''}")
    if request.method not in ("GET", "HEAD"):
        answer.status_code = FORM_AND_ALL
    return answer

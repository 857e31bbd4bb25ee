"""Addresses that only take a form: whoever opens one, say after logging in again, gets its page."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import redirect
from django.urls import Resolver404, resolve, reverse

type View = Callable[..., HttpResponse]


def post_only(view: View) -> View:
    """Let a form through; lead a look at its address to the nearest page above it."""

    @wraps(view)
    def taken(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if request.method == "POST":
            return view(request, *args, **kwargs)
        if request.method in ("GET", "HEAD"):
            return redirect(page_above(request.path))
        return HttpResponseNotAllowed(["POST"])

    taken.is_post_only = True  # type: ignore[attr-defined]
    return taken


def page_above(path: str) -> str:
    """The nearest address above this one that is a page: /seller/orders/204/decline -> /seller/orders/204."""
    above = path.rstrip("/")
    while above := above.rpartition("/")[0]:
        try:
            if not getattr(resolve(above).func, "is_post_only", False):
                return above
        except Resolver404:
            continue
    return reverse("today")

"""Steps of the seller: each is posted by a form, and where it is refused its page says why."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from firewood_site.access import seller_required
from firewood_site.refusals import refusals
from firewood_site.seller.post_only import View, post_only


def step(refused: View) -> Callable[[View], View]:
    """A step of the seller's. Where it is refused, `refused` answers: it gets the request, the sentence, and
    what the address names. A step that is all or nothing is `@transaction.atomic` below this."""

    def decorate(view: View) -> View:
        @seller_required
        @post_only
        @wraps(view)
        def taken(request: HttpRequest, **named: Any) -> HttpResponse:
            with refusals() as problem:
                return view(request, **named)
            return refused(request, problem.text, **named)

        return taken

    return decorate


def told_at(page: str, *args: str, tail: str = "") -> View:
    """Back to the page of that name, made of these parts of the address, with the sentence at its top."""

    def back(request: HttpRequest, sentence: str, **named: Any) -> HttpResponse:
        messages.error(request, sentence)
        return redirect(f"{reverse(page, args=[named[name] for name in args])}{tail}")

    return back

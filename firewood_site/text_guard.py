"""Refuse texts with characters nobody types: NUL, and those that turn the order of what is read around.

A name with U+202E in it reads backwards on a ticket; PostgreSQL keeps no NUL (Unicode Technical Report 36,
section 2.2, on spoofing by bidirectional text).
"""

import re
from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

UNTYPED = re.compile("[\0\u202a-\u202e\u2066-\u2069]")
CLEANED_THERE = {"driver-events"}  # a driver's tap is never lost for a character: it is taken out


class TextGuard:
    """Looks at every form before its page does; files and JSON are the pages' own to judge."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Any) -> HttpResponse | None:
        here = request.resolver_match.url_name if request.resolver_match else ""
        if request.method != "POST" or request.content_type == "application/json" or here in CLEANED_THERE:
            return None
        if not any(UNTYPED.search(value) for values in request.POST.lists() for value in values[1]):
            return None
        context = {
            "heading": _("A character we cannot keep"),
            "sentence": _(
                "One of the texts holds an invisible control character, as copying from elsewhere may "
                "bring along. Go back and type that text by hand; nothing was changed and "
                "nothing you typed is lost."
            ),
        }
        return render(request, "sorry.html", context, status=422)

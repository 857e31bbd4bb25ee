"""A page that only shows reads what many of its parts ask for once; see `inventory.core.once`."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from inventory.core.once import one_page


class OnePage:
    """Only where nothing is written: a step reads afresh what it has just changed."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.method not in ("GET", "HEAD"):
            return self.get_response(request)
        with one_page():
            return self.get_response(request)

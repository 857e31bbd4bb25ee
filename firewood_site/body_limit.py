"""Refuse a body that is too large before any of it is read; a proxy in front does so earlier still."""

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from firewood_site.access import is_seller


def takes_maps[View: Callable[..., HttpResponse]](view: View) -> View:
    """Mark a page that takes a file as large as a map, from those its own guard lets in."""
    view.takes_maps = True  # type: ignore[attr-defined]
    return view


class BodyLimit:
    """Answers 413 by the length a request announces. One without a length is not read by the server.

    A page that takes maps has a larger limit for a seller who is logged in. Who that is, is known once the
    page is chosen; nothing has read the body by then.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return _refused(request, settings.MOST_MAP_BYTES) or self.get_response(request)

    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Any) -> HttpResponse | None:
        takes_more = getattr(view, "takes_maps", False) and is_seller(request.user)
        return _refused(request, settings.MOST_MAP_BYTES if takes_more else settings.MOST_BODY_BYTES)


def _refused(request: HttpRequest, most: int) -> HttpResponse | None:
    length = request.META.get("CONTENT_LENGTH") or "0"
    if not length.isdigit() or int(length) <= most:
        return None
    answer = HttpResponse(
        f"That is more than {most // 1024 // 1024} MB: send a smaller file.",
        status=413,
        content_type="text/plain",
    )
    answer["Connection"] = "close"
    return answer

"""Which language a visitor reads: chosen by ?lang= and kept in a cookie, else what the browser asks for."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import translation

YEAR = 365 * 86400
KNOWN = tuple(code for code, _ in settings.LANGUAGES)


def in_their_language(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Let ?lang=es change the language, once and for the visits after."""

    @wraps(view)
    def spoken(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        chosen = request.GET.get("lang", "")
        if chosen not in KNOWN:
            return view(request, *args, **kwargs)
        with translation.override(chosen):
            request.LANGUAGE_CODE = chosen  # type: ignore[attr-defined]
            answer = view(request, *args, **kwargs)
        answer.set_cookie(settings.LANGUAGE_COOKIE_NAME, chosen, max_age=YEAR, samesite="Lax")
        return answer

    return spoken

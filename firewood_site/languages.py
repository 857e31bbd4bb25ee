"""Which language a reader gets: customers by ?lang=, a cookie or their browser; who logs in, by choice."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.contrib.auth.signals import user_logged_in
from django.dispatch import receiver
from django.http import Http404, HttpRequest, HttpResponse
from django.middleware.locale import LocaleMiddleware
from django.shortcuts import redirect
from django.utils import translation
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_POST

from firewood_site.access import staff_required
from inventory.selectors.business import business
from inventory.selectors.staff import language_of
from inventory.services.staff import set_language

YEAR = 365 * 86400
KNOWN = tuple(code for code, _ in settings.LANGUAGES)
STAFF_PATHS = ("/seller/", "/driver/", "/staff/", "/log-in")
DOORS = ("/log-in", "/staff/2fa/authenticate")  # read before anybody is known
IN_ENGLISH = (  # figures and settings of the office, written in English alone, menu and all
    "/staff/",
    "/seller/set-up",
    "/seller/worth",
    "/seller/find/guide",
)
IN_BOTH = ("/seller/worth/season",)  # pages of the office written in Spanish, too
SESSION_KEY = "reads"
QUEUE_TEXTS = (  # of queue.js
    gettext_noop("left"),
    gettext_noop("loaded"),
    gettext_noop("on the way"),
    gettext_noop("arrived"),
    gettext_noop("delivered"),
    gettext_noop("paid"),
    gettext_noop("nobody there"),
    gettext_noop("trouble"),
    gettext_noop("home"),
    gettext_noop("checked off"),
    gettext_noop("where it lies"),
    gettext_noop("work logged"),
    gettext_noop("photo"),
    gettext_noop("{count} kept on this phone"),
    gettext_noop("{count} kept on this phone, no signal"),
    gettext_noop("{what}, kept"),
    gettext_noop("order {number}"),
    gettext_noop("Order {number}: {text}"),
    gettext_noop("Correct it"),
    gettext_noop("I have read it"),
    gettext_noop("Log in again to send."),
    gettext_noop("Not sent yet."),
    gettext_noop("Photos not sent yet."),
    gettext_noop("This phone cannot keep taps: each one needs signal."),
    gettext_noop("Open this page by https to use it without signal."),
)


def _is_in_english(path: str) -> bool:
    """The paper that says where wood was cut is read by officials."""
    return (path.startswith(IN_ENGLISH) and path not in IN_BOTH) or path.endswith("/where-cut")


class VisitorLanguage(LocaleMiddleware):
    """Customers read what their browser asks for, as does who logs in; staff what they chose."""

    def process_request(self, request: HttpRequest) -> None:
        if not request.path_info.startswith(STAFF_PATHS):
            super().process_request(request)
            self._usual(request)
            return
        kept, path = request.session.get(SESSION_KEY), request.path_info
        if path.startswith(DOORS) and not kept:
            super().process_request(request)
            return
        chosen = settings.LANGUAGE_CODE
        if kept and (path.startswith(DOORS) or not _is_in_english(path)):
            chosen = kept
        translation.activate(chosen)
        request.LANGUAGE_CODE = chosen  # type: ignore[attr-defined]

    def _usual(self, request: HttpRequest) -> None:
        """Whoever asks for no language we have reads the seller's."""
        asked = request.headers.get("Accept-Language", "").casefold()
        if settings.LANGUAGE_COOKIE_NAME in request.COOKIES or any(code in asked for code in KNOWN):
            return
        chosen = business().language
        if chosen in KNOWN:
            translation.activate(chosen)
            request.LANGUAGE_CODE = chosen  # type: ignore[attr-defined]


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


@staff_required
@require_POST
def choose_language(request: HttpRequest) -> HttpResponse:
    """Somebody who logs in chooses their language; it is kept with them."""
    chosen = request.POST.get("language", "")
    if chosen not in KNOWN:
        raise Http404("This language is not here.")
    set_language(request.user.get_username(), chosen)
    request.session[SESSION_KEY] = chosen
    return redirect("find" if "find" in request.POST else "run-today")


@receiver(user_logged_in)
def remember_language(*, request: HttpRequest | None, user: Any, **_: Any) -> None:
    """Whoever logs in on another phone reads their own language there too."""
    if request is not None and (language := language_of(user.get_username())):
        request.session[SESSION_KEY] = language


def queue_texts() -> dict[str, str]:
    """Sentences of the offline queue by their English, for a reader of another language."""
    if (translation.get_language() or settings.LANGUAGE_CODE) == settings.LANGUAGE_CODE:
        return {}
    return {english: translation.gettext(english) for english in QUEUE_TEXTS}

"""Pages that belong to nobody in particular: log in, health, and what is shown when something is wrong."""

from typing import Any

from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.db import connection
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.templatetags.static import static
from django.utils.translation import gettext as _

from firewood_site.access import is_seller
from firewood_site.throttle import count_up, sender

TRIES = 6
TRIES_SECONDS = 600


class ThrottledLogInForm(AuthenticationForm):
    """Six wrong passwords in ten minutes for one name or address, then wait."""

    def _keys(self) -> list[str]:
        request = self.request
        address = sender(request) if request is not None else ""
        name = str(self.cleaned_data.get("username", ""))[:80].lower()
        return [f"log-in:name:{name}", f"log-in:from:{address}"]

    def clean(self) -> dict[str, Any]:
        keys = [key.encode().hex() for key in self._keys()]
        if any(cache.get(key, 0) >= TRIES for key in keys):
            raise ValidationError("Too many wrong tries. Wait ten minutes, then try again.")
        try:
            return super().clean()
        except ValidationError:
            for key in keys:
                count_up(key, seconds=TRIES_SECONDS)
            raise


class LogIn(LoginView):
    template_name = "log_in.html"
    authentication_form = ThrottledLogInForm
    redirect_authenticated_user = True

    def get_default_redirect_url(self) -> str:
        from django.urls import reverse

        return reverse("today") if is_seller(self.request.user) else reverse("run-today")


def favicon(request: HttpRequest) -> HttpResponse:
    """Browsers ask here whatever the page says; the drawn mark answers."""
    return redirect(static("firewood_site/icon.svg"), permanent=True)


def health(request: HttpRequest) -> JsonResponse:
    """Answers when the app and its database do."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return JsonResponse({"ok": True})


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    words = str(exception) if exception.args and isinstance(exception.args[0], str) else ""
    context = {
        "heading": _("Nothing here"),
        "sentence": words or _("There is no page at this address. Check the link you were sent."),
    }
    return render(request, "sorry.html", context, status=404)


def refused(request: HttpRequest, exception: Exception) -> HttpResponse:
    context = {"heading": _("Not for you"), "sentence": str(exception) or _("You may not see this page.")}
    return render(request, "sorry.html", context, status=403)


def broken(request: HttpRequest) -> HttpResponse:
    html = (
        "<!doctype html><html lang=en><meta charset=utf-8><title>Something broke</title>"
        "<h1>Something broke on our side</h1><p>What you typed was not lost by you: go back and try again. "
        "If it happens twice, call us.</p></html>"
    )
    return HttpResponse(html, status=500)


def csrf_refused(request: HttpRequest, reason: str = "") -> HttpResponse:
    context = {
        "heading": _("The page was too old"),
        "sentence": _("Go back, reload the page and send it again; nothing was changed."),
    }
    return render(request, "sorry.html", context, status=403)

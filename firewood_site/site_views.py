"""Pages that belong to nobody in particular: health, and what is shown when something is wrong."""

from typing import Any

from django.db import Error as DatabaseTrouble
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.templatetags.static import static
from django.utils import timezone
from django.utils.html import format_html
from django.utils.translation import gettext as _

from firewood_site.access import is_seller
from firewood_site.health import checks, is_up
from inventory.selectors.business import business
from orders.services.customers import phone_words


def favicon(request: HttpRequest) -> HttpResponse:
    """Browsers ask here whatever the page says; the drawn mark answers."""
    return redirect(static("firewood_site/icon.svg"), permanent=True)


def health(request: HttpRequest) -> JsonResponse:
    """Whether pages are answered; what else works or does not is for the seller's eyes."""
    database = is_up()
    answer: dict[str, Any] = {"ok": not database.problem}
    if not database.problem and is_seller(request.user):
        found = checks(at=timezone.now())
        answer |= {check.name: check.problem or "well" for check in (database, *found)}
    return JsonResponse(answer, status=503 if database.problem else 200)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    text = str(exception) if exception.args and isinstance(exception.args[0], str) else ""
    context = {
        "heading": _("Nothing here"),
        "sentence": text or _("There is no page at this address. Check the link you were sent."),
    }
    return render(request, "sorry.html", context, status=404)


def refused(request: HttpRequest, exception: Exception) -> HttpResponse:
    context = {"heading": _("Not for you"), "sentence": str(exception) or _("You may not see this page.")}
    return render(request, "sorry.html", context, status=403)


def broken(request: HttpRequest) -> HttpResponse:
    """Made with as little as can be, for whatever broke may break it too."""
    try:
        seller = business()
        call = f"call {seller.name}: {phone_words(seller.phone)}" if seller.phone else "call us"
    except DatabaseTrouble:
        call = "call us"
    html = format_html(
        "<!doctype html><html lang=en><meta charset=utf-8><title>Something broke</title>"
        "<h1>Something broke on our side</h1><p>What you typed was not lost by you: go back and try again. "
        "If it happens twice, {}.</p></html>",
        call,
    )
    return HttpResponse(html, status=500)


def csrf_refused(request: HttpRequest, reason: str = "") -> HttpResponse:
    context = {
        "heading": _("The page was too old"),
        "sentence": _("Go back, reload the page and send it again; nothing was changed."),
    }
    return render(request, "sorry.html", context, status=403)

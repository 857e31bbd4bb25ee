"""Shut days: closed yards and roads, saw hours, burn windows."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from firewood_site.access import seller_required
from firewood_site.clock import now, today
from firewood_site.seller.forms.days import ShutForm
from firewood_site.seller.posted import posted
from firewood_site.templatetags.firewood import day as day_words
from routing.core import RoutingError
from routing.selectors.shuts import places_to_shut
from routing.selectors.shuts import shuts as listed
from routing.services import shuts as steps


@seller_required
@require_http_methods(["GET", "HEAD", "POST"])
def shuts(request: HttpRequest) -> HttpResponse:
    """What is closed, and a form to close something."""
    yards, towns = places_to_shut()
    form = ShutForm(
        request.POST or None, yards=yards, towns=towns, initial={"from_on": today(), "to_on": today()}
    )
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                made = steps.shut(at=now(), who=request.user.get_username(), **form.cleaned_data)
            except (RoutingError, ValidationError) as refusal:
                words = refusal.messages if isinstance(refusal, ValidationError) else [str(refusal)]
                form.add_error(None, " ".join(words))
            else:
                _tell_days(request, made)
                return redirect("shuts")
    rows = listed(today())
    context = {
        "open": [row for row in rows if not row.is_over],
        "past": [row for row in rows if row.is_over],
        "form": form,
    }
    return render(request, "seller/days/shuts.html", context, status=status)


@seller_required
@posted
def open_again(request: HttpRequest, shut_id: int) -> HttpResponse:
    """It is open again from today."""
    try:
        steps.open_again(shut_id=shut_id, on=today(), at=now(), who=request.user.get_username())
        messages.success(request, "Open again.")
    except RoutingError as refusal:
        messages.error(request, str(refusal))
    return redirect("shuts")


def _tell_days(request: HttpRequest, made: steps.ShutMade) -> None:
    if made.days:
        named = ", ".join(day_words(on) for on in made.days)
        messages.warning(request, f"Kept. Plan again, it falls on: {named}.")
    else:
        messages.success(request, "Kept. No planned day is touched.")

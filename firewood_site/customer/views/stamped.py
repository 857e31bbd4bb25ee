"""The frame of a public form: signed, stamped, with a trap for machines, sent so often a while."""

from collections.abc import Callable
from typing import Any

from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from firewood_site import throttle
from firewood_site.refusals import refusals

SENT_A_WHILE = 5
WINDOW_MINUTES = 10


def answered(
    request: HttpRequest, form: Form, template: str, *, what: str, act: Callable[[dict[str, Any]], None]
) -> HttpResponse:
    """The page of a form with one act: the form, or that it is done; what was refused is said on it."""
    is_done, status = False, 200
    if request.method == "POST":
        with refusals(form) as refused:
            throttle.check_form(request)
            throttle.count_or_refuse(request, what, most=SENT_A_WHILE, minutes=WINDOW_MINUTES)
            if form.is_valid():
                act(form.cleaned_data)
                is_done = True
        status = 200 if is_done else refused.status
    return render(request, template, {"form": form, "is_done": is_done, **marks(form)}, status=status)


def marks(form: Form) -> dict[str, str]:
    """What `customer/stamped.html` puts into a form beside its key."""
    return {"stamp": throttle.stamp(form["key"].value()), "trap": throttle.TRAP}

"""The people who drive and help; listed on the rigs page."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from firewood_site.access import found, seller_required
from firewood_site.clock import signed
from firewood_site.people import people
from firewood_site.refusals import refusals
from firewood_site.seller.forms.rigs import DriverForm
from routing.core.drivers import DriverFigures
from routing.selectors import drivers as listed
from routing.services.drivers import save_driver


@seller_required
@require_http_methods(["GET", "HEAD", "POST"])
def new_driver(request: HttpRequest) -> HttpResponse:
    """Somebody added."""
    return _driver_form(request, None)


@seller_required
@require_http_methods(["GET", "HEAD", "POST"])
def driver(request: HttpRequest, driver_id: int) -> HttpResponse:
    """Wage, hours, break, and what they can handle."""
    return _driver_form(request, found(listed.driver(driver_id), "This person is not in the books."))


def _driver_form(request: HttpRequest, row: listed.DriverRow | None) -> HttpResponse:
    initial: dict[str, Any] = {name: getattr(row, name) for name in DriverForm.base_fields} if row else {}
    names = [person.name for person in people() if person.role]
    if row and row.signs_in_as and row.signs_in_as not in names:
        names.append(row.signs_in_as)
    form = DriverForm(request.POST if request.method == "POST" else None, initial=initial, names=names)
    if request.method == "POST" and form.is_valid():
        known = row.id if row else None
        with refusals(form):
            save_driver(figures=DriverFigures(**form.cleaned_data), driver_id=known, **signed(request))
            messages.success(request, "Saved. Plans made from now on keep to it; those made before stay.")
            return redirect("rigs")
    context = {"person": row, "form": form}
    return render(request, "seller/days/crew.html", context, status=422 if form.is_bound else 200)

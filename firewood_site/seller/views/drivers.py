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
    if request.method != "POST":
        return _page(request, row, form)
    if not form.is_valid():
        return _page(request, row, form, status=422)
    with refusals(form) as refused:
        save_driver(
            figures=DriverFigures(**form.cleaned_data), driver_id=row.id if row else None, **signed(request)
        )
    if refused:
        return _page(request, row, form, status=422)
    messages.success(request, "Saved. Plans made from now on keep to it; those made before stay.")
    return redirect("rigs")


def _page(
    request: HttpRequest, row: listed.DriverRow | None, form: DriverForm, *, status: int = 200
) -> HttpResponse:
    return render(request, "seller/days/crew.html", {"person": row, "form": form}, status=status)

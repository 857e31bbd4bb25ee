"""Five fresh faces, and the meter's basis."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from firewood_site.access import found, seller_required
from firewood_site.clock import signed, today
from firewood_site.refusals import refusals
from firewood_site.seller.forms.stock import ReadingForm
from firewood_site.seller.views.lots import lot_with_sheet
from inventory.selectors.lot import lot_page
from inventory.services.measures import save_reading


@seller_required
def reading(request: HttpRequest, code: str) -> HttpResponse:
    page = found(lot_page(code, today()), _("There is no lot {code}.").format(code=code))
    last_basis = page.readings[0].basis if page.readings else None
    form = ReadingForm(request.POST or None, initial={"on": today(), "basis": last_basis})
    if request.method == "POST" and form.is_valid():
        with refusals(form):
            save_reading(
                code=code,
                faces=form.faces,
                basis=form.cleaned_data["basis"],
                on=min(form.cleaned_data["on"], today()),
                note=form.cleaned_data["note"],
                **signed(request),
            )
            messages.success(request, _("Reading saved."))
            return redirect("lot", code=code)
    return lot_with_sheet(request, page, sheet="seller/stock/reading.html", form=form)

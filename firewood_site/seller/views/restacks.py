"""What a restack teaches of a rig's heap number."""

from decimal import Decimal

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from firewood_site.access import seller_required
from firewood_site.clock import signed, today
from firewood_site.refusals import refusals
from firewood_site.seller.forms.measuring import RestackForm
from inventory.core.local_measures import bare_here
from inventory.core.measure import stack_ft3
from inventory.selectors.work import heap_numbers
from routing.selectors.rigs import rigs
from routing.services.rigs import learn_heap_number


@seller_required
def restack(request: HttpRequest) -> HttpResponse:
    known = rigs()
    form = RestackForm(request.POST or None, initial={"on": today()}, rigs=[rig.name for rig in known])
    if request.method == "POST" and form.is_valid():
        cleaned = form.cleaned_data
        with refusals(form):
            stacked = stack_ft3(
                float(cleaned["length"]), float(cleaned["height"]), float(cleaned["depth"]) * 12
            )
            number = learn_heap_number(
                rig_name=cleaned["rig"],
                form=cleaned["form"],
                loose_ft3=cleaned["loose_ft3"],
                stacked_ft3=_hundredths(stacked),
                on=min(cleaned["on"], today()),
                reference=cleaned["note"],
                **signed(request),
            )
            messages.success(
                request,
                f"That load's heap number was {bare_here(number, 'heap')}. Plans use what the rig learned.",
            )
            return redirect("restack")
    learned = [history for rig in known for history in heap_numbers(rig.name)]
    context = {"form": form, "learned": learned, "has_rigs": bool(known)}
    return render(request, "seller/stock/restack.html", context, status=422 if form.errors else 200)


def _hundredths(ft3: float) -> Decimal:
    return Decimal(str(round(ft3, 2)))

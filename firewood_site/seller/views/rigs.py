"""Rigs: what they hold and may weigh, what they cost, what stacks taught about them."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import now, signed, today
from firewood_site.refusals import refusals
from firewood_site.seller.forms.rigs import CostForm, RigForm
from firewood_site.seller.post_only import post_only
from firewood_site.seller.query_values import row_of_query
from inventory.core.charts.figure import Markup
from inventory.core.charts.ranges import range_bar
from routing.core.rigs import rig_as_typed
from routing.selectors import rigs as listed
from routing.selectors.drivers import driver_names, drivers
from routing.selectors.learned_paces import USUAL, PaceRow, pace_rows
from routing.selectors.yards import yard_names
from routing.services import paces as steps_of_paces
from routing.services import rigs as steps


@seller_required
@require_safe
def rigs(request: HttpRequest) -> HttpResponse:
    taught = [(row, _pace_picture(row)) for row in pace_rows()]
    context = {"rigs": listed.rigs(), "drivers": drivers(), "taught": taught}
    return render(request, "seller/days/rigs.html", context)


def _pace_picture(row: PaceRow) -> Markup:
    """What was ticked beside the plan, which is dashed in the middle."""
    usual, low, high = (USUAL + percent for percent in row.percents)
    return range_bar(low=low, likely=usual, high=high, most=2 * USUAL, limit=USUAL)


@seller_required
@post_only
def paces(request: HttpRequest) -> HttpResponse:
    """Which learned times plans and prices go by."""
    used = {row_of_query(text) for text in request.POST.getlist("used")}
    steps_of_paces.choose_paces(used=used, **signed(request))
    messages.success(request, "Plans and prices go by the ticked times from now on.")
    return redirect("rigs")


@seller_required
@require_http_methods(["GET", "HEAD", "POST"])
def new_rig(request: HttpRequest) -> HttpResponse:
    """A rig added."""
    return _rig_form(request, None)


@seller_required
@require_http_methods(["GET", "HEAD", "POST"])
def rig(request: HttpRequest, rig_id: int) -> HttpResponse:
    """One rig: its figures, and what they mean."""
    return _rig_form(request, found(listed.rig(rig_id), "This rig is not in the books."))


@seller_required
@post_only
def cost(request: HttpRequest, rig_id: int) -> HttpResponse:
    """A new cost per mile from a day on."""
    view = found(listed.rig(rig_id), "This rig is not in the books.")
    form = CostForm(request.POST)
    if form.is_valid():
        with refusals(form):
            steps.set_running_cost(rig_id=rig_id, **form.cleaned_data, **signed(request))
            messages.success(request, "Saved. Plans from that day on use it.")
            return redirect("rig", rig_id)
    return _page(request, view, cost_form=form)


@seller_required
@post_only
def out(request: HttpRequest, rig_id: int) -> HttpResponse:
    """Take a broken rig out, or put it back."""
    view = found(listed.rig(rig_id), "This rig is not in the books.")
    who = request.user.get_username()
    if view.works:
        steps.take_rig_out(rig_id=rig_id, reason=request.POST.get("reason", ""), at=now(), who=who)
        messages.warning(request, f"{view.name} is out. Days that count on it say so: plan them again.")
    else:
        steps.put_rig_back(rig_id=rig_id, at=now(), who=who)
        messages.success(request, f"{view.name} runs again.")
    return redirect("rig", rig_id)


def _rig_form(request: HttpRequest, view: listed.RigRow | None) -> HttpResponse:
    if request.method != "POST":
        return _page(request, view)
    form = RigForm(request.POST, yards=yard_names(), people=driver_names())
    if form.is_valid():
        typed = dict(form.cleaned_data)
        pickup = {name: typed.pop(name) for name in ("truck", "hitch_minutes")}
        known = view.id if view else None
        with refusals(form):
            rig_id = steps.save_rig(rig=rig_as_typed(**typed), **pickup, rig_id=known, **signed(request))
            messages.success(request, "Saved.")
            return redirect("rig", rig_id)
    return _page(request, view, form=form)


def _page(
    request: HttpRequest,
    view: listed.RigRow | None,
    *,
    form: RigForm | None = None,
    cost_form: CostForm | None = None,
) -> HttpResponse:
    """The rig's page; with a form that was sent it answers 422."""
    names = {*RigForm.base_fields, "driver_id", "helper_id"} - {"crew"}
    initial: dict[str, Any] = {name: getattr(view, name) for name in names} if view else {}
    context = {
        "rig": view,
        "form": form or RigForm(initial=initial or None, yards=yard_names(), people=driver_names()),
        "cost_form": cost_form or CostForm(initial=_last_cost(view, today())),
    }
    return render(request, "seller/days/rig.html", context, status=422 if form or cost_form else 200)


def _last_cost(view: listed.RigRow | None, on: date) -> dict[str, Any]:
    last = view.costs[0] if view and view.costs else None
    if last is None:
        return {"from_on": on}
    names = ("loaded_mile", "empty_mile", "fixed_run", "wage_hour")
    return {"from_on": on, **{name: getattr(last, name) for name in names}}

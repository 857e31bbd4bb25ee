"""Shut days: closed yards and roads, saw hours, burn windows."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from firewood_site.access import seller_required
from firewood_site.clock import signed, today
from firewood_site.refusals import PageRefusal, refusals
from firewood_site.seller.forms.days import RoadMarkForm, ShutForm
from firewood_site.seller.post_only import post_only
from firewood_site.seller.steps import step, told_at
from firewood_site.templatetags.firewood import day as day_words
from routing.selectors.days.shuts import places_to_shut
from routing.selectors.days.shuts import shuts as listed
from routing.selectors.roads.current import marked_roads
from routing.services import shuts as steps
from routing.services.road_marks import mark_road, unmark_road


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
            with refusals(form):
                made = steps.shut(**form.cleaned_data, **signed(request))
                _tell_days(request, made)
                return redirect("shuts")
    rows = listed(today())
    context = {
        "open": [row for row in rows if not row.is_over],
        "past": [row for row in rows if row.is_over],
        "form": form,
        "marks": marked_roads(),
        "mark_form": RoadMarkForm(),
    }
    return render(request, "seller/days/shuts.html", context, status=status)


@step(told_at("shuts"))
def open_again(request: HttpRequest, shut_id: int) -> HttpResponse:
    """It is open again from today."""
    steps.open_again(shut_id=shut_id, on=today(), **signed(request))
    messages.success(request, "Open again.")
    return redirect("shuts")


@step(told_at("shuts"))
def road_marked(request: HttpRequest) -> HttpResponse:
    """A road we take, or avoid: drives are asked anew."""
    form = RoadMarkForm(request.POST)
    if not form.is_valid():
        raise PageRefusal("Name the road, and say whether you take or avoid it.")
    road = mark_road(road=form.cleaned_data["name"], kind=form.cleaned_data["kind"], **signed(request))
    messages.success(request, f"Saved: {road}. Prices and plans use it from now on.")
    return redirect("shuts")


@seller_required
@post_only
def road_unmarked(request: HttpRequest, mark_id: int) -> HttpResponse:
    """The road is one like any other again."""
    unmark_road(mark_id=mark_id, **signed(request))
    messages.success(request, "Forgotten.")
    return redirect("shuts")


def _tell_days(request: HttpRequest, made: steps.ShutMade) -> None:
    if made.days:
        named = ", ".join(day_words(on) for on in made.days)
        messages.warning(request, f"Saved. Plan again, it falls on: {named}.")
    else:
        messages.success(request, "Saved. No planned day is affected.")

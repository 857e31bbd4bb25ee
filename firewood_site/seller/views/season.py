"""The season: what its months earned, and what to do in the weeks ahead."""

from datetime import timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from firewood_site.access import seller_required
from firewood_site.clock import today
from firewood_site.seller.forms.season import SeasonGuessForm
from firewood_site.seller.views.worth import work_is_carried
from inventory.selectors.business import business
from inventory.selectors.spoken import reader_language
from routing.earned.charts import months_chart
from routing.season.charts import season_charts
from routing.selectors.earned.worth import season as season_of_books
from routing.selectors.season.outlook import newest_outlook, season_guesses
from routing.selectors.season.season_problem import what_is_missing
from routing.services.season import guess_season
from routing.tasks import plan_season_in_background

STALE = timedelta(days=7)
SOURCE_PAGES = {
    "Demand": "orders", "Hours": "log", "Days off": "shuts", "Cords an acre": "units",
    "Driving": "haul", "Near loads": "haul", "Rig days": "rigs", "Between yards": "yards",
    "Felling": "shuts", "Slash (": "units", "Slash": "shuts",
}  # fmt: skip


@seller_required
@require_safe
def season(request: HttpRequest) -> HttpResponse:
    is_carried = work_is_carried(request)
    view = season_of_books(today(), request.GET.get("season", ""), is_carried=is_carried)
    wage = business().target_wage
    months = [row.worth for row in view.months]
    chart = months_chart(months, key="season", language=reader_language()) if months else None
    context = {
        "view": view,
        "is_carried": is_carried,
        "waiting": view.waiting,
        "chart": chart,
        "wage": wage,
        "left": view.total.left_after_wages(wage) if view.total else None,
    }
    return render(request, "seller/money/season.html", context)


@seller_required
@require_http_methods(["GET", "HEAD", "POST"])
def season_ahead(request: HttpRequest) -> HttpResponse:
    """This week's decisions and the year they come from; planned by the worker, shown from what is kept."""
    form = SeasonGuessForm(
        request.POST if request.method == "POST" else None, initial=season_guesses(), today=today()
    )
    if request.method == "POST" and form.is_valid():
        guess_season(guesses=form.cleaned_data)
        result = plan_season_in_background.enqueue(today().isoformat(), timezone.now().isoformat())
        failed = result.is_finished and result.return_value != "done"
        messages.add_message(
            request,
            messages.ERROR if failed else messages.SUCCESS,
            result.return_value
            if failed
            else "The season is being planned. It takes some seconds; open this page again then.",
        )
        return redirect("season-ahead")
    kept = newest_outlook()
    outlook = kept if kept and "money" in kept.answer else None  # an earlier version kept other figures
    context = {
        "outlook": outlook,
        "is_old": kept is not outlook,
        "missing": what_is_missing(today()),
        "see": request.GET.get("see", ""),
        "has_room": outlook and any(row["kind"] == "room" for row in outlook.answer["one_more"]),
        "charts": season_charts(outlook.answer["periods"]) if outlook else (),
        "is_stale": outlook is not None and today() - outlook.week_on >= STALE,
        "form": form,
        "wage": business().target_wage,
        "rests": [(name, text, _source_page(name)) for name, text in outlook.answer["rests_on"]]
        if outlook
        else [],
    }
    return render(request, "seller/money/ahead.html", context, status=422 if form.errors else 200)


def _source_page(name: str) -> str:
    """Where the entries behind a figure are; a figure's name may go on: "Cords an acre (Knob)"."""
    return next((reverse(page) for start, page in SOURCE_PAGES.items() if name.startswith(start)), "")

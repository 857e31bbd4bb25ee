"""Several days planned together: which orders, which rigs, which days; the plan is made in the background."""

from datetime import timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from firewood_site.access import seller_required
from firewood_site.clock import now, today
from firewood_site.seller.forms.days import MOST_DAYS, WeekForm
from firewood_site.seller.query_values import day_of_query
from routing.selectors.days.candidates import candidates_between
from routing.selectors.days.week_board import DAYS, week_board
from routing.selectors.rigs import rigs
from routing.services import jobs
from routing.services.days import slow_search_note, usual_seconds
from routing.tasks import plan_in_background

USUAL_DAYS = 6
SUNDAY = 6


@seller_required
@require_http_methods(["GET", "HEAD", "POST"])
def week(request: HttpRequest) -> HttpResponse:
    """Choose days and orders; posting starts the planner and shows how far it is."""
    cleaned = request.POST if request.method == "POST" else request.GET
    first = day_of_query(cleaned.get("first_on", "")) or today()
    last = day_of_query(cleaned.get("last_on", "")) or first + timedelta(days=USUAL_DAYS - 1)
    shown_last = min(max(first, last), first + timedelta(days=MOST_DAYS - 1))
    rows = candidates_between(first, shown_last)
    out = rigs(only_working=True)
    form = WeekForm(
        request.POST if request.method == "POST" else None,
        orders=[row.number for row in rows],
        rigs=[(row.id, row.name) for row in out],
        initial={
            "first_on": first,
            "last_on": shown_last,
            "rigs": [str(row.id) for row in out],
            "weekdays": [str(number) for number in range(7) if number != SUNDAY],
        },
    )
    if request.method == "POST" and form.is_valid():
        return redirect("day-job", _start(form.cleaned_data, request.user.get_username()))
    ticked = set(request.POST.getlist("orders")) if form.is_bound else None
    context = {
        "form": form,
        "slow": slow_search_note(),
        "first": first,
        "last": shown_last,
        "too_long": shown_last < last,
        "chosen": [(row, row.is_suggested if ticked is None else str(row.number) in ticked) for row in rows],
    }
    return render(request, "seller/days/week.html", context, status=422 if form.is_bound else 200)


def _start(cleaned: dict[str, Any], who: str) -> object:
    first, last = cleaned["first_on"], cleaned["last_on"]
    days = [first + timedelta(days=number) for number in range((last - first).days + 1)]
    drives = {int(number) for number in cleaned["weekdays"]}
    key = jobs.start_job(
        first_on=first,
        last_on=last,
        orders=[int(number) for number in cleaned["orders"]],
        at=now(),
        seconds=cleaned["seconds"] or usual_seconds(len(cleaned["orders"]), is_week=True),
        options={
            "rigs": [int(key) for key in cleaned["rigs"]],
            "starts_at": cleaned["starts_at"].isoformat(),
            "ends_at": cleaned["ends_at"].isoformat(),
            "not_on": [day.isoformat() for day in days if day.weekday() not in drives],
            "who": who,
        },
    )
    plan_in_background.enqueue(str(key))
    return key


@seller_required
@require_safe
def week_page(request: HttpRequest) -> HttpResponse:
    """A week of days side by side; orders are moved between them after their price."""
    first = day_of_query(request.GET.get("from", "")) or today()
    context = {
        "first": first,
        "week": week_board(first, today=today()),
        "before": first - timedelta(days=DAYS),
        "after": first + timedelta(days=DAYS),
    }
    return render(request, "seller/days/week_board.html", context)

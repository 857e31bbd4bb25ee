"""Delivery days: the list, and one day chosen, planned, adjusted and committed."""

from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import now, today
from firewood_site.letters import tell
from firewood_site.parts import page_or_part
from firewood_site.seller.asked import day_asked
from firewood_site.seller.forms.days import PlanForm
from firewood_site.seller.posted import posted
from firewood_site.templatetags.firewood import cents_dollars
from inventory.core import InventoryError
from orders.core import OrdersError
from routing.core import RoutingError
from routing.selectors.days import (
    CandidateRow,
    DayView,
    day_view,
    days_list,
    job_view,
    left_out_between,
    live_job,
)
from routing.selectors.rigs import rigs
from routing.selectors.run_maps import map_data, map_of_run
from routing.selectors.yards import yard_names
from routing.services import jobs
from routing.services.days import (
    SMALL_DAY_ORDERS,
    Planned,
    clear_day,
    commit_day,
    plan_day,
    uncommit_day,
)
from routing.services.deliveries import look_done
from routing.services.standing import troubles_of
from routing.tasks import plan_in_background

REFUSALS = (RoutingError, OrdersError, InventoryError)
LIST_DAYS = 21
DAYS_BEFORE = 4


@seller_required
@require_safe
def days(request: HttpRequest) -> HttpResponse:
    """Three weeks of days; what must go stands out."""
    first = day_asked(request.GET.get("from", "")) or today() - timedelta(days=DAYS_BEFORE)
    context = {
        "rows": days_list(first, days=LIST_DAYS),
        "earlier": first - timedelta(days=LIST_DAYS),
        "later": first + timedelta(days=LIST_DAYS),
    }
    return render(request, "seller/days/days.html", context)


@seller_required
@require_safe
def day(request: HttpRequest, on: str) -> HttpResponse:
    return day_page(request, date_of(on))


@seller_required
@posted
def plan(request: HttpRequest, on: str) -> HttpResponse:
    """Plan the chosen orders: a small day at once, a larger one in the background."""
    when = date_of(on)
    view = day_view(when)
    form = _plan_form(view, request.POST)
    if not form.is_valid():
        return day_page(request, when, form=form, status=422)
    said = form.cleaned_data
    numbers = [int(number) for number in said["orders"]]
    options = {
        "rigs": [int(key) for key in said["rigs"]],
        "starts_at": said["starts_at"].isoformat(),
        "ends_at": said["ends_at"].isoformat(),
        "who": request.user.get_username(),
        "around_fixed": view.is_fixed,
    }
    if len(numbers) > SMALL_DAY_ORDERS:
        key = jobs.start_job(
            first_on=when,
            last_on=when,
            orders=numbers,
            at=now(),
            seconds=said["seconds"] or 10,
            options=options,
        )
        plan_in_background.enqueue(str(key))
        return redirect("day-job", key)
    try:
        planned = plan_day(
            on=when,
            at=now(),
            who=request.user.get_username(),
            order_numbers=numbers,
            rig_ids=options["rigs"],
            starts_at=said["starts_at"],
            ends_at=said["ends_at"],
            around_fixed=view.is_fixed,
        )
    except REFUSALS as refusal:
        return day_page(request, when, form=form, trouble=str(refusal), status=422)
    messages.success(request, _planned_words(planned, view))
    return redirect("day", on)


@seller_required
@posted
def commit(request: HttpRequest, on: str) -> HttpResponse:
    """Fix the day and tell the customers their hours."""
    when = date_of(on)
    try:
        done = commit_day(on=when, at=now(), who=request.user.get_username())
    except REFUSALS as refusal:
        return day_page(request, when, trouble=str(refusal), status=422)
    told = sum(tell(number, kind, at=now()) is not None for number, kind in done.letters)
    messages.success(
        request, f"Committed. {told} customer{'' if told == 1 else 's'} told or ready to be told."
    )
    return redirect("day", on)


@seller_required
@posted
def take_back(request: HttpRequest, on: str) -> HttpResponse:
    when = date_of(on)
    try:
        uncommit_day(
            on=when, at=now(), who=request.user.get_username(), reason=request.POST.get("reason", "")
        )
    except REFUSALS as refusal:
        return day_page(request, when, trouble=str(refusal), status=422)
    messages.success(request, "Taken back to a draft. Customers are not told; call those who count on it.")
    return redirect("day", on)


@seller_required
@posted
def clear(request: HttpRequest, on: str) -> HttpResponse:
    when = date_of(on)
    try:
        clear_day(on=when, at=now(), who=request.user.get_username())
    except REFUSALS as refusal:
        return day_page(request, when, trouble=str(refusal), status=422)
    return redirect("day", on)


@seller_required
@posted
def looked(request: HttpRequest, on: str) -> HttpResponse:
    """The seller has dealt with something a phone told."""
    try:
        key = UUID(request.POST.get("key", ""))
    except ValueError as error:
        raise Http404("There is no such event.") from error
    look_done(key=key, at=now(), who=request.user.get_username())
    return redirect("day", on)


@seller_required
@require_safe
def job(request: HttpRequest, key: UUID) -> HttpResponse:
    """How far a planning is; the page asks again while it runs."""
    view = found(job_view(str(key), at=timezone.now()), "This planning is not known any more.")
    context = {
        "job": view,
        "days": days_list(view.first_on, days=view.day_count) if view.shows_days else (),
        "left_out": left_out_between(view.first_on, view.last_on) if view.shows_days else (),
        "is_late_start": view.is_waiting and (now() - view.made_at) > timedelta(seconds=8),
    }
    return page_or_part(request, "seller/days/job.html", "progress", context)


@seller_required
@posted
def stop_job(request: HttpRequest, key: UUID) -> HttpResponse:
    """Keep the best plan so far."""
    jobs.ask_stop(key=key)
    job = job_view(str(key), at=timezone.now())
    if job is not None and job.is_live:
        messages.success(request, "It stops at its next look and keeps the best plan so far.")
    return redirect("day-job", key)


def day_page(
    request: HttpRequest,
    on: date,
    *,
    form: PlanForm | None = None,
    trouble: str = "",
    status: int = 200,
) -> HttpResponse:
    """The day with everything that can be done to it; used by all that changes it."""
    view = day_view(on, at=now() if on == today() else None)
    context = {
        "day": view,
        "form": form or _plan_form(view),
        "chosen": _chosen(view, form),
        "trouble": trouble,
        "troubles": troubles_of(on),
        "job": live_job(on, at=timezone.now()),
        "maps": [(run, map_of_run(run), map_data(run), f"run-map-{run.id}") for run in view.runs],
        "places": _places(view),
        "yards": yard_names(),
        "before": on - timedelta(days=1),
        "after": on + timedelta(days=1),
    }
    return render(request, "seller/days/day.html", context, status=status)


def date_of(text: str) -> date:
    """A date in an address; anything else is not found."""
    return found(day_asked(text), "There is no such day.")


def _plan_form(view: DayView, data: Any = None) -> PlanForm:
    rows = rigs(only_working=True)
    wants_small = any(row.is_suggested and row.small_rig_only for row in view.candidates)
    out = [str(run.rig_id) for run in view.runs]
    if not out and rows:
        largest = max(rows, key=lambda row: row.capacity_ft3)
        out = [str(row.id) for row in rows if row.id == largest.id or (wants_small and row.is_small)]
    run = view.runs[0] if view.runs else None
    initial = {
        "rigs": out,
        "orders": [str(row.number) for row in view.candidates if row.is_suggested],
        "starts_at": run.starts_at if run else "07:00",
        "ends_at": run.ends_at if run else "18:00",
        "seconds": 10,
    }
    return PlanForm(
        data,
        orders=[row.number for row in view.candidates],
        rigs=[(row.id, row.name) for row in rows],
        initial=initial,
    )


def _chosen(view: DayView, form: PlanForm | None) -> tuple[tuple[CandidateRow, bool], ...]:
    if form is not None and form.is_bound:
        ticked = set(form.data.getlist("orders")) if hasattr(form.data, "getlist") else set()
        return tuple((row, str(row.number) in ticked) for row in view.candidates)
    return tuple((row, row.is_suggested) for row in view.candidates)


def _planned_words(planned: Planned, before: DayView) -> str:
    """What came of it, beside the plan it replaces."""
    said = [f"{planned.drops} drop{'' if planned.drops == 1 else 's'} planned."]
    if planned.postponed:
        said.append(f"{len(planned.postponed)} left out, see why.")
    if before.runs and before.cost_cents is not None:
        change = planned.cost_cents - before.cost_cents
        more = "more" if change > 0 else "less"
        words = f"{cents_dollars(abs(change))} {more} than" if change else "the same as"
        said.append(f"It costs {words} the plan before, of {before.drops}.")
    return " ".join(said)


def _places(view: DayView) -> tuple[tuple[str, str], ...]:
    """Where a drop may be put: before each drop, last in each load, or in a load of its own."""
    places = []
    for run in view.runs:
        for load in run.loads:
            places += [
                (f"{load.id}:{drop.sequence}", f"{run.rig}, load {load.sequence}, before {drop.customer}")
                for drop in load.drops
            ]
            places.append((f"{load.id}:{len(load.drops) + 1}", f"{run.rig}, load {load.sequence}, last"))
        places.append((f"run{run.id}:1", f"{run.rig}, a load of its own"))
    return tuple(places)

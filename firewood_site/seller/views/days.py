"""Delivery days: the list, and one day chosen, planned, adjusted and committed."""

from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.calendar_feed import feed_link
from firewood_site.clock import now, signed, today
from firewood_site.letters import tell
from firewood_site.parts import page_or_part
from firewood_site.refusals import refusals
from firewood_site.seller.forms.days import PlanForm
from firewood_site.seller.forms.rigs import crews
from firewood_site.seller.post_only import post_only
from firewood_site.seller.query_values import day_of_query, index_of_query
from firewood_site.seller.steps import step
from firewood_site.templatetags.firewood import cents_dollars
from inventory.selectors.spoken import reader_language
from inventory.selectors.weather import day_forecasts
from orders.selectors.letters import to_tell_count
from routing.selectors.days.board import board_of
from routing.selectors.days.candidates import CandidateRow, rigs_suggested
from routing.selectors.days.day_list import days_list
from routing.selectors.days.day_view import DayView, day_view, left_out_between
from routing.selectors.days.jobs import job_view, live_job
from routing.selectors.drivers import driver_names
from routing.selectors.rigs import rigs
from routing.selectors.runs.run_maps import lines_of, map_data, map_of_runs
from routing.selectors.yards import yard_names
from routing.services import jobs
from routing.services.commits import Committed, clear_day, commit_day, uncommit_day
from routing.services.days import Planned, is_small_day, plan_day, slow_search_note, usual_seconds
from routing.services.driver_events.resolve import Choice, resolve_event
from routing.services.standing import troubles_of
from routing.tasks import plan_in_background

LIST_DAYS = 21
BOARD_MAP = (400, 470)  # drawn about as wide as it is shown, so that its letters are read
DAYS_BEFORE = 4


@seller_required
@require_safe
def days(request: HttpRequest) -> HttpResponse:
    """Three weeks of days; what must go stands out. Of days gone by only those with drops stand above."""
    asked = day_of_query(request.GET.get("from", ""))
    first = asked or today() - timedelta(days=DAYS_BEFORE)
    rows = days_list(first, days=LIST_DAYS, today=today())
    context = {
        "rows": [row for row in rows if asked or row.on >= today() or row.drops or row.must_go],
        "earlier": first - timedelta(days=LIST_DAYS),
        "later": first + timedelta(days=LIST_DAYS),
        "feed": feed_link(request.user),
    }
    return render(request, "seller/days/days.html", context)


@seller_required
@require_safe
def day(request: HttpRequest, on: str) -> HttpResponse:
    return day_page(request, date_of(on))


@seller_required
@post_only
def plan(request: HttpRequest, on: str) -> HttpResponse:
    """Plan the chosen orders: a small day at once, a larger one in the background."""
    when = date_of(on)
    view = day_view(when)
    form = _plan_form(view, request.POST)
    if not form.is_valid():
        return day_page(request, when, form=form, status=422)
    cleaned = form.cleaned_data
    numbers = [int(number) for number in cleaned["orders"]]
    options = {
        "rigs": [int(key) for key in cleaned["rigs"]],
        "starts_at": cleaned["starts_at"].isoformat(),
        "ends_at": cleaned["ends_at"].isoformat(),
        "who": request.user.get_username(),
        "around_fixed": view.is_fixed,
    }
    if not is_small_day(len(numbers)):
        key = jobs.start_job(
            first_on=when,
            last_on=when,
            orders=numbers,
            at=now(),
            seconds=cleaned["seconds"] or usual_seconds(len(numbers)),
            options=options,
        )
        plan_in_background.enqueue(str(key))
        return redirect("day-job", key)
    with refusals() as refused:
        planned = plan_day(
            on=when,
            order_numbers=numbers,
            rig_ids=options["rigs"],
            starts_at=cleaned["starts_at"],
            ends_at=cleaned["ends_at"],
            around_fixed=view.is_fixed,
            **signed(request),
        )
    if refused:
        return day_page(request, when, form=form, problem=refused.text, status=422)
    messages.success(request, _planned_words(planned, view))
    return redirect("day", on)


def _refused(request: HttpRequest, sentence: str, *, on: str, **_more: Any) -> HttpResponse:
    return day_page(request, date_of(on), problem=sentence, status=422)


day_step = step(_refused)


@day_step
@transaction.atomic
def commit(request: HttpRequest, on: str) -> HttpResponse:
    """Fix the day and tell the customers their hours."""
    done = commit_day(on=date_of(on), **signed(request))
    _tell_all(done, by_phone=False)
    messages.success(request, f"{_('Committed.')} {_touched_words(done)}")
    return redirect("day", on)


@day_step
@transaction.atomic
def take_back(request: HttpRequest, on: str) -> HttpResponse:
    done = uncommit_day(on=date_of(on), reason=request.POST.get("reason", ""), **signed(request))
    _tell_all(done, by_phone=True)
    messages.success(request, f"{_('Taken back to a draft.')} {_touched_words(done)}")
    return redirect("day", on)


@day_step
@transaction.atomic
def clear(request: HttpRequest, on: str) -> HttpResponse:
    _tell_all(clear_day(on=date_of(on), **signed(request)), by_phone=True)
    return redirect("day", on)


@day_step
@transaction.atomic
def resolve(request: HttpRequest, on: str) -> HttpResponse:
    """End a conflict between a phone and the plan."""
    try:
        key, choice = UUID(request.POST.get("key", "")), Choice(request.POST.get("choice", "plan"))
    except ValueError as error:
        raise Http404(_("There is no such event.")) from error
    result = resolve_event(key=key, choice=choice, **signed(request))
    for number, letter in result.letters:
        tell(number, letter, at=now())
    messages.success(request, result.text_in(reader_language()) or _("Done."))
    return redirect("day", on)


@seller_required
@require_safe
def job(request: HttpRequest, key: UUID) -> HttpResponse:
    """How far a planning is; the page asks again while it runs."""
    view = found(job_view(str(key), at=timezone.now()), _("This planning is not known any more."))
    context = {
        "job": view,
        "days": days_list(view.first_on, days=view.day_count, today=today()) if view.shows_days else (),
        "left_out": left_out_between(view.first_on, view.last_on) if view.shows_days else (),
        "is_late_start": view.is_waiting and (now() - view.made_at) > timedelta(seconds=8),
    }
    return page_or_part(request, "seller/days/job.html", "progress", context)


@seller_required
@post_only
def stop_job(request: HttpRequest, key: UUID) -> HttpResponse:
    """Keep the best plan so far."""
    jobs.ask_stop(key=key)
    job = job_view(str(key), at=timezone.now())
    if job is not None and job.is_live:
        messages.success(request, _("It stops at its next look and keeps the best plan so far."))
    return redirect("day-job", key)


def _tell_all(done: Committed, *, by_phone: bool) -> None:
    """Write to all a step touches; by_phone: nothing goes out before the seller has looked at it."""
    for number, kind in done.letters:
        tell(number, kind, at=now(), by_phone=by_phone, day=done.on if kind == "day_off" else None)


def _touched_words(done: Committed) -> str:
    count = len(done.letters)
    if not count:
        return _("Nobody has to be told anything new.")
    return ngettext(
        "{count} customer has to be told: e-mails go out by themselves, the rest is under To tell.",
        "{count} customers have to be told: e-mails go out by themselves, the rest is under To tell.",
        count,
    ).format(count=count)


def day_page(
    request: HttpRequest,
    on: date,
    *,
    form: PlanForm | None = None,
    problem: str = "",
    status: int = 200,
) -> HttpResponse:
    """The day with everything that can be done to it; used by all that changes it."""
    view = day_view(on, at=now() if on == today() else None, today=today())
    index = index_of_query(request.GET.get("run", ""))
    looked_at = index if index is not None and index < len(view.runs) else None
    lines = lines_of(view.runs)
    context = {
        "day": view,
        "form": form or _plan_form(view),
        "chosen": _chosen(view, form),
        "waits": any(row.first_on <= on <= row.last_on for row in view.candidates),
        "problem": problem,
        "asks_seconds": not is_small_day(len(view.candidates)),
        "slow": slow_search_note(),
        "troubles": troubles_of(on),
        "job": live_job(on, at=timezone.now()),
        "forecasts": day_forecasts(on),
        "board": board_of(view.runs),
        "looked_at": looked_at,
        "map": map_of_runs(view.runs, width=BOARD_MAP[0], height=BOARD_MAP[1], only=looked_at, lines=lines)
        if view.runs
        else "",
        "map_data": map_data(view.runs, lines) if view.runs else {},
        "places": _places(view),
        "yards": yard_names(),
        "to_tell": to_tell_count(at=now()),
        "crews": crews(driver_names()),
        "before": on - timedelta(days=1),
        "after": on + timedelta(days=1),
    }
    return render(request, "seller/days/day.html", context, status=status)


def date_of(text: str) -> date:
    """A date in an address; anything else is not found."""
    return found(day_of_query(text), _("There is no such day."))


def _plan_form(view: DayView, data: Any = None) -> PlanForm:
    rows = rigs(only_working=True)
    out = [run.rig_id for run in view.runs] or rigs_suggested(view.candidates, rows)
    run = view.runs[0] if view.runs else None
    initial = {
        "rigs": [str(rig_id) for rig_id in out],
        "orders": [str(row.number) for row in view.candidates if row.is_suggested],
        "starts_at": run.starts_at if run else "07:00",
        "ends_at": run.ends_at if run else "18:00",
        "seconds": usual_seconds(sum(row.is_suggested for row in view.candidates)),
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
    drops = ngettext("{count} drop planned.", "{count} drops planned.", planned.drops)
    cleaned = [drops.format(count=planned.drops)]
    if planned.postponed:
        cleaned.append(_("{count} left out, see why.").format(count=len(planned.postponed)))
    if before.runs and before.cost_cents is not None:
        change = planned.cost_cents - before.cost_cents
        text = _("It costs the same as the plan before, of {drops}.")
        if change > 0:
            text = _("It costs {dollars} more than the plan before, of {drops}.")
        elif change:
            text = _("It costs {dollars} less than the plan before, of {drops}.")
        cleaned.append(text.format(dollars=cents_dollars(abs(change)), drops=before.drops))
    return " ".join(cleaned)


def _places(view: DayView) -> tuple[tuple[str, str], ...]:
    """Where a drop may be put: before each drop, last in each load, or in a load of its own."""
    places = []
    for run in view.runs:
        for load in run.loads:
            places += [
                (
                    f"{load.id}:{drop.sequence}",
                    _("{rig}, load {number}, before {customer}").format(
                        rig=run.rig, number=load.sequence, customer=drop.order.customer.name
                    ),
                )
                for drop in load.drops
            ]
            last = _("{rig}, load {number}, last").format(rig=run.rig, number=load.sequence)
            places.append((f"{load.id}:{len(load.drops) + 1}", last))
        places.append((f"run{run.id}:1", _("{rig}, a load of its own").format(rig=run.rig)))
    return tuple(places)

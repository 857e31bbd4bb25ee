"""Hand edits of a day: each is re-timed and refereed before it is kept."""

from collections.abc import Callable
from datetime import date, time

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from firewood_site.clock import signed
from firewood_site.refusals import PageRefusal
from firewood_site.seller.forms.days import HoursForm
from firewood_site.seller.query_values import place_of_query, row_of_query
from firewood_site.seller.views.days import date_of, day_step
from firewood_site.templatetags.firewood import cents_dollars, clock, hours_minutes
from inventory.selectors.spoken import reader_language
from routing.selectors.drivers import driver_names
from routing.services import edits, yard_swaps
from routing.services.history import take_back
from routing.services.kept_edits import Adjusted


@day_step
def edit(request: HttpRequest, on: str) -> HttpResponse:
    """One change, named by the button that was pressed."""
    act = ACTS.get(request.POST.get("act", ""))
    if act is None:
        raise Http404(_("There is no such change."))
    done = act(request, date_of(on))
    if done is not None:
        messages.success(request, _said(done))
    return redirect("day", on)


def _move(request: HttpRequest, on: date) -> Adjusted:
    load_id, run_id, position = place_of_query(request.POST.get("place", ""))
    return edits.move_drop(
        on=on,
        stop_id=_number(request, "stop"),
        to_load_id=load_id,
        to_run_id=run_id,
        position=position,
        **signed(request),
    )


def _bring(request: HttpRequest, on: date) -> Adjusted:
    load_id, run_id, position = place_of_query(request.POST.get("place", ""))
    return edits.bring_along(
        on=on,
        number=_number(request, "number"),
        to_load_id=load_id,
        run_id=run_id or 0,
        position=position,
        **signed(request),
    )


def _take_off(request: HttpRequest, on: date) -> Adjusted:
    return edits.take_off(on=on, number=_number(request, "number"), **signed(request))


def _swap(request: HttpRequest, on: date) -> Adjusted:
    return yard_swaps.swap_yard(
        on=on, load_id=_number(request, "load"), yard_id=_number(request, "yard"), **signed(request)
    )


def _pin(request: HttpRequest, on: date) -> None:
    edits.pin_drop(
        on=on, stop_id=_number(request, "stop"), pinned=request.POST.get("pinned") == "1", **signed(request)
    )


def _freeze(request: HttpRequest, on: date) -> None:
    edits.freeze_run(
        on=on, run_id=_number(request, "run"), frozen=request.POST.get("frozen") == "1", **signed(request)
    )


def _hours(request: HttpRequest, on: date) -> Adjusted:
    form = HoursForm(request.POST, people=driver_names())
    if not form.is_valid():
        said = _("Write both hours, such as {hour}, and choose driver and helper from the list.")
        raise PageRefusal(said.format(hour=clock(time(7, 30))))
    return edits.set_hours(on=on, run_id=_number(request, "run"), **form.cleaned_data, **signed(request))


def _undo(request: HttpRequest, on: date) -> None:
    verb = take_back(on=on, step="undo", **signed(request))
    messages.success(request, _("Taken back: {verb}.").format(verb=verb.text_in(reader_language())))


def _redo(request: HttpRequest, on: date) -> None:
    verb = take_back(on=on, step="redo", **signed(request))
    messages.success(request, _("Done again: {verb}.").format(verb=verb.text_in(reader_language())))


ACTS: dict[str, Callable[[HttpRequest, date], Adjusted | None]] = {
    "move": _move,
    "bring": _bring,
    "take-off": _take_off,
    "swap": _swap,
    "pin": _pin,
    "freeze": _freeze,
    "hours": _hours,
    "undo": _undo,
    "redo": _redo,
}


def _said(done: Adjusted) -> str:
    minutes = round(done.change_seconds / 60)
    if not done.change_cents and not minutes:
        return _("Changed, and the times are new. It costs the same.")
    cost = _("It costs {dollars} more.") if done.change_cents > 0 else _("It costs {dollars} less.")
    told = [_("Changed, and the times are new."), cost.format(dollars=cents_dollars(abs(done.change_cents)))]
    if minutes:
        takes = _("It takes {minutes} longer.") if minutes > 0 else _("It takes {minutes} less.")
        told.append(takes.format(minutes=hours_minutes(abs(minutes))))
    return " ".join(told)


def _number(request: HttpRequest, name: str) -> int:
    row = row_of_query(request.POST.get(name, ""))
    if not row:
        raise Http404(_("There is no such thing on the day."))
    return row

"""Hand edits of a day: each is re-timed and refereed before it is kept."""

from collections.abc import Callable
from datetime import date

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from firewood_site.access import seller_required
from firewood_site.clock import now
from firewood_site.seller.forms.days import HoursForm
from firewood_site.seller.posted import posted
from firewood_site.seller.views.days import REFUSALS, date_of, day_page
from firewood_site.templatetags.firewood import cents_dollars, hours_minutes
from routing.services import edits
from routing.services.edits import Adjusted


@seller_required
@posted
def edit(request: HttpRequest, on: str) -> HttpResponse:
    """One change, named by the button that was pressed."""
    when = date_of(on)
    act = ACTS.get(request.POST.get("act", ""))
    if act is None:
        raise Http404("There is no such change.")
    try:
        done = act(request, when)
    except REFUSALS as refusal:
        return day_page(request, when, trouble=str(refusal), status=422)
    if isinstance(done, str):
        return day_page(request, when, trouble=done, status=422)
    if done is not None:
        messages.success(request, _said(done))
    return redirect("day", on)


def _move(request: HttpRequest, on: date) -> Adjusted:
    place, position = _place(request)
    return edits.move_drop(
        on=on,
        stop_id=_number(request, "stop"),
        to_load_id=None if place.startswith("run") else int(place),
        to_run_id=int(place[3:]) if place.startswith("run") else None,
        position=position,
        at=now(),
        who=request.user.get_username(),
    )


def _bring(request: HttpRequest, on: date) -> Adjusted:
    place, position = _place(request)
    return edits.bring_along(
        on=on,
        number=_number(request, "number"),
        to_load_id=None if place.startswith("run") else int(place),
        run_id=int(place[3:]) if place.startswith("run") else 0,
        position=position,
        at=now(),
        who=request.user.get_username(),
    )


def _take_off(request: HttpRequest, on: date) -> Adjusted:
    return edits.take_off(on=on, number=_number(request, "number"), at=now(), who=request.user.get_username())


def _swap(request: HttpRequest, on: date) -> Adjusted:
    return edits.swap_yard(
        on=on,
        load_id=_number(request, "load"),
        yard_id=_number(request, "yard"),
        at=now(),
        who=request.user.get_username(),
    )


def _pin(request: HttpRequest, on: date) -> None:
    edits.pin_drop(
        on=on,
        stop_id=_number(request, "stop"),
        pinned=request.POST.get("pinned") == "1",
        at=now(),
        who=request.user.get_username(),
    )


def _freeze(request: HttpRequest, on: date) -> None:
    edits.freeze_run(
        on=on,
        run_id=_number(request, "run"),
        frozen=request.POST.get("frozen") == "1",
        at=now(),
        who=request.user.get_username(),
    )


def _hours(request: HttpRequest, on: date) -> Adjusted | str:
    form = HoursForm(request.POST)
    if not form.is_valid():
        return "Write both hours as 07:30."
    return edits.set_hours(
        on=on,
        run_id=_number(request, "run"),
        at=now(),
        who=request.user.get_username(),
        **form.cleaned_data,
    )


ACTS: dict[str, Callable[[HttpRequest, date], Adjusted | str | None]] = {
    "move": _move,
    "bring": _bring,
    "take-off": _take_off,
    "swap": _swap,
    "pin": _pin,
    "freeze": _freeze,
    "hours": _hours,
}


def _said(done: Adjusted) -> str:
    minutes = round(done.change_seconds / 60)
    if not done.change_cents and not minutes:
        return "Changed and timed anew. It costs the same."
    more = "more" if done.change_cents > 0 else "less"
    longer = "longer" if minutes > 0 else "shorter"
    takes = f" and takes {hours_minutes(abs(minutes))} {longer}" if minutes else ""
    return f"Changed and timed anew. It costs {cents_dollars(abs(done.change_cents))} {more}{takes}."


def _place(request: HttpRequest) -> tuple[str, int]:
    where, _, position = request.POST.get("place", "").partition(":")
    if not where.removeprefix("run").isdigit() or not position.isdigit():
        raise Http404("There is no such place on the day.")
    return where, int(position)


def _number(request: HttpRequest, name: str) -> int:
    text = request.POST.get(name, "")
    if not text.isdigit():
        raise Http404("There is no such thing on the day.")
    return int(text)

"""Where phones tell what happened: JSON from the queue, or a plain form where there is no JavaScript."""

import json
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from firewood_site.access import driver_required
from firewood_site.clock import now, signed, today
from firewood_site.driver.incoming import MOST_AT_ONCE, BadEvent, apply_event, read_event
from firewood_site.letters import tell
from firewood_site.photos import BadPhoto, keep_photo
from firewood_site.refusals import refusal_words, refusals
from inventory.selectors.spoken import reader_language
from routing.selectors.days.driver_events import events_to_look_at
from routing.selectors.runs.runs import run_of_drop
from routing.services.driver_events.record import UnknownKind, record_event
from routing.services.driver_events.resolve import Choice, resolve_event
from routing.services.driver_events.values import IncomingEvent


@driver_required
@require_POST
def take_events(request: HttpRequest) -> HttpResponse:
    """A queue of events as JSON, each answered by its key; or one plain form."""
    if request.content_type != "application/json":
        return _plain_form(request)
    try:
        sent = json.loads(request.body)
        events = list(sent["events"])[:MOST_AT_ONCE]
    except (ValueError, KeyError, TypeError, RecursionError):
        return JsonResponse({"error": _("Send a list of events.")}, status=400)
    return JsonResponse({"results": [_answer(event, request) for event in events]})


@driver_required
@require_POST
def resolve(request: HttpRequest) -> HttpResponse:
    """End a conflict between a phone and the plan."""
    try:
        key, choice = UUID(request.POST.get("key", "")), Choice(request.POST.get("choice", ""))
    except ValueError as error:
        raise Http404(_("There is no such event.")) from error
    with refusals() as refused, transaction.atomic():
        result = resolve_event(key=key, choice=choice, **signed(request))
        for number, letter in result.letters:
            tell(number, letter, at=now())
    if refused:
        messages.error(request, refused.text)
        return redirect("driver-told")
    messages.success(request, result.text_in(reader_language()) or _("Done."))
    return redirect("driver-told")


@driver_required
@require_POST
def take_photo(request: HttpRequest) -> HttpResponse:
    """One photo of a drop, kept once however often it is sent."""
    try:
        event = read_event({**request.POST.dict(), "kind": "photo"})
        note = _keep_photo(request, stop_id=event.stop_id, key=event.key)
    except (BadEvent, BadPhoto) as problem:
        return JsonResponse(
            {"uuid": request.POST.get("uuid", ""), "outcome": "refused", "message": refusal_words(problem)}
        )
    return JsonResponse({"uuid": str(event.key), "outcome": "applied", "message": note})


@driver_required
@require_safe
def told(request: HttpRequest) -> HttpResponse:
    """What this phone still keeps, and what could not be booked."""
    return render(request, "driver/told.html", {"kept": events_to_look_at(on=today())})


def _answer(event: Any, request: HttpRequest) -> dict[str, str]:
    """One event's fate. Only what is named as applied, conflict or refused leaves the phone's queue."""
    key = str(event.get("uuid", "")) if isinstance(event, dict) else ""
    try:
        event = read_event(event if isinstance(event, dict) else {})
        outcome = apply_event(event, who=request.user.get_username())
    except (BadEvent, UnknownKind) as problem:
        return {"uuid": key, "outcome": "refused", "message": refusal_words(problem)}
    word = outcome.outcome if outcome.is_new else f"known_{outcome.outcome}"
    return {"uuid": key, "outcome": word, "message": outcome.message}


def _plain_form(request: HttpRequest) -> HttpResponse:
    sent = _form(request.POST)
    back = str(sent.get("next", ""))
    if not back.startswith("/") or not url_has_allowed_host_and_scheme(back, allowed_hosts=None):
        back = "run-today"
    try:
        event = read_event(sent)
        outcome = apply_event(event, who=request.user.get_username())
        if request.FILES.get("photo"):
            _keep_photo(request, stop_id=event.stop_id, key=None)
    except (BadEvent, UnknownKind, BadPhoto) as problem:
        messages.error(request, refusal_words(problem))
        return redirect(back)
    if outcome.outcome == "conflict":
        messages.warning(request, outcome.message)
    else:
        messages.success(request, _("Saved."))
    return redirect(back)


def _form(posted: QueryDict) -> dict[str, Any]:
    sent: dict[str, Any] = posted.dict()
    if "ticks" in posted:
        sent["ticks"] = posted.getlist("ticks")
    return sent


def _keep_photo(request: HttpRequest, *, stop_id: int | None, key: UUID | None) -> str:
    """Keep the photo under its order's name; a key that was seen keeps nothing.

    Errors
        BadEvent: it belongs to no drop. BadPhoto: it is no picture.
    """
    run = run_of_drop(stop_id) if stop_id else None
    drop = next((drop for drop in run.drops if drop.id == stop_id), None) if run else None
    photo = request.FILES.get("photo")
    if drop is None or photo is None:
        raise BadEvent("A photo came without a drop it shows.")
    if key is not None:
        event = record_event(
            IncomingEvent(
                key=key, kind="photo", at=now(), input={"order": drop.order.number}, stop_id=stop_id
            ),
            received_at=now(),
            who=request.user.get_username(),
        )
        if not event.is_new:
            return _("This photo is here already.")
    keep_photo(
        file=photo,
        about=drop.order.reference,
        purpose="drop",
        taken_on=today(),
        at=now(),
        note=request.POST.get("note", ""),
    )
    return ""

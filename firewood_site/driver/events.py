"""Where phones tell what happened: JSON from the queue, or a plain form where there is no JavaScript."""

import json
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from firewood_site.access import driver_required
from firewood_site.clock import now, today
from firewood_site.driver.said import MOST_AT_ONCE, NotUnderstood, apply_phrase, read_phrase
from firewood_site.photos import BadPhoto, keep_photo
from routing.selectors.runs import events_to_look_at, run_of_drop
from routing.services.deliveries import UnknownKind, record_event


@driver_required
@require_POST
def take_events(request: HttpRequest) -> HttpResponse:
    """A queue of events as JSON, each answered by its key; or one plain form."""
    if request.content_type != "application/json":
        return _plain_form(request)
    try:
        sent = json.loads(request.body)
        events = list(sent["events"])[:MOST_AT_ONCE]
    except (ValueError, KeyError, TypeError):
        return JsonResponse({"error": "Send a list of events."}, status=400)
    return JsonResponse({"results": [_answer(event, request) for event in events]})


@driver_required
@require_POST
def take_photo(request: HttpRequest) -> HttpResponse:
    """One photo of a drop, kept once however often it is sent."""
    try:
        phrase = read_phrase({**request.POST.dict(), "kind": "photo"})
        note = _keep_photo(request, stop_id=phrase.stop_id, key=phrase.key)
    except (NotUnderstood, BadPhoto) as trouble:
        return JsonResponse(
            {"uuid": request.POST.get("uuid", ""), "outcome": "refused", "message": str(trouble)}
        )
    return JsonResponse({"uuid": str(phrase.key), "outcome": "applied", "message": note})


@driver_required
@require_safe
def told(request: HttpRequest) -> HttpResponse:
    """What this phone still keeps, and what could not be booked."""
    return render(request, "driver/told.html", {"kept": events_to_look_at(on=today())})


def _answer(event: Any, request: HttpRequest) -> dict[str, str]:
    """One event's fate. Only what is named as applied, conflict or refused leaves the phone's queue."""
    key = str(event.get("uuid", "")) if isinstance(event, dict) else ""
    try:
        phrase = read_phrase(event if isinstance(event, dict) else {})
        outcome = apply_phrase(phrase, who=request.user.get_username())
    except (NotUnderstood, UnknownKind) as trouble:
        return {"uuid": key, "outcome": "refused", "message": str(trouble)}
    word = outcome.outcome if outcome.is_new else f"known_{outcome.outcome}"
    return {"uuid": key, "outcome": word, "message": outcome.message}


def _plain_form(request: HttpRequest) -> HttpResponse:
    sent = _form(request.POST)
    back = str(sent.get("next", ""))
    if not back.startswith("/") or not url_has_allowed_host_and_scheme(back, allowed_hosts=None):
        back = "run-today"
    try:
        phrase = read_phrase(sent)
        outcome = apply_phrase(phrase, who=request.user.get_username())
        if request.FILES.get("photo"):
            _keep_photo(request, stop_id=phrase.stop_id, key=None)
    except (NotUnderstood, UnknownKind, BadPhoto) as trouble:
        messages.error(request, str(trouble))
        return redirect(back)
    if outcome.outcome == "conflict":
        messages.warning(request, outcome.message)
    else:
        messages.success(request, "Kept.")
    return redirect(back)


def _form(posted: QueryDict) -> dict[str, Any]:
    sent: dict[str, Any] = posted.dict()
    if "ticks" in posted:
        sent["ticks"] = posted.getlist("ticks")
    return sent


def _keep_photo(request: HttpRequest, *, stop_id: int | None, key: UUID | None) -> str:
    """Keep the photo under its order's name; a key that was seen keeps nothing.

    Errors
        NotUnderstood: it belongs to no drop. BadPhoto: it is no picture.
    """
    run = run_of_drop(stop_id) if stop_id else None
    drop = next((drop for drop in run.drops if drop.id == stop_id), None) if run else None
    photo = request.FILES.get("photo")
    if drop is None or photo is None:
        raise NotUnderstood("A photo came without a drop it shows.")
    if key is not None:
        event = record_event(
            key=key,
            kind="photo",
            happened_at=now(),
            received_at=now(),
            who=request.user.get_username(),
            said={"order": drop.number},
            stop_id=stop_id,
        )
        if not event.is_new:
            return "This photo is here already."
    keep_photo(
        file=photo,
        about=f"order {drop.number}",
        purpose="drop",
        taken_on=today(),
        at=now(),
        note=request.POST.get("note", ""),
    )
    return ""

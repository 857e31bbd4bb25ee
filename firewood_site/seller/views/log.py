"""Log it: a morning on one sheet, from a form or from what a phone kept while it had no signal."""

import json
from datetime import date
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from firewood_site.access import seller_required
from firewood_site.clock import now, phone_time, signed, today
from firewood_site.photos import keep_photo
from firewood_site.refusals import refusals
from firewood_site.seller.forms.log import LogForm
from firewood_site.seller.log_page import log_page, logged_last, sheet_form
from firewood_site.seller.post_only import post_only
from inventory.selectors.logged import logged_sheet
from inventory.selectors.lot import lot_page
from inventory.selectors.spoken import in_language
from inventory.services.logged import Logged, keep_log_photo, log_work
from inventory.services.sheets import Amount, amount_of
from inventory.services.unlogged import take_back
from routing.quoting.moves import HaulOffer, haul_to

MOST_AT_ONCE = 50
MOST_OF_ONE, LONGEST = 40, 400  # values of a field, and letters of a value, that a phone may send


@seller_required
def log(request: HttpRequest) -> HttpResponse:
    if request.content_type == "application/json":
        return _from_phone(request)
    if getattr(request, "htmx", False) and request.method == "GET":
        return _estimate(request)
    form = sheet_form(request.POST or None, request.FILES or None, initial=_first(request))
    if request.method == "POST" and form.is_valid():
        with refusals(form):
            done = _write(form, request, on=today())
            if form.cleaned_data["photo"]:
                _keep_photo(form.cleaned_data["photo"], done.key)
            messages.success(request, _said(done))
            if done.lot_code and "measure" in form.cleaned_data["steps"]:
                return redirect("lot", code=done.lot_code)
            return redirect(logged_last())
    return log_page(request, sheet=form)


def _first(request: HttpRequest) -> dict[str, Any]:
    """What the address says already: which wood, what is to be done with it."""
    asked = request.GET
    return {
        "wood": asked.get("lot") or asked.get("wood", ""),
        "steps": asked.getlist("steps"),
        "amount": asked.get("amount", Amount.WORKED),
        "people": [request.user.get_username()],
    }


def _estimate(request: HttpRequest) -> HttpResponse:
    """The cords of what is tapped and written so far, and the road if it is to be moved; nothing is kept."""
    form = sheet_form(request.GET)
    form.is_valid()
    cleaned = form.cleaned_data
    found = cleaned.get("measured")
    wrong = [error for name in ("shape", "size", "cords") for error in form.errors.get(name, [])]
    cords = found.volume.in_cords()[1] if found else cleaned.get("cords")
    road = _haul(str(cleaned.get("wood")), cleaned.get("to_yard"), cords)
    context = {"found": found, "problem": wrong[0] if wrong else "", "road": road}
    return render(request, "seller/stock/log.html#found", context)


@seller_required
@require_POST
def log_photo(request: HttpRequest) -> JsonResponse:
    """The photo of a sheet a phone sent; kept once however often it comes."""
    answer = {"uuid": request.POST.get("uuid", ""), "outcome": "applied", "message": ""}
    row = logged_sheet(request.POST.get("sheet", ""))
    with refusals() as refused:
        if row is not None and request.FILES.get("photo"):
            _keep_photo(request.FILES["photo"], row.key)
    if refused:
        answer |= {"outcome": "refused", "message": refused.text}
    return JsonResponse(answer)


@seller_required
@post_only
def log_take_back(request: HttpRequest, key: UUID) -> HttpResponse:
    with refusals() as refused:
        take_back(key=key, **signed(request))
        messages.success(request, _("Taken back: hours, amount and steps."))
    if refused:
        messages.error(request, refused.text)
    return redirect(logged_last())


def _from_phone(request: HttpRequest) -> JsonResponse:
    """A queue of sheets as JSON, each answered by its key."""
    try:
        sheets = list(json.loads(request.body)["events"])[:MOST_AT_ONCE]
    except (ValueError, KeyError, TypeError, RecursionError):
        return JsonResponse({"error": "Send a list of events."}, status=400)
    return JsonResponse({"results": [_answer(sheet, request) for sheet in sheets]})


def _answer(sheet: Any, request: HttpRequest) -> dict[str, str]:
    """One sheet's fate. What is refused stays on the phone until somebody puts it right there."""
    fields = sheet if isinstance(sheet, dict) else {}
    form = sheet_form(_as_form(fields))
    answer = {"uuid": str(fields.get("uuid", "")), "outcome": "refused"}
    if form.is_valid():
        with refusals(form):
            moment = phone_time(str(fields.get("at") or ""))
            done = _write(form, request, on=moment.date())
            outcome = "applied" if done.is_new else "known_applied"
            return {**answer, "outcome": outcome, "message": _said(done)}
    return {**answer, "message": " ".join(str(error) for errors in form.errors.values() for error in errors)}


def _as_form(fields: dict[str, Any]) -> QueryDict:
    """A phone's JSON as a form would have sent it."""
    query = QueryDict(mutable=True)
    for name, value in fields.items():
        values = value if isinstance(value, list) else [value]
        query.setlist(str(name), [str(one)[:LONGEST] for one in values[:MOST_OF_ONE]])
    query["key"] = str(fields.get("uuid", ""))
    return query


def _write(form: LogForm, request: HttpRequest, *, on: date) -> Logged:
    sheet = form.sheet(today=on)
    told = {"key": form.cleaned_data["key"], "at": now(), "who": request.user.get_username()}
    haul = _haul(sheet.lot_code, sheet.to_yard_id, amount_of(sheet))
    return log_work(sheet=sheet, haul=haul, **told)


def _said(done: Logged) -> str:
    return f"{capfirst(in_language(done.text))}."


def _haul(lot_code: str, to_yard_id: int | None, cords: Fraction | None) -> HaulOffer | None:
    """The drive of a move."""
    page = lot_page(lot_code, today()) if lot_code and to_yard_id else None
    if page is None or to_yard_id is None:
        return None
    return haul_to(page.row, to_yard_id=to_yard_id, cords=cords, on=today())


def _keep_photo(file: Any, key: UUID) -> None:
    """Under the name of what it shows; a sheet has one photo, the first."""
    row = logged_sheet(str(key))
    if row is not None and not row.has_photo:
        kept = keep_photo(file=file, about=row.about, purpose="after", taken_on=row.on, at=now())
        keep_log_photo(key=key, photo_id=kept.id)

"""Whom a change touches: messages ready to be told, in each person's language, one tap each."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import now, signed, today
from firewood_site.letter_names import letter_name
from firewood_site.letters import about_clock, ready_text, sms_link, tell, tell_waiting
from firewood_site.refusals import refusals
from firewood_site.seller.forms.orders import WaitingForm
from firewood_site.seller.post_only import post_only
from firewood_site.seller.steps import step, told_at
from firewood_site.wood_words import wood_title
from orders.selectors.letters import ToTell, to_tell, told_of, told_since
from orders.selectors.orders import order_view
from orders.selectors.waiting import waiting_list, woods_to_wait_for
from orders.services.letters import leave_untold, mark_told, send_again
from orders.services.waiting import stop_waiting, wait_for_wood
from routing.selectors.days.today import LateDrop, late_drops

TOLD_SHOWN = timedelta(hours=12)


@dataclass(frozen=True, slots=True, kw_only=True)
class TellRow:
    """A message as the page shows it. stop_id: of a lateness that nobody has written of yet, else 0."""

    message: ToTell
    sms: str
    what: str
    stop_id: int = 0


@seller_required
@require_safe
def tell_page(request: HttpRequest) -> HttpResponse:
    return _page(request)


def _page(request: HttpRequest, *, form: WaitingForm | None = None) -> HttpResponse:
    context = {"form": form or WaitingForm(woods=_woods()), **tell_context(now())}
    return render(request, "seller/orders/tell.html", context, status=422 if form else 200)


def tell_context(at: datetime) -> dict[str, Any]:
    return {
        "rows": [*late_rows(at), *(_row(row) for row in to_tell(at=at))],
        "told": [_row(row) for row in told_since(at - TOLD_SHOWN)],
        "waiting": waiting_list(today(), at=now()),
    }


def _woods() -> list[tuple[str, str]]:
    return [(f"{wood}:{dryness}", wood_title(wood, dryness)) for wood, dryness in woods_to_wait_for(today())]


@seller_required
@post_only
def wait(request: HttpRequest) -> HttpResponse:
    """Put on the waiting list somebody who called."""
    form = WaitingForm(request.POST, woods=_woods())
    if form.is_valid():
        cleaned = form.cleaned_data
        wood, _sign, dryness = cleaned["choice"].partition(":")
        with refusals(form):
            wait_for_wood(
                key=cleaned["key"],
                name=cleaned["name"],
                phone=cleaned["phone"],
                wood=wood,
                dryness=dryness,
                cords=cleaned["cords"] or Fraction(0),
                typed_by_staff=True,
                **signed(request),
            )
            messages.success(
                request, _("{name} is on the waiting list.").format(name=form.cleaned_data["name"])
            )
            return redirect(f"{reverse('tell')}#waiting")
    return _page(request, form=form)


@step(told_at("tell", tail="#waiting"))
def waiting(request: HttpRequest) -> HttpResponse:
    """Tell people on the waiting list that their wood can be had, or take one off it."""
    chosen = set(request.POST.getlist("entry"))
    rows = [row for row in waiting_list(today(), at=now()) if f"{row.id}" in chosen]
    if request.POST.get("act") == "tell":
        written = sum(tell_waiting(row, at=now()) for row in rows)
        told = ngettext(
            "{count} message is written: e-mails go out by themselves, texts wait below.",
            "{count} messages are written: e-mails go out by themselves, texts wait below.",
            written,
        )
        messages.success(request, told.format(count=written))
    elif request.POST.get("act") == "remove":
        for row in rows:
            stop_waiting(entry_id=row.id, **signed(request))
    else:
        raise Http404(_("There is no such step."))
    return redirect(f"{reverse('tell')}#waiting")


def late_rows(at: datetime) -> list[TellRow]:
    """Those whose wood comes after the hours they were promised and who have not heard of it today."""
    late = late_drops(timezone.localdate(at), at=at)
    morning = timezone.localtime(at).replace(hour=0, minute=0, second=0, microsecond=0)
    heard = told_of("late", [drop.number for drop in late], since=morning) if late else set()
    rows = [_late_row(drop) for drop in late if drop.number not in heard]
    return [row for row in rows if row is not None]


@step(told_at("tell"))
@transaction.atomic
def told(request: HttpRequest, letter: int) -> HttpResponse:
    """What became of one message: told, not told after all, sent by e-mail, or needless."""
    act = request.POST.get("act", "")
    if act in ("told", "not"):
        mark_told(letter_id=letter or _late_letter(request), told=act == "told", **signed(request))
    elif act == "email":
        number = next((row.number for row in to_tell(at=now()) if row.id == letter), None)
        send_again(letter_id=letter, number=number)
    elif act == "skip":
        leave_untold(letter_id=letter, **signed(request))
    else:
        raise Http404(_("There is no such step."))
    return redirect("tell")


def _late_letter(request: HttpRequest) -> int:
    """The letter of a lateness, written as it is told."""
    stop = request.POST.get("stop", "")
    late = late_drops(timezone.localdate(now()), at=now())
    drop = next((drop for drop in late if f"{drop.stop_id}" == stop), None)
    view = order_view(drop.number) if drop else None
    if drop is None or view is None:
        raise Http404(_("This drop is not late any more."))
    when = about_clock(drop.now_at, language=view.customer.language)
    return tell(drop.number, "late", at=now(), by_phone=True, time=when) or 0


def _late_row(drop: LateDrop) -> TellRow | None:
    view = order_view(drop.number)
    if view is None:
        return None
    text = ready_text(view, "late", time=about_clock(drop.now_at, language=view.customer.language))
    if text is None:
        return None
    message = ToTell(
        number=drop.number,
        customer=view.customer.name,
        phone=view.customer.phone,
        has_text=not view.customer.is_landline,
        kind="late",
        body=text.text,
        language=text.language,
    )
    return replace(_row(message), stop_id=drop.stop_id)


def _row(row: ToTell) -> TellRow:
    return TellRow(
        message=row,
        sms=sms_link(row.phone, row.body) if row.has_text else "",
        what=letter_name(row.kind),
    )

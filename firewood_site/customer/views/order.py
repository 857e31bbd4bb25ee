"""One order by its signed link: where it stands, changes until the cut-off, calendar, ticket, again."""

from datetime import UTC, date, datetime, time
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST
from icalendar import Calendar, Event

from firewood_site import throttle
from firewood_site.access import is_order_token, order_number_of, order_path
from firewood_site.calling_off import call_off
from firewood_site.clock import now, today
from firewood_site.customer.forms import WINDOWS, ChangeForm
from firewood_site.customer.views.quote import DAYS_SHOWN, QUOTES_A_WHILE, WINDOW_MINUTES
from firewood_site.languages import in_their_language
from firewood_site.letters import cut_off_words, order_link, read_stop_token, tell, wood_words
from firewood_site.quoting import Asked, NotHere, price_want
from firewood_site.refusals import refusal_words
from firewood_site.templatetags.firewood import day as day_words
from firewood_site.ticket_pdf import can_print, ticket_pdf
from inventory.selectors.business import business
from orders.core import OrdersError
from orders.core.lifecycle import NOON
from orders.core.wants import How
from orders.selectors.customers import wants_reminder
from orders.selectors.orders import OrderView, order_view
from orders.selectors.prices import towns
from orders.selectors.tickets import ticket_of
from orders.services.asking import Access, change_order
from orders.services.customers import set_reminder

STEPS = ("asked", "confirmed", "planned", "on_the_way", "delivered")
ENDED = ("declined", "cancelled")


def linked_order(request: HttpRequest, token: str) -> OrderView:
    """The order of a signed link; guessing is slow and tells nothing.

    Errors
        Http404: forged, revoked or too old.
    """
    number = order_number_of(token)
    view = order_view(number) if number is not None else None
    if view is None or not is_order_token(token, view.link_secret):
        try:
            throttle.count_or_refuse(request, "link", most=30, minutes=10)
        except throttle.TooMany as refusal:
            raise Http404(str(refusal)) from refusal
        raise Http404(_("This link is not valid any more. Ask us for a new one."))
    return view


@in_their_language
@require_GET
def status(request: HttpRequest, token: str) -> HttpResponse:
    """Where the order stands, in one phone screen."""
    view = linked_order(request, token)
    return _shown(request, token, view)


@in_their_language
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, token: str) -> HttpResponse:
    """Change what may be changed until the cut-off."""
    view = linked_order(request, token)
    others = [
        day
        for day in view.days
        if day.on != view.first_on and day.on > today() and view.state in ("asked", "confirmed")
    ]
    days = [(day.isoformat(), day_words(day)) for day in (view.first_on, *(other.on for other in others))]
    initial = {
        "day": view.first_on.isoformat(),
        "window": _window_of(view.window_from, view.window_to),
        "drop_spot": view.drop_spot,
        "gate_code": view.gate_code,
        "access_note": view.access_note,
        "note": view.note,
    }
    form = ChangeForm(request.POST or None, initial=initial, days=days)
    status_code = 200
    if request.method == "POST":
        status_code = 422
        if form.is_valid():
            said = form.cleaned_data
            window_from, window_to = WINDOWS[said["window"]]
            chosen = date.fromisoformat(said["day"]) if said["day"] else None
            try:
                change_order(
                    number=view.number,
                    at=now(),
                    access=Access(
                        drop_spot=said["drop_spot"],
                        gate_code=said["gate_code"],
                        access_note=said["access_note"],
                    ),
                    note=said["note"],
                    day=chosen if chosen != view.first_on else None,
                    window_from=window_from,
                    window_to=window_to,
                    cut_off_hour=business().change_cut_off_hour,
                )
                return redirect(order_path(view.number, view.link_secret))
            except OrdersError as refusal:
                form.add_error(None, refusal_words(refusal))
    context = {
        "order": view,
        "form": form,
        "token": token,
        "may_change": _may_change(view),
        "day_value": str(form["day"].value() or ""),
        "soon_days": others[:DAYS_SHOWN],
        "has_cents": any(day.total % 1 for day in others),
        "later_days": others[DAYS_SHOWN:],
    }
    return render(request, "customer/change.html", context, status=status_code)


@in_their_language
@require_POST
def cancel(request: HttpRequest, token: str) -> HttpResponse:
    """Call it off, until the cut-off."""
    view = linked_order(request, token)
    try:
        call_off(
            number=view.number,
            at=now(),
            who="customer",
            reason=request.POST.get("reason", "")[:200],
            by_customer=True,
        )
    except OrdersError as refusal:
        return _shown(request, token, view, trouble=refusal_words(refusal), status=422)
    tell(view.number, "cancelled", at=now())
    return redirect(order_path(view.number, view.link_secret))


@require_GET
def calendar(request: HttpRequest, token: str) -> HttpResponse:
    """The delivery as a calendar file (RFC 5545)."""
    view = linked_order(request, token)
    day = view.promised_on
    if day is None:
        raise Http404(_("The day is not set yet."))
    seller = business()
    first, last = _hours(view)
    entry = Event()
    entry.add("uid", f"order-{view.number}@{seller.name.lower().replace(' ', '-')}.example")
    entry.add("summary", f"{seller.name}: {wood_words(view, seller=seller)}")
    zone = timezone.get_current_timezone()
    entry.add("dtstart", datetime.combine(day, first, tzinfo=zone).astimezone(UTC))
    entry.add("dtend", datetime.combine(day, last, tzinfo=zone).astimezone(UTC))
    entry.add("dtstamp", now().astimezone(UTC))
    entry.add("location", view.address)
    entry.add("description", f"{order_link(view)}\n{seller.phone}")
    diary = Calendar()
    diary.add("prodid", f"-//{seller.name}//firewood//EN")
    diary.add("version", "2.0")
    diary.add_component(entry)
    answer = HttpResponse(diary.to_ical(), content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="wood-{view.number}.ics"'
    return answer


@in_their_language
@require_GET
def ticket(request: HttpRequest, token: str) -> HttpResponse:
    """The delivery ticket, for the screen and for paper."""
    view = linked_order(request, token)
    paper = ticket_of(view.number)
    if paper is None:
        raise Http404(_("There is no ticket yet: it is made when the wood is delivered."))
    return render(
        request,
        "customer/ticket.html",
        {"order": view, "ticket": paper, "token": token, "can_print": can_print()},
    )


@in_their_language
@require_GET
def ticket_paper(request: HttpRequest, token: str) -> HttpResponse:
    """The ticket as a PDF."""
    view = linked_order(request, token)
    paper = ticket_of(view.number)
    if paper is None or not can_print():
        raise Http404(_("There is no ticket on paper yet."))
    return HttpResponse(ticket_pdf(paper), content_type="application/pdf")


@in_their_language
@require_POST
def repeat(request: HttpRequest, token: str) -> HttpResponse:
    """The same wood to the same place, at today's price."""
    view = linked_order(request, token)
    town_id = next((town.id for town in towns() if town.name == view.town), None)
    asked = Asked(
        wood=view.wood,
        dryness=view.dryness,
        cords=view.cords,
        bundles=view.bundles,
        how=How(view.how),
        is_stacked=view.stacked,
        small_rig_only=view.small_rig_only,
        where=view.address,
        town_id=town_id,
        lat=view.lat,
        lon=view.lon,
        is_new_customer=not view.is_repeat,
        customer_id=view.customer_id,
    )
    try:
        throttle.count_or_refuse(request, "quote", most=QUOTES_A_WHILE, minutes=WINDOW_MINUTES)
        saved = price_want(asked, on=today(), at=now(), language=get_language() or "en")
    except throttle.TooMany as refusal:
        return _shown(request, token, view, trouble=refusal_words(refusal), status=429)
    except (OrdersError, NotHere) as refusal:
        return _shown(request, token, view, trouble=refusal_words(refusal), status=422)
    return redirect("quote-price", saved.token)


@in_their_language
@require_POST
def remind(request: HttpRequest, token: str) -> HttpResponse:
    """Switch the reminder before next season on or off."""
    view = linked_order(request, token)
    set_reminder(customer_id=view.customer_id, wanted=request.POST.get("wanted") == "yes", at=now())
    return redirect(order_path(view.number, view.link_secret))


@in_their_language
@require_http_methods(["GET", "HEAD", "POST"])
def reminder_stop(request: HttpRequest, token: str) -> HttpResponse:
    """Where the letter's link leads: one button that stops the reminders, and one that brings them back.

    Opening it changes nothing: mail programs open links by themselves to look for harm.
    """
    customer_id = read_stop_token(token)
    wants = wants_reminder(customer_id) if customer_id is not None else None
    if customer_id is None or wants is None:
        raise Http404(_("This link is not valid any more. Ask us for a new one."))
    if request.method == "POST":
        wants = request.POST.get("wanted") == "yes"
        set_reminder(customer_id=customer_id, wanted=wants, at=now())
    context = {"wanted": wants, "changed": request.method == "POST"}
    return render(request, "customer/reminder.html", context)


def _shown(
    request: HttpRequest, token: str, view: OrderView, *, trouble: str = "", status: int = 200
) -> HttpResponse:
    seller = business()
    first, last = _hours(view)
    context: dict[str, Any] = {
        "order": view,
        "token": token,
        "trouble": trouble,
        "steps": _steps(view),
        "ended": view.state in ENDED,
        "comes_first": first,
        "comes_last": last,
        "may_change": _may_change(view),
        "cut_off": cut_off_words(view.promised_on, seller=seller, language=get_language() or "en")
        if view.promised_on
        else "",
    }
    return render(request, "customer/order.html", context, status=status)


def _steps(view: OrderView) -> list[tuple[str, str]]:
    """Each step of the way with "done", "now" or "next"."""
    state = "delivered" if view.state == "settled" else view.state
    if state == "planned" and view.on_the_way_at is not None:
        state = "on_the_way"
    steps = tuple(step for step in STEPS if view.how == "delivered" or step not in ("planned", "on_the_way"))
    here = steps.index(state) if state in steps else -1
    return [
        (step, "done" if place < here else "now" if place == here else "next")
        for place, step in enumerate(steps)
    ]


def _hours(view: OrderView) -> tuple[time, time]:
    """The hours told for the day; else those that suit."""
    if view.comes_from and view.comes_to:
        return view.comes_from, view.comes_to
    return view.window_from, view.window_to


def _may_change(view: OrderView) -> bool:
    return view.may_change(at=now(), cut_off_hour=business().change_cut_off_hour or NOON)


def _window_of(first: time, last: time) -> str:
    return next((name for name, hours in WINDOWS.items() if hours == (first, last)), "any")

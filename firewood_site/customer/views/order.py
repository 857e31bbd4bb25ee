"""One order by its signed link: where it stands, changes until the cut-off, calendar, ticket, again."""

from datetime import UTC, date, datetime, time
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST
from icalendar import Calendar, Event

from firewood_site import throttle
from firewood_site.access import neighbor_token, order_path
from firewood_site.calling_off import call_off
from firewood_site.cards import card_provider
from firewood_site.clock import now, today
from firewood_site.customer.forms import WINDOWS, ChangeForm
from firewood_site.customer.linked import linked_order
from firewood_site.customer.views.price import DAYS_SHOWN
from firewood_site.customer.views.quote import QUOTES_A_WHILE, WINDOW_MINUTES
from firewood_site.languages import in_their_language
from firewood_site.letters import (
    cut_off_words,
    deposit_ways,
    order_link,
    payment_reference,
    read_stop_token,
    wood_words,
)
from firewood_site.refusals import refusals
from firewood_site.templatetags.firewood import day as day_words
from firewood_site.ticket_pdf import can_print, ticket_pdf
from inventory.selectors.business import business
from inventory.selectors.photos import PhotoRow, photos_about
from inventory.selectors.spoken import reader_language
from orders.core.access import access_keys
from orders.core.lifecycle import NOON
from orders.core.order_request import How
from orders.selectors.customers import wants_reminder
from orders.selectors.on_sale import on_sale
from orders.selectors.orders import OrderView
from orders.selectors.prices import ways_kept
from orders.selectors.sharing import left_alone, neighbor, shares_with
from orders.selectors.tickets import ticket_of
from orders.services.asking import Access, change_order
from orders.services.customers import change_customer, set_reminder
from routing.quoting.pick_up import yards_of
from routing.quoting.prices import PriceInput, price_request

STEPS = ("asked", "confirmed", "planned", "on_the_way", "delivered")
ENDED = ("declined", "cancelled")


@in_their_language
@require_GET
def status(request: HttpRequest, token: str) -> HttpResponse:
    """Where the order stands, in one phone screen."""
    view = linked_order(request, token)
    return shown_with(request, token, view)


@in_their_language
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, token: str) -> HttpResponse:
    """Change what may be changed until the cut-off."""
    view = linked_order(request, token)
    others = [
        day
        for day in (view.quote.days if view.quote else ())
        if day.on != view.promise.first_on and day.on > today() and view.state in ("asked", "confirmed")
    ]
    days = [
        (day.isoformat(), day_words(day)) for day in (view.promise.first_on, *(other.on for other in others))
    ]
    initial = {
        "day": view.promise.first_on.isoformat(),
        "window": _window_of(view.promise.window_from, view.promise.window_to),
        "drop_spot": view.place.drop_spot,
        "gate_code": view.place.gate_code,
        "access_note": view.place.access_note,
        "ticked": access_keys(view.place.access),
        "note": view.note,
        "name": view.customer.name,
        "phone": view.customer.phone_as_typed,
        "email": view.customer.email,
    }
    form = ChangeForm(request.POST or None, initial=initial, days=days)
    status_code = 200
    if request.method == "POST":
        status_code = 422
        if form.is_valid():
            cleaned = form.cleaned_data
            window_from, window_to = WINDOWS[cleaned["window"]]
            chosen = date.fromisoformat(cleaned["day"]) if cleaned["day"] else None
            with refusals(form), transaction.atomic():
                _change_contact(view, cleaned)
                change_order(
                    number=view.number,
                    at=now(),
                    access=Access(
                        drop_spot=cleaned["drop_spot"],
                        gate_code=cleaned["gate_code"],
                        access_note=cleaned["access_note"],
                        ticked=tuple(cleaned["ticked"]),
                    ),
                    note=cleaned["note"],
                    day=chosen if chosen != view.promise.first_on else None,
                    window_from=window_from,
                    window_to=window_to,
                    cut_off_hour=business().change_cut_off_hour,
                )
                messages.success(request, _("Your change is saved."))
                return redirect(order_path(view.number, view.link_secret))
    context = {
        "order": view,
        "form": form,
        "token": token,
        "may_change": _may_change(view),
        "day_value": str(form["day"].value() or ""),
        "soon_days": others[:DAYS_SHOWN],
        "later_days": others[DAYS_SHOWN:],
    }
    return render(request, "customer/change.html", context, status=status_code)


@in_their_language
@require_POST
def cancel(request: HttpRequest, token: str) -> HttpResponse:
    """Call it off, until the cut-off."""
    view = linked_order(request, token)
    with refusals() as refused:
        call_off(
            number=view.number,
            at=now(),
            who="customer",
            reason=request.POST.get("reason", "")[:200],
            by_customer=True,
        )
    if refused:
        return shown_with(request, token, view, refused)
    return redirect(order_path(view.number, view.link_secret))


@require_GET
def calendar(request: HttpRequest, token: str) -> HttpResponse:
    """The delivery as a calendar file (RFC 5545)."""
    view = linked_order(request, token)
    day = view.promise.promised_on
    if day is None:
        raise Http404(_("The day is not set yet."))
    seller = business()
    first, last = view.promise.hours
    entry = Event()
    entry.add("uid", f"order-{view.number}@{seller.name.lower().replace(' ', '-')}.example")
    entry.add("summary", f"{seller.name}: {wood_words(view, seller=seller)}")
    zone = timezone.get_current_timezone()
    entry.add("dtstart", datetime.combine(day, first, tzinfo=zone).astimezone(UTC))
    entry.add("dtend", datetime.combine(day, last, tzinfo=zone).astimezone(UTC))
    entry.add("dtstamp", now().astimezone(UTC))
    entry.add("location", view.place.address)
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
    asked = PriceInput.again(
        view,
        where=view.place.address,
        town_id=view.place.town_id,
        lat=view.place.lat if view.place.is_confirmed else None,
        lon=view.place.lon if view.place.is_confirmed else None,
        is_new_customer=not view.customer.is_repeat,
        customer_id=view.customer.id,
    )
    with refusals() as refused:
        throttle.count_or_refuse(request, "quote", most=QUOTES_A_WHILE, minutes=WINDOW_MINUTES)
        sale = on_sale(today(), at=now())
        saved = price_request(asked, on=today(), at=now(), language=reader_language(), sale=sale)
        return redirect("quote-price", saved.token)
    return shown_with(request, token, view, refused)


@in_their_language
@require_POST
def remind(request: HttpRequest, token: str) -> HttpResponse:
    """Switch the reminder before next season on or off."""
    view = linked_order(request, token)
    set_reminder(customer_id=view.customer.id, wanted=request.POST.get("wanted") == "yes", at=now())
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


def shown_with(
    request: HttpRequest, token: str, view: OrderView, refused: refusals | None = None
) -> HttpResponse:
    """The status page, with what went wrong on the way to it."""
    seller = business()
    first, last = view.promise.hours
    context: dict[str, Any] = {
        "order": view,
        "token": token,
        "problem": refused.text if refused else "",
        "steps": _steps(view),
        "ended": view.state in ENDED,
        "deposit_ways": deposit_ways() if view.deposit_due else (),
        "reference": payment_reference(view),
        "pay_way": next((way for way in ways_kept() if way.key == view.pay_how), None),
        "yards": yards_of(view) if view.how == How.PICK_UP else (),
        "shares": shares_with(view.number),
        "is_left_alone": bool(left_alone(view.number)),
        "neighbor_link": _neighbor_link(view),
        "drop_photos": photos_about(view.reference, purpose="drop"),
        "claim_photos": _claim_photos(view),
        "may_claim": view.state in ("confirmed", "planned", "delivered", "settled"),
        "takes_cards": card_provider() is not None and view.may_pay_ahead,
        "comes_first": first,
        "comes_last": last,
        "may_change": _may_change(view),
        "cut_off": cut_off_words(view.promise.promised_on, seller=seller, language=reader_language())
        if view.promise.promised_on
        else "",
    }
    return render(request, "customer/order.html", context, status=refused.status if refused else 200)


def _neighbor_link(view: OrderView) -> str:
    """What a neighbor opens to have their wood brought along; empty while this order can't be shared."""
    if neighbor(view.number, at=now(), cut_off_hour=business().change_cut_off_hour) is None:
        return ""
    token = neighbor_token(view.number, view.link_secret)
    return f"{settings.SITE_URL}{reverse('neighbor', args=[token])}"


def _change_contact(view: OrderView, cleaned: dict[str, Any]) -> None:
    """Another name, phone or e-mail, by the signed link that proves whose they are; left empty they stay."""
    person = view.customer
    name, phone = cleaned["name"] or person.name, cleaned["phone"] or person.phone_as_typed
    email = cleaned["email"] or person.email
    if (name, phone, email) == (person.name, person.phone_as_typed, person.email):
        return
    change_customer(
        customer_id=person.id,
        name=name,
        phone=phone,
        email=email,
        is_landline=person.is_landline,
        at=now(),
        who="customer",
    )


def _claim_photos(view: OrderView) -> tuple[PhotoRow, ...]:
    """Photos of a claim, theirs and ours; none are looked for where nothing was wrong."""
    if not view.claims:
        return ()
    return tuple(row for row in photos_about(view.reference) if row.purpose in ("claim", "answer"))


def _steps(view: OrderView) -> list[tuple[str, str]]:
    """Each step of the way with "done", "now" or "next"."""
    state = "delivered" if view.state == "settled" else view.state
    if state == "planned" and view.promise.on_the_way_at is not None:
        state = "on_the_way"
    steps = tuple(step for step in STEPS if view.how == "delivered" or step not in ("planned", "on_the_way"))
    here = steps.index(state) if state in steps else -1
    return [
        (step, "done" if place < here else "now" if place == here else "next")
        for place, step in enumerate(steps)
    ]


def _may_change(view: OrderView) -> bool:
    return view.may_change(at=now(), cut_off_hour=business().change_cut_off_hour or NOON)


def _window_of(first: time, last: time) -> str:
    return next((name for name, hours in WINDOWS.items() if hours == (first, last)), "any")

"""What the seller does to an order: each step with its letter, or a sentence on the order's page."""

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from firewood_site import calling_off
from firewood_site.access import found, seller_required
from firewood_site.clock import now, signed, today
from firewood_site.letters import tell
from firewood_site.refusals import PageRefusal, refusals
from firewood_site.seller.buyer_words import check_buyer_words
from firewood_site.seller.forms.orders import ConfirmForm
from firewood_site.seller.post_only import post_only
from firewood_site.seller.query_values import row_of_query
from firewood_site.seller.steps import step
from firewood_site.seller.views.orders import lots_for, order_page
from orders.selectors.orders import order_view
from orders.services import orders as steps
from orders.services.asking import confirm_place, revoke_link, write_note
from orders.services.letters import send_again
from orders.services.tickets import make_ticket, replace_ticket
from routing.services.driver_events.put_back import put_back_of_order
from routing.services.undelivering import undo_drop


def _refused(request: HttpRequest, sentence: str, *, number: int, **_more: Any) -> HttpResponse:
    return order_page(request, number, problem=sentence)


order_step = step(_refused)


@seller_required
@post_only
def confirm(request: HttpRequest, number: int) -> HttpResponse:
    """Hold the wood of the chosen lots."""
    view = found(order_view(number))
    lots = lots_for(view)
    form = ConfirmForm(request.POST, lots=[lot.code for lot in lots])
    if not form.is_valid():
        return order_page(request, number, problem=_first_error(form), confirm_form=form)
    cleaned = form.cleaned_data
    with refusals() as refused, transaction.atomic():
        cheaper = steps.confirm_order(
            number=number,
            picks=[steps.Picked(lot=code, cords=cords) for code, cords in form.picked().items()],
            promised_on=cleaned["promised_on"],
            lapses_on=cleaned["lapses_on"],
            lots_open=lots,
            despite=cleaned["despite"],
            **signed(request),
        )
        if cheaper is not None:
            tell(cheaper, "drive_shared", at=now())
        kind = "pool_waiting" if view.promise.is_pool else "confirmed"
        tell(number, kind, at=now())
    if refused:
        return order_page(request, number, problem=refused.text, confirm_form=form)
    messages.success(request, _("Order {number} is confirmed and its wood is held.").format(number=number))
    return redirect("order", number)


@order_step
@transaction.atomic
def decline(request: HttpRequest, number: int) -> HttpResponse:
    """Say no, with a reason."""
    reason = request.POST.get("reason", "").strip()
    if not reason:
        raise PageRefusal(_("Say why, the customer reads it: no fir left, too far, away."))
    check_buyer_words(reason)
    steps.decline_order(number=number, reason=reason, **signed(request))
    calling_off.tell_ended(number, "declined", at=now())
    return _done(request, number, _("Order {number} is declined.").format(number=number))


@order_step
def call_off(request: HttpRequest, number: int) -> HttpResponse:
    """Cancel for the customer; the wood is open again."""
    reason = request.POST.get("reason", "")
    check_buyer_words(reason)
    calling_off.call_off(number=number, reason=reason, **signed(request))
    told = _("Order {number} is cancelled and its wood is for sale again.").format(number=number)
    return _done(request, number, told)


@order_step
def note(request: HttpRequest, number: int) -> HttpResponse:
    """The seller's own note on an order."""
    write_note(number=number, note=request.POST.get("note", ""), **signed(request))
    return _done(request, number)


@order_step
def place_confirmed(request: HttpRequest, number: int) -> HttpResponse:
    """The place is theirs: nobody has to ask again."""
    confirm_place(number=number, **signed(request))
    return _done(request, number)


@order_step
def new_link(request: HttpRequest, number: int) -> HttpResponse:
    """Make the customer's old link useless and give a new one."""
    revoke_link(number=number, **signed(request))
    return _done(request, number, _("The old link no longer works. Send them the new one."))


@order_step
def letter_again(request: HttpRequest, number: int, letter_id: int) -> HttpResponse:
    """Send a letter anew, or keep it for the seller's own phone."""
    as_text = request.POST.get("way") == "text"
    send_again(letter_id=letter_id, number=number, as_text=as_text)
    told = _("It is ready for your phone, below.") if as_text else _("It goes out within a minute.")
    return _done(request, number, told)


@order_step
@transaction.atomic
def fetched(request: HttpRequest, number: int) -> HttpResponse:
    """The customer was here and took the wood."""
    steps.hand_over_pick_up(number=number, on=today(), **signed(request))
    make_ticket(number=number, **signed(request))
    tell(number, "delivered", at=now())
    told = _("Order {number} is picked up; its ticket is made.").format(number=number)
    return _done(request, number, told)


@order_step
def undelivered(request: HttpRequest, number: int) -> HttpResponse:
    """It was marked delivered, or fetched, by mistake."""
    was_told = undo_drop(number=number, on=today(), **signed(request))
    told = _("They were told that it is delivered: call them.") if was_told else ""
    said = _("Order {number} is back to not delivered; its wood is held again.")
    return _done(request, number, f"{said.format(number=number)} {told}".strip())


@order_step
def came_home(request: HttpRequest, number: int) -> HttpResponse:
    """Where the wood lies now that came home from its run."""
    stop_id, place = row_of_query(request.POST.get("stop", "")), request.POST.get("place", "")
    put_back_of_order(number=number, stop_id=stop_id, place=place, **signed(request))
    return _done(request, number, _("Its wood is recorded where it is."))


@order_step
def write_ticket(request: HttpRequest, number: int) -> HttpResponse:
    """Make the ticket, or say what is missing on it."""
    make_ticket(number=number, measured_by=request.POST.get("measured_by", ""), **signed(request))
    return redirect("ticket", number)


@order_step
def write_ticket_anew(request: HttpRequest, number: int) -> HttpResponse:
    """A ticket in place of one the books no longer agree with."""
    replace_ticket(number=number, **signed(request))
    return redirect("ticket", number)


def _done(request: HttpRequest, number: int, told: str = "") -> HttpResponse:
    if told:
        messages.success(request, told)
    return redirect("order", number)


def _first_error(form: ConfirmForm) -> str:
    for name, errors in form.errors.items():
        return f"{form.fields[name].label}: {errors[0]}" if name in form.fields else str(errors[0])
    return ""

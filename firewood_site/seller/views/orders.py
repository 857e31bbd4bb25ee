"""Orders: the list, and one order with everything that can be done to it."""

import uuid
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from firewood_site import calling_off
from firewood_site.access import found, order_path, seller_required
from firewood_site.clock import now, today
from firewood_site.letters import ReadyText, day_in_words, order_link, ready_text, tell
from firewood_site.parts import page_or_part
from firewood_site.photos import photo_file, photos_about
from firewood_site.seller.asked import day_asked, page_asked
from firewood_site.seller.forms.orders import ConfirmForm, PaymentForm
from firewood_site.seller.posted import posted
from firewood_site.supply import open_lots
from firewood_site.ticket_pdf import can_print, ticket_pdf
from inventory.core import InventoryError
from inventory.selectors.audit import audit_trail
from orders.core import OrdersError, lifecycle, picking
from orders.core.picking import OpenLot
from orders.selectors import orders as listed
from orders.selectors import prices
from orders.selectors.customers import letters_of
from orders.selectors.money import payments_of
from orders.selectors.orders import OrderView
from orders.selectors.tickets import ticket_of
from orders.services import orders as steps
from orders.services.asking import revoke_link, write_note
from orders.services.tickets import make_ticket

REFUSALS = (OrdersError, InventoryError)
TEXTS = {
    "asked": ("asked", "pay_first"),
    "confirmed": ("confirmed", "pool_waiting"),
    "planned": ("day_set", "on_the_way", "late"),
    "delivered": ("delivered",),
    "settled": ("delivered",),
    "declined": ("declined",),
    "cancelled": ("cancelled",),
}


@seller_required
@require_safe
def orders(request: HttpRequest) -> HttpResponse:
    """All orders: what waits for a word first, then by state, day or words."""
    state = request.GET.get("state", "")
    day = day_asked(request.GET.get("day", ""))
    page = request.GET.get("page", "1")
    words = request.GET.get("q", "")
    shown = listed.orders_list(
        state=state if state in lifecycle.State else "",
        day=day,
        words=words,
        page=page_asked(page),
        open_only=not state and day is None and not words,
    )
    context = {"list": shown, "state": state, "day": day, "q": words}
    return page_or_part(request, "seller/orders/orders.html", "list", context)


@seller_required
@require_safe
def order(request: HttpRequest, number: int) -> HttpResponse:
    return order_page(request, number)


@seller_required
@posted
def confirm(request: HttpRequest, number: int) -> HttpResponse:
    """Hold the wood of the chosen lots."""
    view = found(listed.order_view(number))
    lots = _lots_for(view)
    form = ConfirmForm(request.POST, lots=[lot.lot for lot in lots])
    if not form.is_valid():
        return order_page(request, number, trouble=_first_error(form), confirm_form=form)
    said = form.cleaned_data
    try:
        steps.confirm_order(
            number=number,
            picks=[steps.Picked(lot=code, cords=cords) for code, cords in form.picked().items()],
            at=now(),
            who=request.user.get_username(),
            promised_on=said["promised_on"],
            lapses_on=said["lapses_on"],
            lots_open=lots,
            despite=said["despite"],
        )
    except REFUSALS as refusal:
        return order_page(request, number, trouble=str(refusal), confirm_form=form)
    tell(number, "pool_waiting" if view.is_pool else "confirmed", at=now(), **_pool_day(view))
    messages.success(request, f"Order {number} is confirmed and its wood is held.")
    return redirect("order", number)


@seller_required
@posted
def decline(request: HttpRequest, number: int) -> HttpResponse:
    """Say no, with a reason."""
    reason = request.POST.get("reason", "").strip()
    if not reason:
        return order_page(
            request, number, trouble="Say why, the customer reads it: no fir left, too far, away."
        )
    try:
        steps.decline_order(number=number, reason=reason, at=now(), who=request.user.get_username())
    except REFUSALS as refusal:
        return order_page(request, number, trouble=str(refusal))
    tell(number, "declined", at=now())
    messages.success(request, f"Order {number} is declined.")
    return redirect("order", number)


@seller_required
@posted
def call_off(request: HttpRequest, number: int) -> HttpResponse:
    """Cancel for the customer; the wood is open again."""
    reason = request.POST.get("reason", "")
    try:
        calling_off.call_off(number=number, at=now(), who=request.user.get_username(), reason=reason)
    except REFUSALS as refusal:
        return order_page(request, number, trouble=str(refusal))
    tell(number, "cancelled", at=now())
    messages.success(request, f"Order {number} is cancelled and its wood is open again.")
    return redirect("order", number)


@seller_required
@posted
def note(request: HttpRequest, number: int) -> HttpResponse:
    """The seller's own words on an order."""
    try:
        write_note(
            number=number, words=request.POST.get("words", ""), at=now(), who=request.user.get_username()
        )
    except REFUSALS as refusal:
        return order_page(request, number, trouble=str(refusal))
    return redirect("order", number)


@seller_required
@posted
def new_link(request: HttpRequest, number: int) -> HttpResponse:
    """Make the customer's old link useless and give a new one."""
    try:
        revoke_link(number=number, at=now(), who=request.user.get_username())
    except REFUSALS as refusal:
        return order_page(request, number, trouble=str(refusal))
    messages.success(request, "The old link no longer works. Send them the new one.")
    return redirect("order", number)


@seller_required
@posted
def fetched(request: HttpRequest, number: int) -> HttpResponse:
    """The customer was here and took the wood."""
    who = request.user.get_username()
    try:
        steps.hand_over_pick_up(number=number, on=today(), at=now(), who=who)
        make_ticket(number=number, at=now(), who=who)
    except REFUSALS as refusal:
        return order_page(request, number, trouble=str(refusal))
    tell(number, "delivered", at=now())
    messages.success(request, f"Order {number} is fetched; its ticket is made.")
    return redirect("order", number)


@seller_required
@posted
def write_ticket(request: HttpRequest, number: int) -> HttpResponse:
    """Make the ticket, or say what is missing on it."""
    measured_by = request.POST.get("measured_by", "")
    try:
        make_ticket(number=number, at=now(), who=request.user.get_username(), measured_by=measured_by)
    except REFUSALS as refusal:
        return order_page(request, number, trouble=str(refusal))
    return redirect("ticket", number)


@seller_required
@require_safe
def ticket(request: HttpRequest, number: int) -> HttpResponse:
    """The ticket, to print or show."""
    view = found(listed.order_view(number))
    paper = found(ticket_of(number), "There is no ticket yet: it is made when the wood is delivered.")
    return render(
        request, "seller/orders/ticket.html", {"order": view, "ticket": paper, "can_print": can_print()}
    )


@seller_required
@require_safe
def ticket_paper(request: HttpRequest, number: int) -> HttpResponse:
    """The ticket as a PDF."""
    paper = found(ticket_of(number), "There is no ticket yet: it is made when the wood is delivered.")
    if not can_print():
        raise Http404("PDFs need the extra named pdf: print the page instead.")
    return HttpResponse(ticket_pdf(paper), content_type="application/pdf")


@seller_required
@require_safe
def photo(request: HttpRequest, number: int, photo_id: int) -> HttpResponse:
    """A photo kept with an order."""
    file = found(photo_file(photo_id, about=f"order {number}"), "There is no such photo.")
    with file:
        picture = file.read()
    return HttpResponse(
        picture, content_type="image/jpeg", headers={"Cache-Control": "private, max-age=3600"}
    )


def order_page(
    request: HttpRequest,
    number: int,
    *,
    trouble: str = "",
    confirm_form: ConfirmForm | None = None,
    payment_form: PaymentForm | None = None,
) -> HttpResponse:
    """One order; with a trouble to tell it answers 422."""
    view = found(listed.order_view(number), f"There is no order {number}.")
    trail, _more = audit_trail(thing=view.reference)
    lots = _lots_for(view) if view.state == "asked" else ()
    suggested, why_not = _suggested(view, lots)
    ways = [(way.key, way.name) for way in prices.pay_ways()]
    context: dict[str, Any] = {
        "order": view,
        "trouble": trouble,
        "refused": request.resolver_match.url_name if trouble and request.resolver_match else "",
        "lots": [(lot, _typed(lot, suggested, confirm_form)) for lot in lots],
        "why_not": why_not,
        "confirm_form": confirm_form or ConfirmForm(lots=()),
        "payment_form": payment_form
        or PaymentForm(ways=ways, initial={"dollars": view.balance.due, "method": view.pay_how}),
        "back_key": uuid.uuid4(),
        "ledger": payments_of(number),
        "letters": letters_of(number),
        "texts": _texts(view),
        "trail": [row for row in trail if row.thing == view.reference],
        "photos": photos_about(view.reference),
        "public_link": order_link(view),
        "public_path": order_path(view.number, view.link_secret),
    }
    return render(request, "seller/orders/order.html", context, status=422 if trouble else 200)


def _lots_for(view: OrderView) -> tuple[OpenLot, ...]:
    """Open lots of the order's wood; for bundles, the kindling."""
    wanted = {view.wood} | ({"kindling"} if view.bundles else set())
    return tuple(lot for lot in open_lots(today()) if lot.wood in wanted and lot.open_cords > 0)


def _suggested(view: OrderView, lots: tuple[OpenLot, ...]) -> tuple[dict[str, Any], str]:
    """Lot to cords as picking would have it; or why it can't be."""
    if view.state != "asked":
        return {}, ""
    chosen: dict[str, Any] = {}
    miles = {view.from_yard: view.miles} if view.from_yard and view.miles is not None else None
    try:
        if view.cords:
            picks = picking.pick_lots(
                lots,
                wood=view.wood,
                cords=view.cords,
                on=view.promised_on or max(view.first_on, today()),
                dryness=view.dryness,
                miles=miles,
            )
            chosen.update({pick.lot: pick.cords for pick in picks})
        if view.bundles:
            cords = steps.bundle_cords_in_stock(view.bundles)
            picks = picking.pick_lots(lots, wood="kindling", cords=cords, on=today())
            chosen.update({pick.lot: pick.cords for pick in picks})
    except OrdersError as refusal:
        return chosen, str(refusal)
    return chosen, ""


def _typed(lot: OpenLot, suggested: dict[str, Any], form: ConfirmForm | None) -> str:
    if form is not None:
        return str(form.data.get(f"lot-{lot.lot}", ""))
    cords = suggested.get(lot.lot)
    return "" if cords is None else str(cords)


def _texts(view: OrderView) -> list[ReadyText]:
    """Messages ready for the seller's phone at this step."""
    more = {"time": "", "reason": view.ended_reason, **_pool_day(view)}
    if view.comes_from:
        more["time"] = f"{view.comes_from.hour}:{view.comes_from.minute:02d}"
    kinds = [kind for kind in TEXTS.get(view.state, ()) if kind != "pay_first" or view.pay_first]
    if not view.is_pool:
        kinds = [kind for kind in kinds if kind != "pool_waiting"]
    made = [ready_text(view, kind, **{name: text for name, text in more.items() if text}) for kind in kinds]
    return [text for text in made if text is not None]


def _pool_day(view: OrderView) -> dict[str, str]:
    if not view.is_pool or view.waits_until is None:
        return {}
    return {"day": day_in_words(view.waits_until, language=view.language)}


def _first_error(form: ConfirmForm) -> str:
    for name, errors in form.errors.items():
        return f"{form.fields[name].label}: {errors[0]}" if name in form.fields else str(errors[0])
    return ""

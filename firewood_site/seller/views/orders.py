"""Orders: the list, and one order with everything that can be done to it."""

import uuid
from datetime import time
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from firewood_site.access import found, order_path, seller_required
from firewood_site.amounts import amount_shown
from firewood_site.clock import now, today
from firewood_site.letters import ReadyText, about_clock, order_link, ready_text
from firewood_site.parts import page_or_part
from firewood_site.refusals import refusals
from firewood_site.seller.forms.orders import ConfirmForm, PaymentForm
from firewood_site.seller.query_values import day_of_query, page_of_query
from firewood_site.ticket_pdf import can_print, ticket_pdf
from inventory.core.references import order_reference
from inventory.core.sentences import text_of
from inventory.core.woods import Wood
from inventory.selectors.audit import audit_trail
from inventory.selectors.holds import HoldRow
from inventory.selectors.photos import photo_file, photos_about
from inventory.selectors.readiness import DryChance, dry_chances
from inventory.selectors.sale import lots_for_picking
from inventory.selectors.stock import LotRow
from orders.core import lifecycle, picking
from orders.selectors import orders as listed
from orders.selectors import prices
from orders.selectors.customers import letters_of, same_phone
from orders.selectors.drawn import cut_paper_of_order
from orders.selectors.dry_windows import promised_dry
from orders.selectors.money import checks_of, payments_of
from orders.selectors.orders import OrderView
from orders.selectors.sharing import left_alone, shares_with
from orders.selectors.tickets import ticket_of
from orders.services.held import bundle_cords_in_stock
from routing.selectors.days.today import late_drops
from routing.selectors.runs.brought_home import waiting_home

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
    day = day_of_query(request.GET.get("day", ""))
    page = request.GET.get("page", "1")
    search = request.GET.get("q", "")
    shown = listed.orders_list(
        state=state if state in lifecycle.State else "",
        day=day,
        search=search,
        page=page_of_query(page),
        open_only=not state and day is None and not search,
    )
    context = {"list": shown, "state": state, "day": day, "q": search}
    return page_or_part(request, "seller/orders/orders.html", "list", context)


@seller_required
@require_safe
def order(request: HttpRequest, number: int) -> HttpResponse:
    return order_page(request, number)


@seller_required
@require_safe
def ticket(request: HttpRequest, number: int, ticket_number: int | None = None) -> HttpResponse:
    """The ticket that holds, or one it replaced, to print or show."""
    view = found(listed.order_view(number))
    paper = found(
        ticket_of(number, ticket_number=ticket_number),
        _("There is no ticket yet: it is made when the wood is delivered."),
    )
    return render(
        request, "seller/orders/ticket.html", {"order": view, "ticket": paper, "can_print": can_print()}
    )


@seller_required
@require_safe
def ticket_paper(request: HttpRequest, number: int) -> HttpResponse:
    """The ticket as a PDF."""
    paper = found(ticket_of(number), _("There is no ticket yet: it is made when the wood is delivered."))
    if not can_print():
        raise Http404(_("PDFs need the extra named pdf: print the page instead."))
    return HttpResponse(ticket_pdf(paper), content_type="application/pdf")


@seller_required
@require_safe
def where_cut(request: HttpRequest, number: int) -> HttpResponse:
    """Before rolling, also for wood a buyer hauls: the paper that says where an order's wood was cut."""
    paper = found(cut_paper_of_order(number), _("No wood is held for this order yet: confirm it first."))
    return render(
        request, "seller/days/where_cut.html", {"papers": (paper,), "number": number, "today": today()}
    )


@seller_required
@require_safe
def photo(request: HttpRequest, number: int, photo_id: int) -> HttpResponse:
    """A photo kept with an order."""
    file = found(photo_file(photo_id, about=order_reference(number)), _("There is no such photo."))
    with file:
        picture = file.read()
    return HttpResponse(
        picture, content_type="image/jpeg", headers={"Cache-Control": "private, max-age=3600"}
    )


def _held(view: OrderView) -> list[tuple[HoldRow, DryChance | None]]:
    """The holds, each with the chance that its lot is dry when promised; none where green was sold."""
    windows = promised_dry((view.number,)).values()

    def chance(hold: HoldRow) -> DryChance | None:
        if hold.state != "standing":
            return None
        return next(iter(dry_chances(hold.lot_code, windows, on=today())), None)

    return [(hold, chance(hold)) for hold in view.holds]


def order_page(
    request: HttpRequest,
    number: int,
    *,
    problem: str = "",
    confirm_form: ConfirmForm | None = None,
    payment_form: PaymentForm | None = None,
) -> HttpResponse:
    """One order; with a problem to tell it answers 422."""
    view = found(listed.order_view(number), _("There is no order {number}.").format(number=number))
    trail, _more = audit_trail(thing=view.reference)
    lots = lots_for(view) if view.state == "asked" else ()
    suggested, why_not = _suggested(view, lots)
    offered = prices.pay_ways()
    ways = [(way.key, _(way.name)) for way in offered]
    expected = {"dollars": view.due_now or None, "is_deposit": bool(view.deposit_due)}
    context: dict[str, Any] = {
        "order": view,
        "held": _held(view),
        "came_home": waiting_home(today(), number=number),
        "shares": shares_with(view.number),
        "alone": next(iter(left_alone(view.number)), None),
        "problem": problem,
        "refused": request.resolver_match.url_name if problem and request.resolver_match else "",
        "lots": [(lot, _typed(lot, suggested, confirm_form)) for lot in lots],
        "why_not": why_not,
        "confirm_form": confirm_form or ConfirmForm(lots=()),
        "payment_form": payment_form or PaymentForm(ways=ways, initial=expected),
        "back_key": uuid.uuid4(),
        "pay_ways": ways,
        "ways_are_named": offered != (prices.CASH_UNTIL_SAID,),
        "checks": checks_of(view.number),
        "ledger": payments_of(number),
        "letters": letters_of(number),
        "same_phone": same_phone(view.customer.id),
        "texts": _texts(view),
        "trail": [row for row in trail if row.thing == view.reference],
        "photos": photos_about(view.reference),
        "public_link": order_link(view),
        "public_path": order_path(view.number, view.link_secret),
    }
    return render(request, "seller/orders/order.html", context, status=422 if problem else 200)


def lots_for(view: OrderView) -> tuple[LotRow, ...]:
    """Open lots of the order's wood; for bundles, the kindling."""
    wanted = {view.wood} | ({Wood.KINDLING} if view.bundles else set())
    return tuple(lot for lot in lots_for_picking(today()) if lot.wood in wanted and lot.open_cords > 0)


def _suggested(view: OrderView, lots: tuple[LotRow, ...]) -> tuple[dict[str, Any], str]:
    """Lot to cords as picking would have it; or why it can't be."""
    if view.state != "asked":
        return {}, ""
    chosen: dict[str, Any] = {}
    quote = view.quote
    miles = {quote.from_yard: quote.miles} if quote and quote.from_yard and quote.miles is not None else None
    with refusals() as refused:
        if view.cords:
            picks = picking.pick_lots(
                lots,
                wood=view.wood,
                cords=view.cords,
                on=view.promise.promised_on or max(view.promise.first_on, today()),
                dryness=view.dryness,
                miles=miles,
            )
            chosen.update({pick.lot: pick.cords for pick in picks})
        if view.bundles:
            cords = bundle_cords_in_stock(view.bundles)
            picks = picking.pick_lots(lots, wood=Wood.KINDLING, cords=cords, on=today())
            chosen.update({pick.lot: pick.cords for pick in picks})
    return chosen, refused.text


def _typed(lot: LotRow, suggested: dict[str, Any], form: ConfirmForm | None) -> str:
    if form is not None:
        return str(form.data.get(f"lot-{lot.code}", ""))
    cords = suggested.get(lot.code)
    return "" if cords is None else amount_shown(cords)


def _texts(view: OrderView) -> list[ReadyText]:
    """Messages ready for the seller's phone at this step."""
    more = {"time": "", "reason": str(text_of(view.ended_reason, view.customer.language))}
    late_at = _late_at(view)
    comes_at = late_at or view.promise.comes_from
    if comes_at:
        more["time"] = about_clock(comes_at, language=view.customer.language)
    needless = {
        "pay_first": not view.customer.pay_first,
        "pool_waiting": not view.promise.is_pool,
        "late": not late_at,
    }
    kinds = [kind for kind in TEXTS.get(view.state, ()) if not needless.get(kind)]
    made = [ready_text(view, kind, **{name: text for name, text in more.items() if text}) for kind in kinds]
    return [text for text in made if text is not None]


def _late_at(view: OrderView) -> time | None:
    """When the wood comes though it was promised before; None while the truck is in time."""
    if view.promise.promised_on != today():
        return None
    return next((drop.now_at for drop in late_drops(today(), at=now()) if drop.number == view.number), None)

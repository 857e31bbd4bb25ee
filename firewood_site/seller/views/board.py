"""What a move on the board costs before it is made: within a day, and from day to day."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import signed, today
from firewood_site.parts import page_or_part
from firewood_site.refusals import refusals
from firewood_site.seller.query_values import day_of_query, place_of_query
from firewood_site.seller.views.days import date_of, day_page
from inventory.selectors.spoken import short_day
from routing.selectors.days.board import Hours, hours_of_day
from routing.selectors.days.candidates import Standing, standing_of
from routing.services.edits import move_to_day
from routing.services.moves import Asked, MoveRow, day_change, drop_moves

DAYS_OFFERED = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A move with what the hours earn before and after it; None where that can't be figured."""

    row: MoveRow
    before: Decimal | None
    after: Decimal | None


@seller_required
@require_safe
def moves(request: HttpRequest, on: str, stop_id: int) -> HttpResponse:
    """Why a drop is where it is, and what each possible move costs before it is made.

    ?to=PLACE names one of them, as when a drop was let go there: with its price, or with why it can't be.
    """
    when = date_of(on)
    to, asked = request.GET.get("to", ""), None
    if to:
        load_id, run_id, position = place_of_query(to)
        asked = Asked(place=to, load_id=load_id, run_id=run_id, position=position)
    with refusals() as refused:
        drop = drop_moves(on=when, stop_id=stop_id, asked=asked)
    if refused:
        return day_page(request, when, problem=refused.text, status=404)
    hours, chosen = hours_of_day(when), drop.to(to)
    context = {
        "on": when,
        "drop": drop,
        "chosen": _offer(chosen, hours) if chosen else None,
        "why_not": drop.why_not,
        "offers": [_offer(row, hours) for row in drop.moves if row is not chosen],
        "days": _days_for(standing_of(drop.number)),
    }
    return page_or_part(request, "seller/days/moves.html", "moves", context)


@seller_required
def order_day(request: HttpRequest, number: int) -> HttpResponse:
    """Bring an order on another day: what it costs there, then the step itself."""
    order = found(standing_of(number), _("Order {number} is not waiting for a day.").format(number=number))
    asked = request.POST if request.method == "POST" else request.GET
    if request.method != "POST" and "to" not in asked:
        context = {"order": order, "days": _days_for(order)}
        return page_or_part(request, "seller/days/order_day.html", "moves", context)
    to_on = found(day_of_query(asked.get("to", "")), _("There is no such day."))
    offer, back = None, redirect("day", f"{order.on or to_on}")
    with refusals() as refused:
        if request.method == "POST":
            move_to_day(on=order.on, number=number, to_on=to_on, rig_id=order.rig_id or 0, **signed(request))
            messages.success(
                request,
                _("{customer} is on {to_on} now.").format(customer=order.customer, to_on=short_day(to_on)),
            )
            return redirect("day", f"{to_on}")
        offer = _day_offer(order, to_on)
    if request.method == "POST":
        messages.error(request, refused.text)
        return back
    context = {
        "order": order,
        "to_on": to_on,
        "offer": offer,
        "why_not": (refused.text,)
        if refused
        else ()
        if offer
        else (_("It fits nowhere that day: plan the day again."),),
        "is_outside": not order.first_on <= to_on <= order.last_on,
        "days": _days_for(order),
    }
    return page_or_part(request, "seller/days/order_day.html", "moves", context)


def _day_offer(order: Standing, to_on: date) -> Offer | None:
    row = day_change(number=order.number, on=order.on, to_on=to_on, rig_id=order.rig_id or 0)
    if row is None:
        return None
    if order.on is None:
        return Offer(row=row, before=None, after=None)  # its price is in no day's hours yet
    here, there = hours_of_day(order.on), hours_of_day(to_on)
    return _offer(row, here.plus(cash=there.cash, hours=there.hours) if here and there else here)


def _offer(row: MoveRow, hours: Hours | None) -> Offer:
    after = hours.after(road_cents=row.change_road_cents, seconds=row.change_seconds) if hours else None
    return Offer(row=row, before=hours.per_hour if hours else None, after=after.per_hour if after else None)


def _days_for(order: Standing | None) -> list[dict[str, Any]]:
    """The coming days an order may be moved to; those it asked for are marked."""
    if order is None:
        return []
    first = today()
    days = [first + timedelta(days=n) for n in range(DAYS_OFFERED)]
    return [
        {"on": on, "number": order.number, "is_asked": order.first_on <= on <= order.last_on}
        for on in days
        if on != order.on
    ]

"""The page of one price: is this your place, which day, and the order on it."""

import uuid
from datetime import date
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.db import transaction
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from firewood_site import throttle
from firewood_site.access import found, order_path, order_token
from firewood_site.clock import now, today
from firewood_site.customer.forms import ANY_DAY, WINDOWS, OrderForm
from firewood_site.customer.remembered import last_order, remember_order
from firewood_site.customer.views.instead import changing
from firewood_site.customer.views.quote import QUOTES_A_WHILE, WINDOW_MINUTES
from firewood_site.customer.views.stamped import marks
from firewood_site.customer.views.waiting import waiting_offer
from firewood_site.languages import in_their_language
from firewood_site.letters import tell
from firewood_site.refusals import refusals
from firewood_site.templatetags.firewood import day as day_words
from firewood_site.templatetags.firewood import whole_dollars
from inventory.selectors.sale import lots_for_picking
from inventory.selectors.spoken import reader_language
from inventory.selectors.yards import YardPlace
from orders.core.access import access_keys
from orders.core.pricing import cheaper_bundles
from orders.core.quotes import DayOffer, How
from orders.selectors import prices
from orders.selectors.quotes import QuoteView, quote_view
from orders.services.asking import Access
from orders.services.placing import place_order, placed_before, pool_waits_until
from orders.services.quotes import carry_on, confirm_spot
from orders.services.spoken_for import SpokenFor
from routing.core import RoutingError
from routing.core.streets import read_typed
from routing.maps.run_drawing import MapStop
from routing.quoting.door_prices import drive_alone, pool_now
from routing.quoting.pick_up import SOME_KINDLING, yards_with
from routing.quoting.prices import PriceInput, price_request
from routing.quoting.spots import street_near
from routing.selectors.roads.road_maps import runs_map

ORDERS_A_WHILE = 12
LONGEST_NUMBER = 8  # letters of a house number
MAP_WIDE, MAP_HIGH = 358, 240  # a phone's width
DAYS_SHOWN = 6  # more are a tap away; a cheaper one is always shown


@in_their_language
@require_GET
def price(request: HttpRequest, token: UUID) -> HttpResponse:
    """The price of one quote, its days on offer, and the form that orders it."""
    view = found(quote_view(token), _("This price is not known any more: ask for it again."))
    return _priced(request, view, _order_form(request, view))


@in_their_language
@require_http_methods(["GET", "HEAD", "POST"])
def order_place(request: HttpRequest, token: UUID) -> HttpResponse:
    """Order at the quoted price: once, however often it is sent. Loaded anew, it is the page of the price."""
    if request.method != "POST":
        return redirect("quote-price", token)
    view = found(quote_view(token), _("This price is not known any more: ask for it again."))
    form = _order_form(request, view)
    with refusals(form) as refused:
        throttle.check_form(request)
        if form.is_valid():
            throttle.count_or_refuse(request, "order", most=ORDERS_A_WHILE, minutes=WINDOW_MINUTES)
            if (known := placed_before(form.cleaned_data["key"])) is not None:
                return redirect(order_path(known.number, known.link_secret))
            asks_street = _needs_address(view) and view.stands_on(today())
            street = form.cleaned_data["address"] if asks_street else ""
            located = _located(view, street) if street else view
            due, seen = _due(view, form).total, form.cleaned_data["seen"]
            before = due if seen is None else seen
            is_off_map = bool(street) and located.place.is_middle_of_town and not located.is_estimate
            if located.asks_place or is_off_map or _due(located, form).total != before:
                again = _order_form(request, located)
                is_moved = _due(located, form).total != due
                return _priced(request, located, again, status=409, before=before, is_moved=is_moved)
            number, secret = _place(request, located, form.cleaned_data)
            answer = redirect(order_path(number, secret))
            remember_order(answer, order_token(number, secret))
            return answer
    is_spoken_for = isinstance(refused.error, SpokenFor)
    return _priced(request, view, form, status=refused.status, is_spoken_for=is_spoken_for)


@in_their_language
@require_POST
def place(request: HttpRequest, token: UUID) -> HttpResponse:
    """Whether the spot on the map is the customer's: yes, yes with its house number, or not there at all."""
    view = found(quote_view(token), _("This price is not known any more: ask for it again."))
    number = request.POST.get("number", "").strip()[:LONGEST_NUMBER]
    with refusals() as refused:
        throttle.count_or_refuse(request, "quote", most=QUOTES_A_WHILE, minutes=WINDOW_MINUTES)
        if request.POST.get("is_it") == "no":
            view = _located(view, view.place.address, is_off_map=True)
        elif number and not read_typed(view.place.address).number:
            view = _located(view, f"{number} {view.place.address}")
        else:
            confirm_spot(view.token)
        return redirect("quote-price", view.token)
    form = _order_form(request, view, is_bound=False)
    form.cannot = refused.text  # type: ignore[attr-defined]
    return _priced(request, view, form, status=refused.status)


def _located(view: QuoteView, where: str, *, is_off_map: bool = False) -> QuoteView:
    """The same wish priced anew to another spot in its town, a price agreed by hand kept, beside the first.

    Errors
        NotHere, WhichTown, and what `price_request` refuses.
    """
    asked = PriceInput.again(view, where=where, town_id=view.place.town_id, is_off_map=is_off_map)
    saved = price_request(asked, on=today(), at=now(), language=reader_language())
    return found(quote_view(carry_on(was=view, saved=saved, on=today(), at=now())))


def _as_asked(view: QuoteView) -> str:
    """What was filled in for this price, for the form to begin with."""
    street = view.place.address.removesuffix(view.place.town).rstrip(", ") if view.has_street else ""
    filled = {
        "choice": f"{view.wood}:{view.dryness}",
        "amount": str(view.cords) if view.cords else "",
        "bundles": str(view.bundles) if view.bundles else "",
        "town": str(view.place.town_id or ""),
        "where": street,
        "how": view.how,
        "laid": "stack" if view.stacked else "drop",
        "small_rig": "on" if view.small_rig_only else "",
    }
    return urlencode({name: value for name, value in filled.items() if value})


def _due(view: QuoteView, form: OrderForm) -> DayOffer:
    """What is owed for the day that is chosen on the form."""
    try:
        return view.due_on(date.fromisoformat(str(form["day"].value())))
    except ValueError:  # any day, or none of ours
        return view.due_on(None)


@transaction.atomic
def _place(request: HttpRequest, view: QuoteView, cleaned: dict[str, Any]) -> tuple[int, UUID]:
    on, at = today(), now()
    chosen = cleaned["day"]
    window_from, window_to = WINDOWS[cleaned["window"] or "any"]
    placed = place_order(
        key=cleaned["key"],
        quote_token=view.token,
        name=cleaned["name"],
        phone=cleaned["phone"],
        email=cleaned["email"],
        day=None if chosen in ("", ANY_DAY) else date.fromisoformat(chosen),
        access=Access(
            drop_spot=cleaned["drop_spot"],
            gate_code=cleaned["gate_code"],
            access_note=cleaned["access_note"],
            ticked=tuple(cleaned["ticked"]),
        ),
        pay_how=cleaned["pay_how"] or "cash",
        window_from=window_from,
        window_to=window_to,
        waits_until=cleaned["waits_until"],
        note=cleaned["note"],
        language=reader_language(),
        wants_reminder=cleaned["remind"],
        joins_pool=cleaned["pool"],
        on=on,
        at=at,
    )
    if placed.is_new:
        tell(placed.number, "asked", at=at)
    return placed.number, placed.link_secret


def _order_form(request: HttpRequest, view: QuoteView, *, is_bound: bool = True) -> OrderForm:
    days = [(day.on.isoformat(), f"{day_words(day.on)} {whole_dollars(day.total)}") for day in view.days]
    ways = [(way.key, way.name) for way in prices.pay_ways()]
    first = days[0][0] if days else ANY_DAY
    looked_at = request.GET.get("day", "")
    initial = {
        "key": uuid.uuid4(),
        "day": looked_at if looked_at == ANY_DAY or looked_at in dict(days) else first,
        "window": "any",
        "pay_how": ways[0][0] if ways else "",
        "pool": True,
        **_details(request, view),
        "waits_until": pool_waits_until(today()).isoformat(),
    }
    return OrderForm(
        _posted(request) if is_bound else None,
        initial=initial,
        days=days,
        ways=ways,
        needs_address=_needs_address(view),
        on=today(),
    )


def _posted(request: HttpRequest) -> QueryDict | None:
    """What was sent; a key damaged on the way gives place to a new one, so that the next try counts."""
    if not request.POST:
        return None
    posted = request.POST.copy()
    try:
        UUID(posted.get("key", ""))
    except ValueError:
        posted["key"] = str(uuid.uuid4())
    return posted


def _details(request: HttpRequest, view: QuoteView) -> dict[str, Any]:
    """What the last order from this phone said of its buyer, and of the place if it is the same."""
    last = last_order(request)
    if last is None:
        return {}
    order = last[1]
    who = {
        "name": order.customer.name,
        "phone": order.customer.phone_as_typed,
        "email": order.customer.email,
        "pay_how": order.pay_how,
    }
    if order.place.address != view.place.address:
        return who
    place = order.place
    return {
        **who,
        "drop_spot": place.drop_spot,
        "gate_code": place.gate_code,
        "access_note": place.access_note,
        "ticked": access_keys(place.access),
    }


def _needs_address(view: QuoteView) -> bool:
    return view.how == How.DELIVERED and not view.has_street


def _taken_as(view: QuoteView) -> str:
    """The address on our map that a typed one was taken for, where it reads differently; else empty."""
    if not view.asks_place or view.place.lat is None or view.place.lon is None:
        return ""
    return street_near(view.place.lat, view.place.lon)


def _cheaper(view: QuoteView) -> tuple[int, Decimal] | None:
    """More kindling that costs no more; None where there is none."""
    in_force = prices.sheet_in_force(today())
    return cheaper_bundles(in_force.sheet, view.bundles) if in_force else None


def _pool(view: QuoteView, on: date) -> dict[str, Any]:
    """The load that waits for their town, and what a truck with this order alone would cost."""
    in_force, town = prices.sheet_in_force(on), view.place.town_id
    return {
        "pool": pool_now(town, on=on) if town else None,
        "alone": drive_alone(in_force.sheet, miles=view.miles) if in_force and view.miles else None,
    }


def _yards(view: QuoteView) -> tuple[YardPlace, ...]:
    """Where this wood can be picked up."""
    on = max(view.first_honest_day or today(), today())
    cords = view.cords or SOME_KINDLING
    return yards_with(lots_for_picking(on), wood=view.wood, dryness=view.dryness, cords=cords, on=on)


def _small_map(view: QuoteView) -> str:
    """The spot on the map as a picture; empty where no roads can be drawn."""
    if view.place.lat is None or view.place.lon is None:
        return ""
    spot = MapStop(mark="•", name=view.place.address, lat=view.place.lat, lon=view.place.lon)
    says = _("A map with %(address)s marked on it.") % {"address": view.place.address}
    try:
        return runs_map(stops=(spot,), says=says, width=MAP_WIDE, height=MAP_HIGH)
    except RoutingError:
        return ""


def _priced(
    request: HttpRequest,
    view: QuoteView,
    form: OrderForm,
    status: int = 200,
    before: Decimal | None = None,
    is_moved: bool = False,
    is_spoken_for: bool = False,
) -> HttpResponse:
    """The price page; `before` is what the button said, `is_moved` where the street has changed it.

    Where the wood `is_spoken_for`, who wanted it may wait for more.
    """
    on = today()
    due = _due(view, form)
    soon = [day for place, day in enumerate(view.days) if place < DAYS_SHOWN or day.saved > 0]
    changes = changing(request)
    context = {
        "quote": view,
        "changing": changes[1] if changes else None,
        "changing_link": changes[0] if changes else "",
        "taken_as": _taken_as(view),
        "place_map": _small_map(view) if view.asks_place else "",
        "asks_number": view.asks_place and not read_typed(view.place.address).number,
        "before": before if before is not None and before != due.total else None,
        "is_moved": is_moved,
        "due": due,
        "any_total": view.due_on(None).total,
        "soon_days": soon,
        "later_days": [day for day in view.days if day not in soon],
        "form": form,
        "stands": view.stands_on(on),
        **marks(form),
        "day_value": str(form["day"].value() or ""),
        "again": f"{reverse('quote')}?{_as_asked(view)}",
        "ways": prices.pay_ways(),
        "more": _cheaper(view),
        "yards": _yards(view) if view.how == How.PICK_UP else (),
        **(_pool(view, on) if view.is_far and not view.days and view.how == How.DELIVERED else {}),
        "wait": waiting_offer(view, form) if is_spoken_for else None,
    }
    return render(request, "customer/price.html", context, status=status)

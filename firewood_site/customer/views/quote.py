"""One page: what, how much, where, and the price at once; then the order on the same price."""

import uuid
from datetime import date, timedelta
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from firewood_site import throttle
from firewood_site.access import found, order_path
from firewood_site.clock import now, today
from firewood_site.customer.forms import AMOUNTS, ANY_DAY, WINDOWS, OrderForm, QuoteForm
from firewood_site.languages import in_their_language
from firewood_site.letters import tell
from firewood_site.quoting import (
    Asked,
    NotHere,
    WoodChoice,
    nearest_yard_words,
    on_sale,
    price_want,
    wood_choices,
)
from firewood_site.refusals import refusal_words
from firewood_site.supply import street_near
from firewood_site.templatetags.firewood import day as day_words
from firewood_site.templatetags.firewood import whole_dollars
from orders.core import OrdersError
from orders.core.quotes import How
from orders.core.wants import KINDLING
from orders.selectors import prices
from orders.selectors.quotes import QuoteView, quote_view
from orders.services.asking import Access, place_order
from orders.services.customers import BadPhone

QUOTES_A_WHILE = 40
ORDERS_A_WHILE = 12
WINDOW_MINUTES = 10
POOL_WAIT_DAYS = 30
DAYS_SHOWN = 6  # more are a tap away; a cheaper one is always shown


@in_their_language
@require_http_methods(["GET", "HEAD", "POST"])
def quote(request: HttpRequest) -> HttpResponse:
    """Ask for a price: GET shows the form, filled from the address; POST keeps the quote and shows it."""
    on = today()
    sale = on_sale(on)
    choices, towns = wood_choices(on, sale=sale), sale.towns
    lists = {
        "woods": [(choice.key, choice.key) for choice in choices],
        "towns": [(str(town.id), town.name) for town in towns],
    }
    if request.method != "POST":
        form = QuoteForm(initial=_from_address(request, choices), **lists)
        return _asking(request, form, choices, towns)
    if "look" in request.POST:  # without JavaScript: the amounts of another wood, nothing priced yet
        return _asking(request, QuoteForm(initial=request.POST.dict(), **lists), choices, towns)
    form = QuoteForm(request.POST, **lists)
    try:
        throttle.count_or_refuse(request, "quote", most=QUOTES_A_WHILE, minutes=WINDOW_MINUTES)
        if form.is_valid():
            saved = price_want(_asked(form), on=on, at=now(), language=get_language() or "en", sale=sale)
            return redirect("quote-price", saved.token)
    except throttle.TooMany as refusal:
        form.add_error(None, refusal_words(refusal))
        return _asking(request, form, choices, towns, status=429)
    except (OrdersError, NotHere) as refusal:
        form.add_error(None, refusal_words(refusal))
    return _asking(request, form, choices, towns, status=422)


@in_their_language
@require_GET
def price(request: HttpRequest, token: UUID) -> HttpResponse:
    """The price of one quote, its days on offer, and the form that orders it."""
    view = found(quote_view(token), _("This price is not known any more: ask for it again."))
    return _priced(request, view, _order_form(request, view))


@in_their_language
@require_POST
def order_place(request: HttpRequest, token: UUID) -> HttpResponse:
    """Order at the quoted price: once, however often it is sent."""
    view = found(quote_view(token), _("This price is not known any more: ask for it again."))
    form = _order_form(request, view)
    try:
        throttle.check_form(request)
        throttle.count_or_refuse(request, "order", most=ORDERS_A_WHILE, minutes=WINDOW_MINUTES)
        if form.is_valid():
            placed = _place(request, view, form.cleaned_data)
            return redirect(order_path(placed[0], placed[1]))
    except throttle.TooMany as refusal:
        form.add_error(None, refusal_words(refusal))
        return _priced(request, view, form, status=429)
    except BadPhone as refusal:
        form.add_error("phone", refusal_words(refusal))
    except (OrdersError, throttle.LooksLikeAMachine) as refusal:
        form.add_error(None, refusal_words(refusal))
    return _priced(request, view, form, status=422)


def _place(request: HttpRequest, view: QuoteView, said: dict[str, Any]) -> tuple[int, UUID]:
    on, at = today(), now()
    chosen = said["day"]
    window_from, window_to = WINDOWS[said["window"] or "any"]
    joins_pool = bool(said["pool"]) and view.is_far
    placed = place_order(
        key=said["key"],
        quote_token=view.token,
        name=said["name"],
        phone=said["phone"],
        email=said["email"],
        day=None if chosen in ("", ANY_DAY) or joins_pool else date.fromisoformat(chosen),
        access=Access(
            drop_spot=said["drop_spot"],
            gate_code=said["gate_code"],
            access_note=said["access_note"],
            address=f"{said['address']}, {view.town}" if _needs_address(view) else "",
        ),
        pay_how=said["pay_how"] or "cash",
        window_from=window_from,
        window_to=window_to,
        last_on=(said["waits_until"] or on + timedelta(days=POOL_WAIT_DAYS)) if joins_pool else None,
        note=said["note"],
        language=get_language() or "en",
        wants_reminder=said["remind"],
        joins_pool=joins_pool,
        on=on,
        at=at,
    )
    if placed.is_new:
        tell(placed.number, "asked", at=at)
    return placed.number, placed.link_secret


def _asked(form: QuoteForm) -> Asked:
    said = form.cleaned_data
    wood, _sign, dryness = said["choice"].partition(":")
    how = How.PICK_UP if wood == "logs" else How(said.get("how") or "delivered")
    picked_from_list = said.get("said", "") == said.get("where", "")
    return Asked(
        wood=wood,
        dryness=dryness or "seasoned",
        cords=form.cords,
        bundles=said.get("bundles") or 0,
        how=how,
        is_stacked=said.get("laid") == "stack" and how is How.DELIVERED,
        small_rig_only=bool(said.get("small_rig")),
        where=said.get("where", ""),
        town_id=int(said["town"]) if said.get("town") else None,
        lat=said.get("lat") if picked_from_list else None,
        lon=said.get("lon") if picked_from_list else None,
    )


def _from_address(request: HttpRequest, choices: tuple[WoodChoice, ...]) -> dict[str, Any]:
    """What links may fill in: wood, amount, town, and so on."""
    first = choices[0].key if choices else ""
    filled: dict[str, Any] = {"choice": first, "amount": "1/2", "how": "delivered", "laid": "drop"}
    filled.update({name: value for name, value in request.GET.items() if name in QuoteForm.base_fields})
    return filled


def _order_form(request: HttpRequest, view: QuoteView) -> OrderForm:
    days = [(day.on.isoformat(), f"{day_words(day.on)} {whole_dollars(day.total)}") for day in view.days]
    ways = [(way.key, way.name) for way in prices.pay_ways()]
    first = days[0][0] if days else ANY_DAY
    initial = {
        "key": uuid.uuid4(),
        "day": first,
        "window": "any",
        "pay_how": ways[0][0] if ways else "",
        "pool": True,
        "waits_until": (today() + timedelta(days=POOL_WAIT_DAYS)).isoformat(),
    }
    return OrderForm(
        request.POST or None,
        initial=initial,
        days=days,
        ways=ways,
        needs_address=_needs_address(view),
        on=today(),
    )


def _needs_address(view: QuoteView) -> bool:
    return view.how == How.DELIVERED and not view.has_street


def _taken_as(view: QuoteView) -> str:
    """The address on our map that a typed one was taken for, where it reads differently; else empty."""
    if not view.has_street or view.lat is None or view.lon is None or _is_middle_of_town(view):
        return ""
    ours = street_near(view.lat, view.lon)
    street = ours.partition(",")[0].lstrip("0123456789 ")
    return ours if street and street.lower() not in view.address.lower() else ""


def _is_middle_of_town(view: QuoteView) -> bool:
    towns = prices.towns() if not view.is_exact else ()
    return any((town.lat, town.lon) == (view.lat, view.lon) for town in towns if town.id == view.town_id)


def _asking(
    request: HttpRequest,
    form: QuoteForm,
    choices: tuple[WoodChoice, ...],
    towns: tuple[prices.TownRow, ...],
    status: int = 200,
) -> HttpResponse:
    chosen = str(form["choice"].value() or "")
    current = next((choice for choice in choices if choice.key == chosen), None)
    if current is not None and current.wood == KINDLING:
        form.fields["bundles"].is_asked = True  # type: ignore[attr-defined]
    offered = {amount for choice in choices for amount in choice.amounts}
    context = {
        "form": form,
        "choices": choices,
        "chosen": current,
        "amount_value": _amount_shown(form, current),
        "amounts": [
            (amount, size, current is not None and amount in current.amounts)
            for size, amount in sorted((Fraction(amount), amount) for amount in offered)
        ],
        "towns": towns,
        "pick_up": nearest_yard_words(),
    }
    return render(request, "customer/quote.html", context, status=status)


def _amount_shown(form: QuoteForm, current: WoodChoice | None) -> str:
    """The amount that is marked: what was asked for, or before anybody chose the nearest that is open."""
    wanted = str(form["amount"].value() or "")
    if form.is_bound or current is None or not current.amounts or wanted in current.amounts:
        return wanted
    size = Fraction(wanted) if wanted in AMOUNTS else Fraction(0)
    smaller = [amount for amount in current.amounts if Fraction(amount) <= size]
    return smaller[-1] if smaller else current.amounts[0]


def _priced(request: HttpRequest, view: QuoteView, form: OrderForm, status: int = 200) -> HttpResponse:
    on = today()
    soon = [day for place, day in enumerate(view.days) if place < DAYS_SHOWN or day.saved > 0]
    context = {
        "quote": view,
        "taken_as": _taken_as(view),
        "is_middle_of_town": _is_middle_of_town(view),
        "soon_days": soon,
        "has_cents": any(day.total % 1 for day in view.days),
        "later_days": [day for day in view.days if day not in soon],
        "form": form,
        "stands": view.stands_on(on),
        "stamp": throttle.stamp(),
        "trap": throttle.TRAP,
        "day_value": str(form["day"].value() or ""),
        "again": f"{reverse('quote')}?choice={view.wood}:{view.dryness}&amount={view.cords}"
        f"&town={view.town_id or ''}&how={view.how}",
        "ways": prices.pay_ways(),
    }
    return render(request, "customer/price.html", context, status=status)

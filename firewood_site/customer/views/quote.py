"""One page: what, how much, where, and the price at once; then the order on the same price."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from firewood_site import throttle
from firewood_site.amounts import in_cords
from firewood_site.clock import now, today
from firewood_site.customer.forms import AMOUNTS, QuoteForm, usual_amount
from firewood_site.customer.remembered import Door, door_of, price_anew, remember
from firewood_site.customer.views.instead import changing
from firewood_site.customer.views.neighbor import neighbor_of
from firewood_site.languages import in_their_language
from firewood_site.refusals import refusals
from firewood_site.wood_words import amount_in_words
from inventory.core.woods import Wood
from inventory.selectors.business import business
from inventory.selectors.spoken import reader_language
from inventory.selectors.yards import pick_up_yards
from orders.core.order_request import How, how_sold
from orders.core.places import place_rule
from orders.core.pricing import cheaper_bundles
from orders.selectors import prices
from orders.selectors.on_sale import OnSale, WoodChoice, on_sale, wood_choices
from orders.selectors.sharing import Neighbor
from routing.quoting.prices import PriceInput, price_now, price_request

QUOTES_A_WHILE = 40
TOTALS_A_WHILE = 300
WINDOW_MINUTES = 10


@in_their_language
@require_http_methods(["GET", "HEAD", "POST"])
def quote(request: HttpRequest) -> HttpResponse:
    """Ask for a price: GET shows the form, filled from the address; POST keeps the quote and shows it."""
    on = today()
    changes, rides_with = changing(request), neighbor_of(request)
    sale = on_sale(on, at=now(), apart_from=changes[1].number if changes else None)
    choices, towns = wood_choices(on, sale=sale), sale.towns
    lists: dict[str, Any] = {
        "woods": [(choice.key, choice.key) for choice in choices],
        "towns": [(str(town.id), town.name) for town in towns],
        "whole": _whole(),
    }
    if request.method != "POST":
        filled = _from_address(request, choices, door_of(request, towns), rides_with)
        now_so = (
            _now(request, QuoteForm(filled, **lists), sale)
            if filled.get("town") or filled["how"] == How.PICK_UP
            else Now()
        )
        return _asking(request, QuoteForm(initial=filled, **lists), choices, sale, now_so=now_so)
    if "look" in request.POST:  # without JavaScript: the amounts of another wood, nothing priced yet
        return _asking(request, QuoteForm(initial=request.POST.dict(), **lists), choices, sale)
    form = QuoteForm(request.POST, **lists)
    if request.htmx:  # type: ignore[attr-defined]  # a choice was changed: what it comes to now
        return render(request, "customer/quote.html#total", {"now": _now(request, form, sale)})
    with refusals(form) as refused:
        throttle.count_or_refuse(request, "quote", most=QUOTES_A_WHILE, minutes=WINDOW_MINUTES)
        if form.is_valid():
            saved = price_request(
                _asked(form, rides_with), on=on, at=now(), language=reader_language(), sale=sale
            )
            answer = redirect("quote-price", saved.token)
            remember(answer, _door(form, towns))
            return answer
    return _asking(request, form, choices, sale, status=refused.status)


@require_safe
def anew(request: HttpRequest) -> HttpResponse:
    """Neither the order that was being changed nor a neighbor's drop: a price for a new order."""
    answer = redirect("quote")
    price_anew(answer)
    return answer


def _whole() -> str:
    """What typed amounts are parts of, at a place that does not sell by the cord; else empty."""
    seller = business()
    sells_cords = place_rule(seller.place_key).volume_style == "cords_ft3"
    return "" if sells_cords else amount_in_words(Fraction(1), seller)


@dataclass(frozen=True, slots=True, kw_only=True)
class Now:
    """What the form as it stands comes to, and where that is delivered; or why it can't be said yet."""

    total: Decimal | None = None
    place: str = ""
    cannot: str = ""
    more: tuple[int, Decimal] | None = None  # bundles that cost no more, and what they cost


def _now(request: HttpRequest, form: QuoteForm, sale: OnSale) -> Now:
    """The total of a form, while it is being filled in; nothing is kept."""
    if not form.is_valid():
        return Now()
    with refusals() as refused:
        throttle.count_or_refuse(request, "total", most=TOTALS_A_WHILE, minutes=WINDOW_MINUTES)
        asked = _asked(form, neighbor_of(request))
        priced = price_now(asked, on=today(), language=reader_language(), sale=sale)
        more = sale.in_force and cheaper_bundles(sale.in_force.sheet, asked.bundles)
        return Now(total=priced.total_dollars, place=priced.order_request.place, more=more or None)
    return Now(cannot=refused.text)


def _asked(form: QuoteForm, rides_with: Neighbor | None = None) -> PriceInput:
    cleaned = form.cleaned_data
    wood, _sign, dryness = cleaned["choice"].partition(":")
    how = how_sold(wood, How(cleaned.get("how") or "delivered"))
    rides_with = rides_with if how is How.DELIVERED else None
    picked_from_list = cleaned.get("picked", "") == cleaned.get("where", "")
    return PriceInput(
        wood=wood,
        dryness=dryness or "seasoned",
        cords=form.cords,
        bundles=cleaned.get("bundles") or 0,
        how=how,
        stacked=cleaned.get("laid") == "stack" and how is How.DELIVERED,
        small_rig_only=bool(cleaned.get("small_rig")),
        where=cleaned.get("where", ""),
        town_id=int(cleaned["town"]) if cleaned.get("town") else None,
        lat=cleaned.get("lat") if picked_from_list else None,
        lon=cleaned.get("lon") if picked_from_list else None,
        neighbor=rides_with,
    )


def _door(form: QuoteForm, towns: tuple[prices.TownRow, ...]) -> Door:
    said = form.cleaned_data
    if said.get("how") == How.PICK_UP:
        return Door(is_pick_up=True)
    return Door(town=next((town for town in towns if str(town.id) == said.get("town")), None))


def _from_address(
    request: HttpRequest, choices: tuple[WoodChoice, ...], door: Door, rides_with: Neighbor | None
) -> dict[str, Any]:
    """What links and this phone's memory may fill in: wood, amount, town, and so on."""
    first = choices[0].key if choices else ""
    filled: dict[str, Any] = {"choice": first, "amount": usual_amount(), "how": "delivered", "laid": "drop"}
    filled |= {"how": "pick_up"} if door.is_pick_up and not rides_with else {"town": door.key}
    if rides_with:
        filled |= {"town": str(rides_with.place.town_id), "where": rides_with.place.address}
    filled.update({name: value for name, value in request.GET.items() if name in QuoteForm.base_fields})
    if filled["amount"] not in AMOUNTS:
        filled |= {"amount": "", "other": in_cords(filled["amount"])}
    return filled


def _asking(
    request: HttpRequest,
    form: QuoteForm,
    choices: tuple[WoodChoice, ...],
    sale: OnSale,
    status: int = 200,
    now_so: Now | None = None,
) -> HttpResponse:
    chosen = str(form["choice"].value() or "")
    current = next((choice for choice in choices if choice.key == chosen), None)
    if current is not None and current.wood == Wood.KINDLING:
        form.fields["bundles"].is_asked = True  # type: ignore[attr-defined]
    offered = {amount for choice in choices for amount in choice.amounts}
    context = {
        "form": form,
        "choices": choices,
        "chosen": current,
        "amount_value": _amount_shown(form, current),
        "largest": max((Fraction(amount) for amount in offered), default=None),
        "amounts": [
            (amount, size, current is not None and amount in current.amounts)
            for size, amount in sorted((Fraction(amount), amount) for amount in offered)
        ],
        "sheet": sale.in_force.sheet if sale.in_force else None,
        "bundles_left": sale.bundles,
        "pick_up": ", ".join(pick_up_yards()),
        "now": now_so or Now(),
        "rides_with": neighbor_of(request),
    }
    return render(request, "customer/quote.html", context, status=status)


def _amount_shown(form: QuoteForm, current: WoodChoice | None) -> str:
    """The amount that is marked: what was asked for, or before anybody chose the nearest that is open."""
    wanted = str(form["amount"].value() or "")
    if form["other"].value():
        return ""
    if form.is_bound or current is None or not current.amounts or wanted in current.amounts:
        return wanted
    size = Fraction(wanted) if wanted in AMOUNTS else Fraction(0)
    smaller = [amount for amount in current.amounts if Fraction(amount) <= size]
    return smaller[-1] if smaller else current.amounts[0]

"""The answer to "half cord delivered?" in under a minute: a total, the first honest day, a line to paste."""

import uuid
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.amounts import Typed
from firewood_site.clock import now, signed, today
from firewood_site.letters import sms_link, tell
from firewood_site.parts import page_or_part
from firewood_site.refusals import refusals
from firewood_site.seller.first_start import blocking
from firewood_site.seller.forms.orders import CounterForm, QuickOrderForm, TextBackForm
from firewood_site.seller.post_only import post_only
from firewood_site.seller.today_tasks import Task
from firewood_site.templatetags.firewood import day as day_words
from firewood_site.templatetags.firewood import whole_dollars
from firewood_site.wood_words import wood_title
from inventory.core.local import local
from inventory.core.woods import Wood
from inventory.selectors.business import business
from inventory.selectors.sale import lots_for_sale
from inventory.selectors.stock import open_wood
from orders.core.order_request import How, how_sold
from orders.selectors import prices
from orders.selectors.on_sale import OnSale, WoodChoice, on_sale, wood_choices
from orders.selectors.quotes import QuoteView, asked_quotes, quote_view, text_back_line
from orders.services.asking import Access
from orders.services.placing import place_order
from orders.services.quotes import counter_price
from routing.quoting.door_prices import town_drives
from routing.quoting.drives import Roads
from routing.quoting.prices import PriceInput, price_request
from routing.selectors.rigs import largest_load

SIZES = ("1/4", "1/3", "1/2", "2/3", "3/4", "1", "1 1/2", "2")
SIZES_M3 = ("1 m³", "2 m³", "3 m³", "4 m³", "5 m³", "6 m³", "8 m³", "10 m³")


@seller_required
def text_back(request: HttpRequest) -> HttpResponse:
    """Size, wood, town, dump or stack; then the answer."""
    on = today()
    sale = on_sale(on)
    choices = wood_choices(on, sale=sale)
    half = Typed("2 m³" if local().is_metric else "1/2")
    form = TextBackForm(
        request.POST or None,
        initial={"laid": "drop", "choice": choices[0].key if choices else "", "amount": half},
        woods=[(choice.key, wood_title(choice.wood, choice.dryness)) for choice in choices],
        towns=[(str(town.id), town.name) for town in sale.towns],
        sizes=_sizes(),
        load=largest_load(),
    )
    if request.method == "POST" and form.is_valid():
        with refusals(form):
            saved = price_request(_asked(form), on=on, at=now(), sale=sale)
            return redirect("text-back-answer", saved.token)
    return _asking(request, form, choices, towns=_towns_by_miles(sale, on))


@seller_required
@require_safe
def answer(request: HttpRequest, token: UUID) -> HttpResponse:
    """The line to paste, and the order if they say yes."""
    view = found(quote_view(token), _("There is no such quote."))
    return _answer(request, view, _order_form(request, view))


@seller_required
@require_safe
def given(request: HttpRequest) -> HttpResponse:
    """Quotes given to somebody: who, what, how much, until when, and what became of them."""
    rows = asked_quotes()
    waiting = [row for row in rows if row.order is None and row.last_day >= today()]
    over = [row for row in rows if row not in waiting]
    return render(request, "seller/orders/quotes.html", {"waiting": waiting, "over": over})


@seller_required
@post_only
def counter(request: HttpRequest, token: UUID) -> HttpResponse:
    """Another price for the same wood, agreed on."""
    form = CounterForm(request.POST)
    if form.is_valid():
        with refusals(form):
            new = counter_price(
                token=token, total=form.cleaned_data["dollars"], on=today(), **signed(request)
            )
            return redirect("text-back-answer", new)
    view = found(quote_view(token), _("There is no such quote."))
    return _answer(request, view, _order_form(request, view, is_sent=False), counter=form)


@seller_required
def order_for_them(request: HttpRequest, token: UUID) -> HttpResponse:
    """They said yes: write the order down at this price."""
    view = found(quote_view(token), _("There is no such quote."))
    if request.method != "POST":
        return redirect("text-back-answer", token)
    form = _order_form(request, view)
    if form.is_valid():
        cleaned, on = form.cleaned_data, today()
        with refusals(form), transaction.atomic():
            placed = place_order(
                key=cleaned["key"],
                quote_token=token,
                name=cleaned["name"],
                phone=cleaned["phone"],
                is_landline=cleaned["is_landline"],
                day=None if cleaned["day"] in ("", "any") else date.fromisoformat(cleaned["day"]),
                access=Access(
                    drop_spot=cleaned["drop_spot"],
                    gate_code=cleaned["gate_code"],
                    access_note=cleaned["access_note"],
                ),
                pay_how=cleaned["pay_how"] or "cash",
                joins_pool=cleaned["pool"],
                typed_by_staff=True,
                on=on,
                **signed(request),
            )
            if placed.is_new:
                tell(placed.number, "asked", at=now())
            return redirect("order", placed.number)
    return _answer(request, view, form)


def _asked(form: TextBackForm) -> PriceInput:
    cleaned = form.cleaned_data
    wood, _sign, dryness = cleaned["choice"].partition(":")
    return PriceInput(
        asked_by=cleaned["asked_by"],
        wood=wood,
        dryness=dryness or "seasoned",
        cords=cleaned["amount"] if wood != Wood.KINDLING else cleaned["amount"] * 0,
        bundles=cleaned["bundles"] or 0,
        how=how_sold(wood, How.PICK_UP if cleaned["laid"] == "pick_up" else How.DELIVERED),
        stacked=cleaned["laid"] == "stack",
        small_rig_only=cleaned["small_rig"],
        where=cleaned["where"],
        town_id=int(cleaned["town"]) if cleaned["town"] else None,
        is_new_customer=not cleaned["repeat"],
    )


def _order_form(request: HttpRequest, view: QuoteView, *, is_sent: bool = True) -> QuickOrderForm:
    return QuickOrderForm(
        (request.POST or None) if is_sent else None,
        initial={"key": uuid.uuid4(), "day": "any", "pool": view.is_far},
        days=[(day.on.isoformat(), f"{day_words(day.on)} {whole_dollars(day.total)}") for day in view.days],
        ways=[(way.key, _(way.name)) for way in prices.pay_ways()],
    )


def _open_bundles() -> int | None:
    """Kindling bundles that may be sold today; None when no lot of it is counted."""
    counted = [lot.bundles for lot in lots_for_sale(today()) if lot.bundles is not None]
    return sum(counted) if counted else None


type _Town = tuple[str, str, Decimal | None]


def _towns_by_miles(sale: OnSale, on: date) -> list[_Town]:
    """The nearest town first, with its road miles; those no road leads to at the end."""
    miles = {row.town.id: row.miles for row in town_drives(sale, on=on, roads=Roads(on))}
    towns = [(str(town.id), town.name, miles.get(town.id)) for town in sale.towns]
    return sorted(towns, key=lambda town: (town[2] is None, town[2] or 0, town[1]))


def _asking(
    request: HttpRequest, form: TextBackForm, choices: tuple[WoodChoice, ...], *, towns: list[_Town]
) -> HttpResponse:
    context = {
        "form": form,
        "towns": towns,
        "choices": choices,
        "blocking": () if choices and towns else _needed(today()),
        "bundles": _open_bundles(),
        "sizes": _sizes(),
        "choice_value": str(form["choice"].value() or ""),
        "amount_value": str(form["amount"].value() or ""),
    }
    status = 422 if form.is_bound else 200
    return page_or_part(request, "seller/orders/text_back.html", "asking", context, status=status)


def _sizes() -> tuple[str, ...]:
    return SIZES_M3 if local().is_metric else SIZES


def _needed(on: date) -> list[Task]:
    """What keeps anything from being priced."""
    return [row for row in blocking(on, open_wood(on)) if row.level == "bad"]


def _answer(
    request: HttpRequest, view: QuoteView, form: QuickOrderForm, *, counter: CounterForm | None = None
) -> HttpResponse:
    seller = business()
    line = text_back_line(
        view.token, seller=seller.name, place_key=seller.place_key, language=seller.language
    )
    link = f"{settings.SITE_URL}{reverse('quote-price', args=[view.token])}"
    line = f"{line} {link}"
    context = {
        "quote": view,
        "line": line,
        "line_language": seller.language,
        "sms": sms_link("", line),
        "form": form,
        "counter": counter or CounterForm(),
    }
    status = 422 if (form.is_bound and form.errors) or counter else 200
    return render(request, "seller/orders/text_back_answer.html", context, status=status)

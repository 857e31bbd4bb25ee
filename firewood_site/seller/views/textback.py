"""The answer to "half cord delivered?" in under a minute: a total, the first honest day, a line to paste."""

import uuid
from datetime import date
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import now, today
from firewood_site.letters import sms_link, tell
from firewood_site.parts import page_or_part
from firewood_site.quoting import Asked, NotHere, WoodChoice, on_sale, price_want, wood_choices
from firewood_site.seller.forms.orders import QuickOrderForm, TextBackForm
from firewood_site.templatetags.firewood import day as day_words
from firewood_site.templatetags.firewood import whole_dollars
from firewood_site.wood_words import wood_title
from inventory.selectors.business import business
from inventory.selectors.sale import lots_for_sale
from orders.core import OrdersError
from orders.core.wants import How
from orders.selectors import prices
from orders.selectors.quotes import QuoteView, quote_view, text_back_line
from orders.services.asking import Access, place_order

SIZES = ("1/4", "1/3", "1/2", "2/3", "3/4", "1", "1 1/2", "2")


@seller_required
def text_back(request: HttpRequest) -> HttpResponse:
    """Size, wood, town, dump or stack; then the answer."""
    on = today()
    sale = on_sale(on)
    choices = wood_choices(on, sale=sale)
    form = TextBackForm(
        request.POST or None,
        initial={"laid": "drop", "choice": choices[0].key if choices else "", "amount": "1/2"},
        woods=[(choice.key, wood_title(choice.wood, choice.dryness)) for choice in choices],
        towns=[(str(town.id), town.name) for town in sale.towns],
    )
    if request.method == "POST" and form.is_valid():
        try:
            saved = price_want(_asked(form), on=on, at=now(), sale=sale)
            return redirect("text-back-answer", saved.token)
        except (OrdersError, NotHere) as refusal:
            form.add_error(None, str(refusal))
    return _asking(request, form, choices)


@seller_required
@require_safe
def answer(request: HttpRequest, token: UUID) -> HttpResponse:
    """The line to paste, and the order if they say yes."""
    view = found(quote_view(token), "There is no such quote.")
    return _answer(request, view, _order_form(request, view))


@seller_required
def order_for_them(request: HttpRequest, token: UUID) -> HttpResponse:
    """They said yes: write the order down at this price."""
    view = found(quote_view(token), "There is no such quote.")
    if request.method != "POST":
        return redirect("text-back-answer", token)
    form = _order_form(request, view)
    if form.is_valid():
        said, on = form.cleaned_data, today()
        try:
            placed = place_order(
                key=said["key"],
                quote_token=token,
                name=said["name"],
                phone=said["phone"],
                is_landline=said["is_landline"],
                day=None if said["day"] in ("", "any") else date.fromisoformat(said["day"]),
                access=Access(
                    drop_spot=said["drop_spot"],
                    gate_code=said["gate_code"],
                    access_note=said["access_note"],
                ),
                pay_how=said["pay_how"] or "cash",
                joins_pool=said["pool"],
                on=on,
                at=now(),
                who=request.user.get_username(),
            )
        except OrdersError as refusal:
            form.add_error(None, str(refusal))
        else:
            if placed.is_new:
                tell(placed.number, "asked", at=now())
            return redirect("order", placed.number)
    return _answer(request, view, form)


def _asked(form: TextBackForm) -> Asked:
    said = form.cleaned_data
    wood, _sign, dryness = said["choice"].partition(":")
    is_fetched = said["laid"] == "pick_up" or wood == "logs"
    return Asked(
        wood=wood,
        dryness=dryness or "seasoned",
        cords=said["amount"] if wood != "kindling" else said["amount"] * 0,
        bundles=said["bundles"] or 0,
        how=How.PICK_UP if is_fetched else How.DELIVERED,
        is_stacked=said["laid"] == "stack",
        small_rig_only=said["small_rig"],
        where=said["where"],
        town_id=int(said["town"]) if said["town"] else None,
        is_new_customer=not said["repeat"],
    )


def _order_form(request: HttpRequest, view: QuoteView) -> QuickOrderForm:
    return QuickOrderForm(
        request.POST or None,
        initial={"key": uuid.uuid4(), "day": "any", "pool": view.is_far},
        days=[(day.on.isoformat(), f"{day_words(day.on)} {whole_dollars(day.total)}") for day in view.days],
        ways=[(way.key, way.name) for way in prices.pay_ways()],
    )


def _open_bundles() -> int | None:
    """Kindling bundles that may be sold today; None when no lot of it is counted."""
    counted = [lot.bundles for lot in lots_for_sale(today()) if lot.bundles is not None]
    return sum(counted) if counted else None


def _asking(request: HttpRequest, form: TextBackForm, choices: tuple[WoodChoice, ...]) -> HttpResponse:
    context = {
        "form": form,
        "choices": choices,
        "bundles": _open_bundles(),
        "sizes": SIZES,
        "choice_value": str(form["choice"].value() or ""),
        "amount_value": str(form["amount"].value() or ""),
    }
    status = 422 if form.is_bound else 200
    return page_or_part(request, "seller/orders/text_back.html", "asking", context, status=status)


def _answer(request: HttpRequest, view: QuoteView, form: QuickOrderForm) -> HttpResponse:
    seller = business()
    line = text_back_line(view.token, seller=seller.name, place_key=seller.place_key)
    context = {"quote": view, "line": line, "sms": sms_link("", line), "form": form}
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "seller/orders/text_back_answer.html", context, status=status)

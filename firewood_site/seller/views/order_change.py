"""The seller puts an order right, wherever it stands, and reads whom it touches before it is kept."""

from fractions import Fraction

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from firewood_site.access import found, seller_required
from firewood_site.clock import now, signed, today
from firewood_site.refusals import refusals
from firewood_site.seller.corrections import asked_of, lots_now, moved_off, touched_by
from firewood_site.seller.forms.corrections import CorrectForm
from firewood_site.seller.steps import step, told_at
from firewood_site.seller.views.order_steps import order_step
from firewood_site.seller.views.orders import lots_for
from firewood_site.templatetags.firewood import cords
from firewood_site.wood_words import wood_title
from inventory.selectors.spoken import listed
from orders.core.corrections import MAY_CHANGE, OFF_ITS_DAY, Part
from orders.core.lifecycle import State
from orders.selectors.on_sale import wood_choices
from orders.selectors.orders import OrderView, order_view
from orders.selectors.prices import towns
from orders.selectors.shortfalls import short_lots
from orders.services.corrections import Correction, correct_order, parts_touched
from orders.services.orders import reopen_order
from routing.services.off_day import leave_days


@seller_required
def change(request: HttpRequest, number: int) -> HttpResponse:
    """Place, days, wood, amount, lots and price; kept only once what it touches was shown."""
    view = found(order_view(number), _("There is no order {number}.").format(number=number))
    form = _form(request, view)
    touched: tuple[str, ...] = ()
    may = MAY_CHANGE[State(view.state)]
    if request.method == "POST" and may and form.is_valid():
        with refusals(form):
            asked = asked_of(view, form, on=today())
            if "sure" in request.POST:
                _keep(view, asked, request.user.get_username())
                messages.success(request, _("Order {number} is changed.").format(number=number))
                return redirect("order", number)
            touched = touched_by(view, asked, parts_touched(number, asked))
    context = {
        "order": view,
        "form": form,
        "touched": touched,
        "may_days": Part.DAYS in may,
        "is_over": not may,
    }
    status = 422 if form.is_bound and (form.errors or not may) else 200
    return render(request, "seller/orders/change.html", context, status=status)


@order_step
def reopen(request: HttpRequest, number: int) -> HttpResponse:
    """A cancellation or a decline taken back."""
    was_told = reopen_order(number=number, **signed(request))
    told = _("Order {number} is a new request again: confirm it to hold its wood.").format(number=number)
    if was_told:
        told += " " + _("The customer was told that it is off: tell them it is not.")
    messages.success(request, told)
    return redirect("order", number)


@step(told_at("lot", "code"))
def move_wood(request: HttpRequest, number: int, code: str) -> HttpResponse:
    """What a short lot cannot give an order comes from the lots that have it."""
    view = found(order_view(number), _("There is no order {number}.").format(number=number))
    short = next(iter(short_lots(today(), code=code)), None)
    row = next((row for row in short.promised if row.number == number), None) if short else None
    if row is None or not row.instead:
        gone = _("Nothing of order {number} can move off {code} now: look again.")
        messages.warning(request, gone.format(number=number, code=code))
        return redirect("lot", code)
    _keep(view, moved_off(view, row, code), request.user.get_username())
    taken = _("{cords} from {lot}")
    lots = listed([taken.format(cords=cords(pick.cords), lot=pick.lot) for pick in row.instead])
    off = " " + _("It is off its day: plan it again.") if view.state == State.PLANNED else ""
    messages.success(
        request, _("Order {number} takes {lots}.{off}").format(number=number, lots=lots, off=off)
    )
    return redirect("lot", code)


@transaction.atomic
def _keep(view: OrderView, asked: Correction, who: str) -> None:
    parts = parts_touched(view.number, asked)
    if view.state == State.PLANNED and parts & OFF_ITS_DAY:
        leave_days(number=view.number, at=now(), who=who)
    correct_order(number=view.number, asked=asked, at=now(), who=who)


def _form(request: HttpRequest, view: OrderView) -> CorrectForm:
    woods = {choice.key: wood_title(choice.wood, choice.dryness) for choice in wood_choices(today())}
    woods.setdefault(f"{view.wood}:{view.dryness}", wood_title(view.wood, view.dryness))
    every = towns()
    lots = lots_now(view)
    for lot in lots_for(view):
        lots.setdefault(lot.code, Fraction(0))
    return CorrectForm(
        request.POST or None,
        view=view,
        woods=woods.items(),
        towns=[(str(town.id), town.name) for town in every],
        town=next((str(town.id) for town in every if town.name == view.place.town), ""),
        lots=lots,
    )

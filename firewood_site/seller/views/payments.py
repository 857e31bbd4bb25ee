"""Money at the door and after: taken, given back, bounced; what came in today and who still owes."""

from datetime import timedelta
from decimal import Decimal
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import signed, today
from firewood_site.refusals import PageRefusal, refusals
from firewood_site.seller.forms.fields import dollars_field
from firewood_site.seller.forms.orders import PaymentForm
from firewood_site.seller.post_only import post_only
from firewood_site.seller.query_values import day_of_query
from firewood_site.seller.views.order_steps import order_step
from firewood_site.seller.views.orders import order_page
from firewood_site.templatetags.firewood import dollars
from inventory.core.local import unsigned
from inventory.core.sentences import Sentence
from inventory.selectors.spoken import reader_language
from orders.core.places import caution
from orders.selectors import money as ledger
from orders.selectors.prices import pay_ways
from orders.services.payments import (
    keep_money,
    record_payment,
    record_refund,
    record_returned_check,
    undo_booking,
)
from routing.selectors.runs.runs import due_at_the_door

MOST_DIGITS = 18  # of a row's number


@seller_required
@post_only
def pay(request: HttpRequest, number: int) -> HttpResponse:
    """Book money that came for an order."""
    form = PaymentForm(request.POST, ways=[(way.key, _(way.name)) for way in pay_ways()])
    if not form.is_valid():
        problem = _("Write the amount in dollars and cents, and how it was paid.")
        return order_page(request, number, problem=problem, payment_form=form)
    cleaned = form.cleaned_data
    with refusals() as refused:
        booked = record_payment(
            number=number,
            dollars=cleaned["dollars"],
            method=cleaned["method"],
            on=today(),
            key=cleaned["key"],
            is_deposit=cleaned["is_deposit"],
            keep_too_much=cleaned["keep_too_much"],
            note=cleaned["note"],
            **signed(request),
        )
    if refused:
        return order_page(request, number, problem=refused.text, payment_form=form)
    if booked.is_new:
        text = _("{dollars} recorded; {due} still due.")
        if booked.handed.change:
            text = _("{dollars} recorded, give {change} change; {due} still due.")
        told = {"dollars": booked.handed.applied, "change": booked.handed.change, "due": booked.balance.due}
        messages.success(request, text.format(**{name: dollars(sum) for name, sum in told.items()}))
    if booked.handed.caution:
        messages.warning(request, Sentence(booked.handed.caution).text_in(reader_language()))
    return redirect("order", number)


@order_step
def give_back(request: HttpRequest, number: int) -> HttpResponse:
    """Refund money, never more than came."""
    amount, key = _amount(request), _key(request)
    if amount is None or key is None:
        raise PageRefusal(_("Write how much goes back, in dollars and cents."))
    record_refund(
        number=number,
        dollars=amount,
        method=request.POST.get("method", "cash"),
        on=today(),
        key=key,
        note=request.POST.get("note", ""),
        **signed(request),
    )
    messages.success(request, _("{amount} given back.").format(amount=dollars(amount)))
    return redirect("order", number)


@order_step
def check_returned(request: HttpRequest, number: int) -> HttpResponse:
    """The bank sent the check back: due again, and this customer pays first."""
    payment, key = request.POST.get("payment", ""), _key(request)
    if not payment.isdecimal() or len(payment) > MOST_DIGITS or key is None:
        raise PageRefusal(_("Pick the check that bounced."))
    record_returned_check(number=number, payment_id=int(payment), on=today(), key=key, **signed(request))
    messages.warning(request, _("The check is due again. This customer now pays first."))
    return redirect("order", number)


@order_step
def undo(request: HttpRequest, number: int, payment_id: int) -> HttpResponse:
    """An entry made by mistake: undone by another, both stay."""
    key = _key(request)
    if key is None:
        raise PageRefusal(_("Press Undo beside the entry again."))
    balance = undo_booking(number=number, payment_id=payment_id, on=today(), key=key, **signed(request))
    messages.success(request, _("Undone; {due} is due.").format(due=dollars(balance.due)))
    return redirect("order", number)


@order_step
def keep(request: HttpRequest, number: int) -> HttpResponse:
    """What they paid for an order that ended stays ours."""
    keep_money(number=number, **signed(request))
    messages.success(request, _("The money stays yours. Tell them why."))
    return redirect("order", number)


@seller_required
@require_safe
def money(request: HttpRequest) -> HttpResponse:
    """What came in on a day, and who still owes."""
    on = day_of_query(request.GET.get("day", "")) or today()
    context = {
        "money": ledger.day_money(on),
        "owed": ledger.owed(today()),
        "at_the_door": sum(due_at_the_door(today()).values(), Decimal(0)),
        "day_before": on - timedelta(days=1),
        "day_after": on + timedelta(days=1),
        "caution": caution("payer_notes").text_in(reader_language()),
    }
    return render(request, "seller/orders/money.html", context)


def _amount(request: HttpRequest) -> Decimal | None:
    typed = unsigned(request.POST.get("dollars", ""))
    try:
        return dollars_field(_("Amount"), low=Decimal("0.01")).clean(typed)
    except ValidationError:
        return None


def _key(request: HttpRequest) -> UUID | None:
    try:
        return UUID(request.POST.get("key", ""))
    except ValueError:
        return None

"""Money at the door and after: taken, given back, bounced; what came in today and who still owes."""

from datetime import timedelta
from decimal import Decimal
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import now, today
from firewood_site.seller.asked import day_asked
from firewood_site.seller.forms.fields import dollars_field
from firewood_site.seller.forms.orders import PaymentForm
from firewood_site.seller.posted import posted
from firewood_site.seller.views.orders import order_page
from firewood_site.templatetags.firewood import dollars
from orders.core import OrdersError
from orders.core.places import caution
from orders.selectors import money as ledger
from orders.selectors.prices import pay_ways
from orders.services.payments import record_payment, record_refund, record_returned_check


@seller_required
@posted
def pay(request: HttpRequest, number: int) -> HttpResponse:
    """Book money that came for an order."""
    form = PaymentForm(request.POST, ways=[(way.key, way.name) for way in pay_ways()])
    if not form.is_valid():
        trouble = "Write the amount in dollars and cents, and how it was paid."
        return order_page(request, number, trouble=trouble, payment_form=form)
    said = form.cleaned_data
    try:
        booked = record_payment(
            number=number,
            dollars=said["dollars"],
            method=said["method"],
            on=today(),
            at=now(),
            who=request.user.get_username(),
            key=said["key"],
            is_deposit=said["is_deposit"],
            keep_too_much=said["keep_too_much"],
            note=said["note"],
        )
    except OrdersError as refusal:
        return order_page(request, number, trouble=str(refusal), payment_form=form)
    if booked.is_new:
        words = f"{dollars(booked.applied)} booked"
        words += f", give {dollars(booked.change)} change" if booked.change else ""
        messages.success(request, f"{words}; {dollars(booked.balance.due)} still due.")
    if booked.caution:
        messages.warning(request, booked.caution)
    return redirect("order", number)


@seller_required
@posted
def give_back(request: HttpRequest, number: int) -> HttpResponse:
    """Refund money, never more than came."""
    amount, key = _amount(request), _key(request)
    if amount is None or key is None:
        return order_page(request, number, trouble="Write how much goes back, in dollars and cents.")
    try:
        record_refund(
            number=number,
            dollars=amount,
            method=request.POST.get("method", "cash"),
            on=today(),
            at=now(),
            who=request.user.get_username(),
            key=key,
            note=request.POST.get("note", ""),
        )
    except OrdersError as refusal:
        return order_page(request, number, trouble=str(refusal))
    messages.success(request, f"{dollars(amount)} given back.")
    return redirect("order", number)


@seller_required
@posted
def check_returned(request: HttpRequest, number: int) -> HttpResponse:
    """The bank sent the check back: due again, and this customer pays first."""
    amount, key = _amount(request), _key(request)
    if amount is None or key is None:
        return order_page(request, number, trouble="Write the amount of the check, in dollars and cents.")
    try:
        record_returned_check(
            number=number, dollars=amount, on=today(), at=now(), who=request.user.get_username(), key=key
        )
    except OrdersError as refusal:
        return order_page(request, number, trouble=str(refusal))
    messages.warning(request, f"{dollars(amount)} is due again. This customer now pays first.")
    return redirect("order", number)


@seller_required
@require_safe
def money(request: HttpRequest) -> HttpResponse:
    """What came in on a day, and who still owes."""
    on = day_asked(request.GET.get("day", "")) or today()
    context = {
        "money": ledger.day_money(on),
        "owed": ledger.owed(today()),
        "day_before": on - timedelta(days=1),
        "day_after": on + timedelta(days=1),
        "caution": caution("payer_notes").text,
    }
    return render(request, "seller/orders/money.html", context)


def _amount(request: HttpRequest) -> Decimal | None:
    typed = request.POST.get("dollars", "").replace("$", "").replace(",", "").strip()
    try:
        return dollars_field("Amount", low=Decimal("0.01")).clean(typed)
    except ValidationError:
        return None


def _key(request: HttpRequest) -> UUID | None:
    try:
        return UUID(request.POST.get("key", ""))
    except ValueError:
        return None

"""People who buy: who they are, what they had, who pays first, what they may take away or have erased."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import now, today
from firewood_site.seller.asked import page_asked
from firewood_site.seller.forms.orders import CustomerForm
from firewood_site.seller.posted import posted
from orders.core import OrdersError
from orders.core.places import caution
from orders.selectors import customers as people
from orders.selectors.money import owed_by_customer, pay_first_note
from orders.services import customers as steps

MOST_WORDS = 200  # of a dated fact


@seller_required
@require_safe
def customers(request: HttpRequest) -> HttpResponse:
    page = request.GET.get("page", "1")
    words = request.GET.get("q", "")
    shown = people.customers(
        words=words,
        page=page_asked(page),
        pay_first_only=request.GET.get("only") == "pay-first",
    )
    context = {"list": shown, "q": words, "only": request.GET.get("only", "")}
    return render(request, "seller/orders/customers.html", context)


@seller_required
def customer(request: HttpRequest, customer_id: int) -> HttpResponse:
    view = found(people.customer_view(customer_id), "There is no such customer.")
    first = {
        "name": view.name,
        "phone": view.phone_as_typed,
        "is_landline": view.is_landline,
        "email": view.email,
    }
    form = CustomerForm(request.POST or None, initial=first)
    if request.method == "POST" and form.is_valid():
        try:
            steps.change_customer(
                customer_id=customer_id, at=now(), who=request.user.get_username(), **form.cleaned_data
            )
            messages.success(request, "Saved.")
            return redirect("customer", customer_id)
        except (OrdersError, ValidationError) as refusal:
            form.add_error(None, str(refusal))
    return _page(request, customer_id, form)


@seller_required
@posted
def pay_first(request: HttpRequest, customer_id: int) -> HttpResponse:
    """Note, or take back, that somebody pays before loading: dated facts, private, removable."""
    who = request.user.get_username()
    reason = request.POST.get("reason", "").strip()
    try:
        if request.POST.get("act") == "clear":
            steps.clear_pay_first(customer_id=customer_id, at=now(), who=who)
        elif not reason:
            return _page(
                request, customer_id, None, trouble="Write the dated fact: check returned 12 Jan, 165.00."
            )
        elif len(reason) > MOST_WORDS:
            return _page(request, customer_id, None, trouble=f"Write it in at most {MOST_WORDS} letters.")
        else:
            steps.set_pay_first(customer_id=customer_id, reason=reason, on=today(), at=now(), who=who)
    except OrdersError as refusal:
        return _page(request, customer_id, None, trouble=str(refusal))
    return redirect("customer", customer_id)


@seller_required
@require_safe
def export(request: HttpRequest, customer_id: int) -> HttpResponse:
    """All we keep about a person, for them."""
    told = found(people.export_of(customer_id), "There is no such customer.")
    answer = JsonResponse(told, json_dumps_params={"indent": 2, "ensure_ascii": False})
    answer["Content-Disposition"] = f'attachment; filename="customer-{customer_id}.json"'
    return answer


@seller_required
@posted
def erase(request: HttpRequest, customer_id: int) -> HttpResponse:
    """Forget a person; the figures of the sale stay."""
    try:
        steps.erase_customer(
            customer_id=customer_id,
            owed=owed_by_customer(customer_id),
            at=now(),
            who=request.user.get_username(),
        )
    except OrdersError as refusal:
        return _page(request, customer_id, None, trouble=str(refusal))
    messages.success(request, "Erased. Their orders stay as figures without a name.")
    return redirect("customers")


def _page(
    request: HttpRequest, customer_id: int, form: CustomerForm | None, *, trouble: str = ""
) -> HttpResponse:
    view = found(people.customer_view(customer_id), "There is no such customer.")
    first = {
        "name": view.name,
        "phone": view.phone_as_typed,
        "is_landline": view.is_landline,
        "email": view.email,
    }
    context = {
        "person": view,
        "form": form or CustomerForm(initial=first),
        "trouble": trouble,
        "note": pay_first_note(customer_id, on=today()),
        "caution": caution("payer_notes").text,
    }
    bad = trouble or (form is not None and form.is_bound and form.errors)
    return render(request, "seller/orders/customer.html", context, status=422 if bad else 200)

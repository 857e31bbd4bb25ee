"""People who buy: who they are, what they had, who pays first, what they may take away or have erased."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import signed, today
from firewood_site.letters import ReadyText, ready_text
from firewood_site.refusals import PageRefusal, refusals
from firewood_site.seller.forms.orders import CustomerForm
from firewood_site.seller.query_values import page_of_query
from firewood_site.seller.steps import step, told_at
from inventory.selectors.spoken import reader_language
from orders.core.places import caution
from orders.selectors import customers as people
from orders.selectors.call_list import CallRow, call_list
from orders.selectors.kept_of_person import export_of
from orders.selectors.money import owed_by_customer, pay_first_note
from orders.selectors.orders import order_view
from orders.services import customers as steps
from routing.services.erasing import erase_person

MOST_WORDS = 200  # of a dated fact


@seller_required
@require_safe
def customers(request: HttpRequest) -> HttpResponse:
    if request.GET.get("only") == "call":
        rows = [(row, _ready(row)) for row in call_list(today())]
        return render(request, "seller/orders/customers.html", {"only": "call", "calls": rows})
    page = request.GET.get("page", "1")
    search = request.GET.get("q", "")
    shown = people.customers(
        search=search,
        page=page_of_query(page),
        pay_first_only=request.GET.get("only") == "pay-first",
    )
    context = {"list": shown, "q": search, "only": request.GET.get("only", "")}
    return render(request, "seller/orders/customers.html", context)


@step(told_at("customers", tail="?only=call"))
def called(request: HttpRequest, customer_id: int) -> HttpResponse:
    """Somebody on the call list was called, or was not after all."""
    on = None if request.POST.get("act") == "not" else today()
    steps.mark_called(customer_id=customer_id, on=on, **signed(request))
    messages.success(request, _("Saved: they are off the list until next season.") if on else _("Saved."))
    return redirect(f"{reverse('customers')}?only=call")


def _ready(row: CallRow) -> ReadyText | None:
    """The reminder for the seller's own phone; none for a phone line without texts."""
    view = None if row.is_landline or not row.phone else order_view(row.last_number)
    return None if view is None else ready_text(view, "reminder")


@seller_required
def customer(request: HttpRequest, customer_id: int) -> HttpResponse:
    view = found(people.customer_view(customer_id), _("There is no such customer."))
    form = CustomerForm(request.POST or None, initial=_as_kept(view))
    if request.method == "POST" and form.is_valid():
        with refusals(form):
            steps.change_customer(customer_id=customer_id, **form.cleaned_data, **signed(request))
            messages.success(request, _("Saved."))
            return redirect("customer", customer_id)
    return _page(request, view, form)


def _refused(request: HttpRequest, sentence: str, *, customer_id: int) -> HttpResponse:
    view = found(people.customer_view(customer_id), _("There is no such customer."))
    return _page(request, view, None, problem=sentence)


@step(_refused)
def pay_first(request: HttpRequest, customer_id: int) -> HttpResponse:
    """Note, or take back, that somebody pays before loading: dated facts, private, removable."""
    reason = request.POST.get("reason", "").strip()
    if request.POST.get("act") == "clear":
        steps.clear_pay_first(customer_id=customer_id, **signed(request))
    elif not reason:
        raise PageRefusal(_("Write the dated fact: check returned Jan 12, $165."))
    elif len(reason) > MOST_WORDS:
        raise PageRefusal(_("Write it in at most {most_words} letters.").format(most_words=MOST_WORDS))
    else:
        steps.set_pay_first(customer_id=customer_id, reason=reason, on=today(), **signed(request))
    return redirect("customer", customer_id)


@seller_required
@require_safe
def export(request: HttpRequest, customer_id: int) -> HttpResponse:
    """All we keep about a person, for them."""
    told = found(export_of(customer_id), _("There is no such customer."))
    answer = JsonResponse(told, json_dumps_params={"indent": 2, "ensure_ascii": False})
    answer["Content-Disposition"] = f'attachment; filename="customer-{customer_id}.json"'
    return answer


@seller_required
def merge(request: HttpRequest, customer_id: int, other_id: int) -> HttpResponse:
    """Two customers side by side; the seller says which of them stays."""
    both = [
        found(people.customer_view(known), _("There is no such customer."))
        for known in (customer_id, other_id)
    ]
    if request.method != "POST":
        return render(request, "seller/orders/merge.html", {"both": both})
    keep = other_id if request.POST.get("keep") == str(other_id) else customer_id
    with refusals() as refused:
        steps.merge_customers(keep_id=keep, other_id=customer_id + other_id - keep, **signed(request))
    if refused:
        messages.error(request, refused.text)
        return redirect("customers")
    messages.success(request, _("Merged: all orders are under one customer now."))
    return redirect("customer", keep)


@step(_refused)
def erase(request: HttpRequest, customer_id: int) -> HttpResponse:
    """Forget a person; the figures of the sale stay."""
    erase_person(customer_id=customer_id, owed=owed_by_customer(customer_id), **signed(request))
    messages.success(request, _("Erased. Their orders stay as figures without a name."))
    return redirect("customers")


def _as_kept(view: people.CustomerView) -> dict[str, Any]:
    return {
        "name": view.name,
        "phone": steps.phone_words(view.shown_phone),
        "is_landline": view.is_landline,
        "email": view.email,
    }


def _page(
    request: HttpRequest, view: people.CustomerView, form: CustomerForm | None, *, problem: str = ""
) -> HttpResponse:
    context = {
        "person": view,
        "form": form or CustomerForm(initial=_as_kept(view)),
        "problem": problem,
        "same_phone": people.same_phone(view.id),
        "note": pay_first_note(view.id, on=today()),
        "caution": caution("payer_notes").text_in(reader_language()),
    }
    bad = problem or (form is not None and form.is_bound and form.errors)
    return render(request, "seller/orders/customer.html", context, status=422 if bad else 200)

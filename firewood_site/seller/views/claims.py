"""Make-goods: what customers measured or read, and how it is put right."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import now, today
from firewood_site.learning import learn_from_claim
from firewood_site.seller.forms.orders import ClaimAnswerForm
from firewood_site.seller.posted import posted
from orders.core import OrdersError
from orders.core.places import caution
from orders.selectors.claims import claim_row
from orders.selectors.claims import claims as all_claims
from orders.services.claims import answer_claim, bring_wood_for_claim, credit_claim


@seller_required
@require_safe
def claims(request: HttpRequest) -> HttpResponse:
    return _page(request)


@seller_required
@posted
def settle(request: HttpRequest, claim_id: int) -> HttpResponse:
    """Credit it, bring the wood, or answer it in words."""
    form = ClaimAnswerForm(request.POST)
    if not form.is_valid():
        return _page(
            request, trouble="Choose how to put it right, and write the amount in dollars and cents."
        )
    said, who = form.cleaned_data, request.user.get_username()
    try:
        if said["way"] == "credit":
            credit_claim(
                claim_id=claim_id,
                on=today(),
                at=now(),
                who=who,
                dollars=said["dollars"],
                answer=said["answer"],
            )
        elif said["way"] == "bring":
            bring_wood_for_claim(claim_id=claim_id, at=now(), who=who, answer=said["answer"])
        elif said["answer"].strip():
            answer_claim(claim_id=claim_id, answer=said["answer"], at=now(), who=who)
        else:
            return _page(
                request, trouble="Write what you tell them: readings at loading, what the measure came to."
            )
    except OrdersError as refusal:
        return _page(request, trouble=str(refusal))
    taught = learn_from_claim(claim_row(claim_id), on=today(), at=now(), who=who)
    learned = f" The rig's heap number learned from it: {taught} loose ft³ to a cord." if taught else ""
    messages.success(request, f"Put right, and written down.{learned}")
    return redirect("claims")


def _page(request: HttpRequest, *, trouble: str = "") -> HttpResponse:
    context = {"claims": all_claims(), "trouble": trouble, "advice": caution("dispute").text}
    return render(request, "seller/orders/claims.html", context, status=422 if trouble else 200)

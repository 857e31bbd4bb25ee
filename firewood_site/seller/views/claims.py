"""Make-goods: what customers measured or read, and how it is put right."""

from decimal import Decimal

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.clock import now, today
from firewood_site.learning import learn_from_claim
from firewood_site.letters import tell
from firewood_site.photos import cleaned_photo
from firewood_site.refusals import refusals
from firewood_site.seller.forms.orders import ClaimAnswerForm
from firewood_site.seller.post_only import post_only
from inventory.core.local import money_words
from inventory.core.local_measures import bare_here, unit_here
from inventory.core.sentences import say
from inventory.selectors.photos import photos_by_order
from inventory.selectors.spoken import reader_language
from inventory.services.photos import keep_cleaned
from orders.core.places import caution
from orders.selectors.claims import claim_row
from orders.selectors.claims import claims as all_claims
from orders.selectors.orders import order_view
from orders.services.claims import answer_claim
from orders.services.make_good import bring_wood_for_claim, credit_claim, undo_make_good


@seller_required
@require_safe
def claims(request: HttpRequest) -> HttpResponse:
    return _page(request)


@seller_required
@post_only
def settle(request: HttpRequest, claim_id: int) -> HttpResponse:
    """Credit it, bring the wood, or answer it in words."""
    form = ClaimAnswerForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(
            request, problem=_("Choose how to put it right, and write the amount in dollars and cents.")
        )
    cleaned, who = form.cleaned_data, request.user.get_username()
    with refusals() as refused, transaction.atomic():
        picture = cleaned_photo(cleaned["photo"]) if cleaned["photo"] else b""
        if cleaned["way"] == "credit":
            credit_claim(
                claim_id=claim_id,
                on=today(),
                at=now(),
                who=who,
                dollars=cleaned["dollars"],
                answer=cleaned["answer"],
            )
        elif cleaned["way"] == "bring":
            brought = bring_wood_for_claim(
                claim_id=claim_id,
                on=today(),
                at=now(),
                who=who,
                cords=cleaned["cords"] or None,
                dollars=cleaned["dollars"] if "both" in request.POST else None,
                answer=cleaned["answer"],
            )
            tell(brought, "brings_more", at=now())
            messages.success(
                request,
                _("Order {brought} brings it, its wood is held: plan it like any other.").format(
                    brought=brought
                ),
            )
        elif cleaned["way"] == "undo":
            undo_make_good(claim_id=claim_id, on=today(), at=now(), who=who)
            messages.success(
                request, _("The claim is open again, its credit undone and its order cancelled.")
            )
            return redirect("claims")
        elif cleaned["answer"].strip():
            answer_claim(claim_id=claim_id, answer=cleaned["answer"], at=now(), who=who)
        else:
            return _page(
                request, problem=_("Write what you tell them: readings at loading, what the measure came to.")
            )
        is_credited = cleaned["way"] == "credit" or (cleaned["way"] == "bring" and "both" in request.POST)
        _tell(claim_id, picture, cleaned["answer"].strip(), off=cleaned["dollars"], is_credited=is_credited)
    if refused:
        return _page(request, problem=refused.text)
    taught = learn_from_claim(claim_row(claim_id), on=today(), at=now(), who=who)
    told = [_("Put right, and written down.")]
    if taught:
        learned = _("The rig's heap number learned from it: {number}.")
        told.append(learned.format(number=f"{bare_here(taught, 'heap')} {_(unit_here('heap'))}"))
    messages.success(request, " ".join(told))
    return redirect("claims")


def _tell(claim_id: int, picture: bytes, answer: str, *, off: Decimal | None, is_credited: bool) -> None:
    """The seller's own words, or what is taken off, go out to the customer; a photo into the thread."""
    row = claim_row(claim_id)
    if row is None:
        return
    if picture:
        about = f"order {row.number}"
        keep_cleaned(picture=picture, about=about, purpose="answer", taken_on=today(), at=now())
    view = order_view(row.number)
    if is_credited and not answer and view is not None:
        language = view.customer.language
        off = off or (Decimal(row.claim.result["credit"]) if row.claim.result else None)
        if off:
            answer = say("We take {dollars} off your bill.", language=language, dollars=money_words(off))
    tell(row.number, "claim_answered", at=now(), answer=answer)


def _page(request: HttpRequest, *, problem: str = "") -> HttpResponse:
    rows = all_claims()
    photos = photos_by_order((row.number for row in rows), purposes=("claim", "answer"))
    advice = caution("dispute").text_in(reader_language())
    context = {"claims": rows, "photos": photos, "problem": problem, "advice": advice}
    return render(request, "seller/orders/claims.html", context, status=422 if problem else 200)

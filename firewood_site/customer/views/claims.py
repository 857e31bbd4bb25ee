"""Something is wrong: measures, readings, words, a photo; short wood is answered by the trade's rule."""

import uuid
from fractions import Fraction

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from firewood_site import throttle
from firewood_site.access import found, order_path
from firewood_site.clock import now, today
from firewood_site.customer.forms import ClaimForm, MetricClaimForm
from firewood_site.customer.linked import linked_order
from firewood_site.languages import in_their_language
from firewood_site.letters import tell
from firewood_site.photos import cleaned_photo
from firewood_site.refusals import refusals
from inventory.core.local import money_words
from inventory.selectors.business import business
from inventory.selectors.photos import photo_file, photos_about
from inventory.selectors.spoken import reader_language
from inventory.services.photos import keep_cleaned
from orders.core.languages import loose_words
from orders.core.makegood import MakeGood
from orders.core.places import PlaceRule, caution, place_rule
from orders.selectors.orders import OrderView
from orders.services.claims import claim_short, claim_told, claim_wet_wood, tolerance_words
from routing.selectors.rigs import load_behind

CLAIMS_A_WHILE = 10


@in_their_language
@require_http_methods(["GET", "HEAD", "POST"])
def claim(request: HttpRequest, token: str) -> HttpResponse:
    """Tell us what is wrong."""
    view = linked_order(request, token)
    claim_form = MetricClaimForm if _rule().is_metric else ClaimForm
    if request.method != "POST":
        form = claim_form(
            initial={"key": uuid.uuid4(), "kind": _usual_kind(view), "basis": "dry", "cribbed_ends": "0"}
        )
        return _page(request, token, view, form)
    form = claim_form(request.POST, request.FILES)
    with refusals(form) as refused:
        throttle.count_or_refuse(request, "claim", most=CLAIMS_A_WHILE, minutes=10)
        if form.is_valid():
            _keep(view, form)
            return redirect(order_path(view.number, view.link_secret) + "#claims")
    return _page(request, token, view, form, status=refused.status)


@require_GET
def photo(request: HttpRequest, token: str, photo_id: int) -> HttpResponse:
    """A photo that belongs to this order, and to no other."""
    view = linked_order(request, token)
    file = found(photo_file(photo_id, about=view.reference), _("There is no such photo."))
    with file:
        picture = file.read()
    return HttpResponse(
        picture, content_type="image/jpeg", headers={"Cache-Control": "private, max-age=3600"}
    )


def _usual_kind(view: OrderView) -> str:
    """What is most often wrong: too little of it, or before it is there, that it is late."""
    return "short" if view.delivered_on else "late"


def _rule() -> PlaceRule:
    return place_rule(business().place_key)


@transaction.atomic
def _keep(view: OrderView, form: ClaimForm) -> None:
    """The claim and its photo, once however often the form is sent."""
    cleaned, sides = form.cleaned_data, form.measured()
    on, at = today(), now()
    picture = cleaned_photo(cleaned["photo"]) if cleaned["photo"] else b""
    if cleaned["kind"] == "short" and sides is not None:
        brought = load_behind(view.number)
        claimed = claim_short(
            number=view.number,
            key=cleaned["key"],
            on=on,
            at=at,
            length_ft=sides.length_ft,
            height_ft=sides.height_ft,
            depth_in=sides.depth_in,
            cribbed_ends=int(cleaned["cribbed_ends"] or 0),
            message=cleaned["message"],
            heap_number=Fraction(brought.heap_number) if brought else None,
        )
    elif cleaned["kind"] != "wet":
        claimed = claim_told(
            number=view.number,
            key=cleaned["key"],
            kind=cleaned["kind"],
            on=on,
            at=at,
            message=cleaned["message"],
        )
    else:
        claimed = claim_wet_wood(
            number=view.number,
            key=cleaned["key"],
            on=on,
            at=at,
            readings=cleaned["readings"],
            basis=cleaned["basis"] or "dry",
            message=cleaned["message"],
        )
    if not claimed.is_new:
        return
    if picture:
        keep_cleaned(picture=picture, about=view.reference, purpose="claim", taken_on=on, at=at)
    if claimed.result is not None:
        _answer_short(view, claimed.result)


def _answer_short(view: OrderView, result: MakeGood) -> None:
    """The trade's answer, written at once: a credit or more wood, or that nobody owes anything."""
    if result.is_owed:
        tell(
            view.number,
            "make_good",
            at=now(),
            short_pct=f"{result.short_pct:.2f}",
            credit=money_words(result.credit_dollars),
            loose=loose_words(result.loose_ft3.normalize(), rule=_rule(), language=view.customer.language),
        )
    else:
        tell(view.number, "within_tolerance", at=now(), tolerance_pct=tolerance_words())


def _page(
    request: HttpRequest, token: str, view: OrderView, form: ClaimForm, status: int = 200
) -> HttpResponse:
    context = {
        "order": view,
        "token": token,
        "form": form,
        "photos": photos_about(view.reference, purpose="claim"),
        "advice": caution("dispute").text_in(reader_language()),
    }
    return render(request, "customer/claim.html", context, status=status)

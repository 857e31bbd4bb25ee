"""The seller's own settings, and the ways the books go out."""

import io
import zipfile
from pathlib import Path
from tempfile import TemporaryDirectory

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import NoReverseMatch, reverse
from django.views.decorators.http import require_safe

from firewood_site.access import seller_required
from firewood_site.books import export_books
from firewood_site.clock import now, signed, today
from firewood_site.photos import keep_photo
from firewood_site.refusals import refusals
from firewood_site.seller.forms.fields import DayOfYear
from firewood_site.seller.forms.ground import PhotoForm
from firewood_site.seller.forms.money import BusinessForm
from firewood_site.seller.post_only import post_only
from firewood_site.seller.query_values import page_of_query
from firewood_site.seller.views.wood_photos import US
from inventory.selectors.audit import audit_trail
from inventory.selectors.business import business
from inventory.selectors.photos import photos_about
from inventory.services.business import CHANGEABLE, save_business
from orders.core.places import place_rules
from orders.services.customers import phone_words

TRAIL_PAGES = {"order": "order", "lot": "lot", "day": "day", "customer": "customer"}


@seller_required
def settings(request: HttpRequest) -> HttpResponse:
    row = business()
    first = {name: getattr(row, name) for name in CHANGEABLE}
    first["phone"] = phone_words(row.phone)
    first["first_rain"] = DayOfYear.text(row.first_rain_month, row.first_rain_day)
    form = BusinessForm(request.POST or None, request.FILES or None, initial=first)
    if request.method == "POST" and form.is_valid():
        with refusals(form):
            values = form.cleaned_data | _picture(form)
            save_business(values=values, **signed(request))
            messages.success(request, "Saved.")
            return redirect("settings")
    rules = {rule.key: rule for rule in place_rules()}
    context = {
        "form": form,
        "rule": rules.get(row.place_key),
        "photos": photos_about(US, purpose="shop"),
        "photo_form": PhotoForm(initial={"on": today()}),
    }
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "seller/money/settings.html", context, status=status)


def _picture(form: BusinessForm) -> dict[str, int | None]:
    """The picture beside the name: the one sent, none, or as it was."""
    sent = form.cleaned_data["photo"]
    if sent:
        kept = keep_photo(file=sent, about=US, purpose="mark", taken_on=today(), at=now())
        return {"picture_id": kept.id}
    return {"picture_id": None} if form.cleaned_data["without_picture"] else {}


@seller_required
@post_only
def export_files(request: HttpRequest) -> HttpResponse:
    """The whole books as one zip of CSV files."""
    with TemporaryDirectory() as folder:
        export_books(Path(folder))
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            for path in sorted(Path(folder).glob("*.csv")):
                archive.write(path, path.name)
    answer = HttpResponse(packed.getvalue(), content_type="application/zip")
    answer["Content-Disposition"] = f'attachment; filename="books-{today():%Y-%m-%d}.zip"'
    return answer


@seller_required
@require_safe
def audit(request: HttpRequest) -> HttpResponse:
    thing = request.GET.get("thing", "").strip()[:40]
    page = page_of_query(request.GET.get("page", "1"))
    rows, more = audit_trail(thing=thing, page=page)
    context = {"rows": [(row, _href(row.thing)) for row in rows], "thing": thing, "page": page, "more": more}
    return render(request, "seller/money/audit.html", context)


def _href(thing: str) -> str:
    """Where a thing of the trail is looked at: "order 205", "lot K1"; empty when it has no page."""
    kind, _space, name = thing.partition(" ")
    try:
        return reverse(TRAIL_PAGES[kind], args=[name])
    except (KeyError, NoReverseMatch):
        return ""

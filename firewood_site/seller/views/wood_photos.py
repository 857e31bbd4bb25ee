"""Photos of a lot, of ground, of us: before and after, with their dates, for a buyer or a cost-share file."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import now, signed, today
from firewood_site.photos import keep_photo
from firewood_site.refusals import refusals
from firewood_site.seller.forms.ground import PhotoForm
from firewood_site.seller.post_only import post_only
from firewood_site.seller.query_values import row_of_query
from inventory.selectors.lot_choices import has_lot
from inventory.selectors.photos import photo_file
from inventory.selectors.yards import unit_name
from inventory.services.photos import hide_photo

US = "us"  # the people and the truck, on the first page


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What a photo shows: its name in the books and its page."""

    about: str
    path: str


@seller_required
@post_only
def photo_add(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    shown = _shown(kind, key)
    form = PhotoForm(request.POST, request.FILES)
    if not form.is_valid():
        messages.error(request, " ".join(str(error) for errors in form.errors.values() for error in errors))
        return redirect(f"{shown.path}#photos")
    cleaned = form.cleaned_data
    if kind == US and not cleaned["note"].strip():
        messages.error(request, _("Say who or what is in it: people who can't see the photo hear that."))
        return redirect(f"{shown.path}#photos")
    with refusals() as refused:
        keep_photo(
            file=cleaned["photo"],
            about=shown.about,
            purpose=cleaned["purpose"],
            taken_on=min(cleaned["on"], today()),
            at=now(),
            note=cleaned["note"],
        )
        messages.success(request, _("Photo saved."))
    if refused:
        messages.error(request, refused.text)
    return redirect(f"{shown.path}#photos")


@seller_required
@require_safe
def photo(request: HttpRequest, kind: str, key: str, photo_id: int) -> HttpResponse:
    shown = _shown(kind, key)
    with found(photo_file(photo_id, about=shown.about), _("There is no such photo.")) as file:
        picture = file.read()
    headers = {"Cache-Control": "private, max-age=3600"}
    return HttpResponse(picture, content_type="image/jpeg", headers=headers)


@seller_required
@post_only
def photo_off(request: HttpRequest, kind: str, key: str, photo_id: int) -> HttpResponse:
    """Customers see it no more; it is kept."""
    shown = _shown(kind, key)
    hide_photo(photo_id, about=shown.about, **signed(request))
    messages.success(request, _("Customers do not see the photo any more."))
    return redirect(f"{shown.path}#photos")


def _shown(kind: str, key: str) -> Shown:
    if kind == "lot" and has_lot(key):
        return Shown(about=f"lot {key}", path=reverse("lot", args=[key]))
    if kind == "unit" and (row := row_of_query(key)) and (name := unit_name(row)):
        return Shown(about=f"unit {name}", path=reverse("unit", args=[row]))
    if kind == key == US:
        return Shown(about=US, path=reverse("settings"))
    raise Http404(_("There is nothing to photograph here."))

"""Photos of a lot or of ground: before and after, with their dates, for a buyer or a cost-share file."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import now, today
from firewood_site.photos import BadPhoto, keep_photo, photo_file
from firewood_site.seller.forms.ground import PhotoForm
from firewood_site.seller.posted import posted
from inventory.selectors.lot import has_lot
from inventory.selectors.yards import unit_name


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What a photo shows: its name in the books and its page."""

    about: str
    path: str


@seller_required
@posted
def photo_add(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    shown = _shown(kind, key)
    form = PhotoForm(request.POST, request.FILES)
    if not form.is_valid():
        messages.error(request, " ".join(str(error) for errors in form.errors.values() for error in errors))
        return redirect(f"{shown.path}#photos")
    said = form.cleaned_data
    try:
        keep_photo(
            file=said["photo"],
            about=shown.about,
            purpose=said["purpose"],
            taken_on=min(said["taken_on"], today()),
            at=now(),
            note=said["note"],
        )
    except BadPhoto as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, "The photo is kept.")
    return redirect(f"{shown.path}#photos")


@seller_required
@require_safe
def photo(request: HttpRequest, kind: str, key: str, photo_id: int) -> HttpResponse:
    shown = _shown(kind, key)
    with found(photo_file(photo_id, about=shown.about), "There is no such photo.") as file:
        picture = file.read()
    headers = {"Cache-Control": "private, max-age=3600"}
    return HttpResponse(picture, content_type="image/jpeg", headers=headers)


def _shown(kind: str, key: str) -> Shown:
    if kind == "lot" and has_lot(key):
        return Shown(about=f"lot {key}", path=reverse("lot", args=[key]))
    if kind == "unit" and key.isdecimal() and (name := unit_name(int(key))):
        return Shown(about=f"unit {name}", path=reverse("unit", args=[int(key)]))
    raise Http404("There is nothing to photograph here.")

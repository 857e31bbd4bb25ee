"""Keep a picture that was made safe; cleaning it is the page's business."""

from collections.abc import Iterable
from datetime import date, datetime
from functools import partial
from uuid import uuid4

from django.core.files.base import ContentFile
from django.db import transaction

from inventory.models import Photo
from inventory.selectors.photos import PhotoRow, photo_row
from inventory.services import audit


def keep_cleaned(
    *, picture: bytes, about: str, purpose: str, taken_on: date, at: datetime, note: str = ""
) -> PhotoRow:
    """Write a JPEG down, tied by name to what it shows."""
    photo = Photo(about=about, purpose=purpose, taken_on=taken_on, note=note[:200], made_at=at)
    photo.file.save(f"{uuid4().hex}.jpg", ContentFile(picture), save=False)
    photo.save()
    return photo_row(photo)


@transaction.atomic
def hide_photo(photo_id: int, *, about: str, at: datetime, who: str) -> None:
    """Take a photo off the pages that customers see; it is kept. Nothing for a photo of something else."""
    if Photo.objects.filter(pk=photo_id, about=about, purpose="shop").update(purpose="after"):
        audit.note(at=at, who=who, verb="photo hidden", thing=about)


def delete_photos(abouts: Iterable[str]) -> None:
    """Delete the photos of these things; the files go once the transaction around it stands."""
    for photo in Photo.objects.filter(about__in=list(abouts)):
        transaction.on_commit(partial(photo.file.storage.delete, str(photo.file.name)))
        photo.delete()

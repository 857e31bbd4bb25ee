"""Photos people send: opened, turned upright, made small, re-encoded without where they were taken."""

from dataclasses import dataclass
from datetime import date, datetime
from io import BytesIO
from typing import Any
from uuid import uuid4

from django.conf import settings
from django.core.files.base import ContentFile
from django.utils.translation import gettext as _
from PIL import Image, ImageOps, UnidentifiedImageError

from inventory.models import Photo

LONGEST_SIDE = 1600
JPEG_QUALITY = 82
MOST_PIXELS = 60_000_000  # of a JPEG, which is read small at once
MOST_PIXELS_WHOLE = 24_000_000  # of kinds that can only be unpacked whole: 72 MB in memory
JPEGS = ("JPEG", "MPO")  # some phones store several pictures in one JPEG
READ = ("JPEG", "PNG", "WEBP", "GIF")


class BadPhoto(Exception):
    """A file that is not a photo we can keep; the sentence says what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoRow:
    id: int
    url: str
    purpose: str
    note: str
    taken_on: date


def cleaned_photo(file: Any) -> bytes:
    """The picture as a fresh JPEG: no location, no camera, no hidden data, at most 1600 pixels a side.

    Errors
        BadPhoto: too large a file, too many pixels, or not a picture.
    """
    if file.size > settings.PHOTO_MAX_BYTES:
        most = settings.PHOTO_MAX_BYTES // (1024 * 1024)
        raise BadPhoto(_("This photo is larger than %(most)s MB: send a smaller one.") % {"most": most})
    try:
        with Image.open(file, formats=READ) as picture:
            is_jpeg = picture.format in JPEGS
            if picture.width * picture.height > (MOST_PIXELS if is_jpeg else MOST_PIXELS_WHOLE):
                raise BadPhoto(_("This photo has too many pixels: send a smaller one."))
            if is_jpeg:
                picture.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
            upright = ImageOps.exif_transpose(picture).convert("RGB")
    except Image.DecompressionBombError as error:
        raise BadPhoto(_("This photo has too many pixels: send a smaller one.")) from error
    except UnidentifiedImageError as error:
        raise BadPhoto(_("This is not a photo we can read: send a JPEG or a PNG.")) from error
    except (OSError, ValueError, SyntaxError) as error:
        raise BadPhoto(_("This file is not a photo, or it broke on the way: take it again.")) from error
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    fresh = Image.new("RGB", upright.size)
    fresh.paste(upright)
    out = BytesIO()
    fresh.save(out, "JPEG", quality=JPEG_QUALITY, optimize=True)
    return out.getvalue()


def keep_photo(
    *, file: Any, about: str, purpose: str, taken_on: date, at: datetime, note: str = ""
) -> PhotoRow:
    """Clean a photo and keep it, tied by name to what it shows ("order 203", "lot K1").

    Errors
        BadPhoto: nothing is kept.
    """
    return keep_cleaned(
        picture=cleaned_photo(file), about=about, purpose=purpose, taken_on=taken_on, at=at, note=note
    )


def keep_cleaned(
    *, picture: bytes, about: str, purpose: str, taken_on: date, at: datetime, note: str = ""
) -> PhotoRow:
    """Keep a picture that came out of `cleaned_photo`."""
    photo = Photo(about=about, purpose=purpose, taken_on=taken_on, note=note[:200], made_at=at)
    photo.file.save(f"{uuid4().hex}.jpg", ContentFile(picture), save=False)
    photo.save()
    return _row(photo)


def photos_about(about: str, *, purpose: str = "") -> tuple[PhotoRow, ...]:
    """Photos tied to a thing, newest first."""
    rows = Photo.objects.filter(about=about)
    return tuple(_row(row) for row in (rows.filter(purpose=purpose) if purpose else rows))


def photo_file(photo_id: int, *, about: str) -> Any | None:
    """The open file of a photo, if it belongs to the named thing."""
    row = Photo.objects.filter(pk=photo_id, about=about).first()
    return None if row is None else row.file.open("rb")


def _row(photo: Photo) -> PhotoRow:
    return PhotoRow(
        id=photo.pk,
        url=str(photo.file.name),
        purpose=photo.purpose,
        note=photo.note,
        taken_on=photo.taken_on,
    )

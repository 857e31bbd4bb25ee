"""Photos people send: opened, turned upright, made small, re-encoded without where they were taken."""

from datetime import date, datetime
from io import BytesIO
from typing import Any

from django.conf import settings
from django.utils.translation import gettext as _
from PIL import Image, ImageOps, UnidentifiedImageError

from firewood_site.refusals import PageRefusal
from inventory.selectors.photos import PhotoRow
from inventory.services.photos import keep_cleaned

LONGEST_SIDE = 1600
JPEG_QUALITY = 82
SHOP_SIZES = ((720, 75), (720, 50), (540, 50), (400, 40), (320, 30))  # pixels a side and JPEG quality
STAMP_SIDE, STAMP_QUALITY = 96, 70
SHOP_BYTES = 40 * 1024
MOST_PIXELS = 60_000_000  # of a JPEG, which is read small at once
MOST_PIXELS_WHOLE = 24_000_000  # of kinds that can only be unpacked whole: 72 MB in memory
JPEGS = ("JPEG", "MPO")  # some phones store several pictures in one JPEG
READ = ("JPEG", "PNG", "WEBP", "GIF")


class BadPhoto(PageRefusal):
    """A file that is not a photo we can keep; the sentence says what to do."""

    field = "photo"


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
            upright = _on_white(ImageOps.exif_transpose(picture))
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


def _on_white(picture: Image.Image) -> Image.Image:
    """What is see-through, as a drawn sign's ground, becomes white."""
    if not picture.has_transparency_data:
        return picture.convert("RGB")
    clear = picture.convert("RGBA")
    ground = Image.new("RGB", clear.size, "white")
    ground.paste(clear, mask=clear.getchannel("A"))
    return ground


def small_photo(picture: bytes) -> bytes:
    """The same picture, light enough for a first page on a weak signal."""
    with Image.open(BytesIO(picture)) as kept:
        for side, quality in SHOP_SIZES:
            kept.thumbnail((side, side))
            out = BytesIO()
            kept.save(out, "JPEG", quality=quality, optimize=True)
            if out.tell() <= SHOP_BYTES:
                break
    return out.getvalue()


def stamp_photo(picture: bytes) -> bytes:
    """The middle of a picture as a small square, to stand beside a name: about 3 KB."""
    with Image.open(BytesIO(picture)) as kept:
        out = BytesIO()
        ImageOps.fit(kept, (STAMP_SIDE, STAMP_SIDE)).save(out, "JPEG", quality=STAMP_QUALITY, optimize=True)
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

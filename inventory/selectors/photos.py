"""Photos tied by name to what they show ("order 203", "lot K1")."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.core.rows import from_row
from inventory.models import Photo


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoRow:
    id: int
    url: str
    purpose: str
    note: str
    taken_on: date


def photos_about(about: str, *, purpose: str = "") -> tuple[PhotoRow, ...]:
    """Photos tied to a thing, newest first."""
    rows = Photo.objects.filter(about=about).order_by("-made_at", "-id")
    return tuple(photo_row(row) for row in (rows.filter(purpose=purpose) if purpose else rows))


def photos_by_order(numbers: Iterable[int], *, purposes: tuple[str, ...]) -> dict[int, tuple[PhotoRow, ...]]:
    """Photos of several orders by their number; one query."""
    abouts = {f"order {number}": number for number in numbers}
    found: dict[int, tuple[PhotoRow, ...]] = {}
    for row in Photo.objects.filter(about__in=abouts, purpose__in=purposes):
        number = abouts[row.about]
        found[number] = (*found.get(number, ()), photo_row(row))
    return found


def newest_photo(abouts: Iterable[str], *, purpose: str, since: date) -> PhotoRow | None:
    """The newest photo of any of these things that is not older."""
    rows = Photo.objects.filter(about__in=list(abouts), purpose=purpose, taken_on__gte=since)
    row = rows.order_by("-taken_on", "-id").first()
    return None if row is None else photo_row(row)


def shown_photo(photo_id: int, *, purpose: str) -> Any | None:
    """The open file of a photo that was taken for this purpose."""
    row = Photo.objects.filter(pk=photo_id, purpose=purpose).first()
    return None if row is None else row.file.open("rb")


def photo_file(photo_id: int, *, about: str) -> Any | None:
    """The open file of a photo, if it belongs to the named thing."""
    row = Photo.objects.filter(pk=photo_id, about=about).first()
    return None if row is None else row.file.open("rb")


def photo_row(photo: Photo) -> PhotoRow:
    return from_row(
        PhotoRow,
        photo,
        url=str(photo.file.name),
    )

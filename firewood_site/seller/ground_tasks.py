"""What the ground asks for: slash with its day, and the photos a cost-share program wants."""

from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from firewood_site.seller.today_tasks import SOON, Task
from inventory.selectors.photos import photos_about
from inventory.selectors.spoken import month_day, reader_language
from inventory.selectors.yards import UnitRow
from orders.core.places import cautions_on

REMIND = timedelta(days=30)
BURN = "pile and burn"
NO_PHOTO = {
    ("before",): gettext_lazy("None from before is kept with the ground."),
    ("after",): gettext_lazy("None from after is kept with the ground."),
    ("before", "after"): gettext_lazy("None from before or after is kept with the ground."),
}


def ground_tasks(units: Iterable[UnitRow], *, on: date, closures: Iterable[str] = ()) -> Iterator[Task]:
    """Slash that is to be gone within 30 days or is late, the nearest day first; then photos not taken.

    Shapes
        closures: today's closures in words; one of them may forbid the burning.
    """
    rows = tuple(units)
    owed = [row for row in rows if row.slash_by and not row.slash_done_on and row.slash_by <= on + REMIND]
    for row in sorted(owed, key=lambda row: (row.slash_by or on, row.name)):
        yield _slash(row, on=on, closures=tuple(closures))
    for row in rows:
        if row.finished_on and row.cost_share_dollars and not row.cost_share_paid_on:
            yield from _photos(row)


def before_and_after(unit_id: int, name: str) -> dict[str, Any]:
    """The first photo from before and the last from after, for the pages that show them side by side."""
    before = photos_about(f"unit {name}", purpose="before")
    after = photos_about(f"unit {name}", purpose="after")
    return {
        "unit_key": unit_id,
        "before": min(before, key=lambda photo: (photo.taken_on, photo.id), default=None),
        "after": max(after, key=lambda photo: (photo.taken_on, photo.id), default=None),
    }


def _slash(row: UnitRow, *, on: date, closures: tuple[str, ...]) -> Task:
    due = row.slash_by or on
    late = due < on
    how = _(row.slash_words) if row.slash_words else row.slash or _("how is not decided")
    gone = _("{how}: was to be gone by {day}.") if late else _("{how}: to be gone by {day}.")
    why = gone.format(how=f"{how[0].upper()}{how[1:]}", day=month_day(due))
    if row.slash_words == BURN:
        language = reader_language()
        told = dict.fromkeys([*(caution.text_in(language) for caution in cautions_on("slash")), *closures])
        why = " ".join([why, *told])
    return Task(
        level="bad" if late else "warn" if due <= on + SOON else "",
        what=_("Clear the slash of {ground}").format(ground=row.name),
        why=why,
        href=reverse("unit", args=[row.unit_id]),
        action=_("Look"),
    )


def _photos(row: UnitRow) -> Iterator[Task]:
    """Finished ground whose cost-share is not paid: the program asks for what it looked like then and now."""
    known = before_and_after(row.unit_id, row.name)
    missing = tuple(when for when in ("before", "after") if known[when] is None)
    if missing:
        yield Task(
            level="",
            what=_("Photos of {ground} for the cost-share").format(ground=row.name),
            why=str(NO_PHOTO[missing]),
            href=f"{reverse('unit', args=[row.unit_id])}#photos",
            action=_("Add"),
        )

"""A heap's verdict as its page shows it: the picture, and every way on the same scales."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from firewood_site.heap_picture import heap_picture
from inventory.core.charts.ranges import range_bar
from inventory.core.units import CORD_FT3, cord_units
from inventory.drying.options import OUTLOOK_DAYS
from inventory.selectors.lot import LotPage
from inventory.selectors.spoken import day_ahead, in_language
from routing.earned.heaps import Way, WayEarned, same_day
from routing.selectors.heaps.verdict import HeapView

LOOSE_FT3_A_CORD = 190  # how big a thrown heap is drawn
SOLD_AS = {
    "green": gettext_lazy("green"),
    "logs": gettext_lazy("logs"),
    "given": gettext_lazy("given"),
    "burned": gettext_lazy("burned"),
    "left": pgettext_lazy("wood", "left"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class WayRow:
    """A way in the table: its figures and the bars below them."""

    earned: WayEarned
    is_best: bool
    is_tied: bool
    dry: Any  # a day, or what becomes of it undried
    dry_range: str
    rain_pct: int | None
    hours_bar: SafeString
    dry_bar: SafeString | None
    price_bar: SafeString
    hour_bar: SafeString | None


def shown(view: HeapView, page: LotPage, *, on: date) -> dict[str, Any]:
    """Everything the top of a lot's page shows."""
    best = view.verdict.best
    href, button = _doing(best.way, page)
    return {
        "view": view,
        "best": best,
        "money": view.verdict.sold,
        "dry": _dry_day(best.way, page, on),
        "rows": _rows(view, page, on=on),
        "picture": _picture(view, page),
        "places": [(place.text, _day(place.likely, on)) for place in view.places],
        "cords_bar": _bar(view.cords, most=view.cords.high * 2),
        "href": href,
        "button": button,
    }


def _rows(view: HeapView, page: LotPage, *, on: date) -> list[WayRow]:
    ways = view.verdict.ways
    hours = max(row.hours.high for row in ways) or Decimal(1)
    price = max(row.way.price.high for row in ways) or Decimal(1)
    an_hour = max((row.from_here.high for row in ways if row.from_here), default=Decimal(1)) or Decimal(1)
    return [
        WayRow(
            earned=row,
            is_best=row is view.verdict.best and not view.verdict.is_close,
            is_tied=view.verdict.is_close and (row is view.verdict.best or row is view.verdict.runner),
            dry=_dry_day(row.way, page, on) if row.way.sold_as == "dry" else SOLD_AS[row.way.sold_as],
            dry_range=_span(row.way, on),
            rain_pct=round(row.way.chance * 100) if row.way.chance is not None else None,
            hours_bar=_bar(row.hours, most=hours),
            dry_bar=_dry_bar(row.way, view.first_rain, on=on) if row.way.sold_as == "dry" else None,
            price_bar=_bar(row.way.price, most=price),
            hour_bar=_bar(row.from_here, most=an_hour, limit=view.target_wage) if row.from_here else None,
        )
        for row in ways
    ]


def _bar(band: Any, *, most: Decimal, limit: Decimal | None = None) -> SafeString:
    return mark_safe(  # figures only
        range_bar(low=band.low, likely=band.likely, high=band.high, most=most, limit=limit or None)
    )


def _dry_bar(way: Way, first_rain: date, *, on: date) -> SafeString:
    def days(day: date | None) -> int:
        return (day - on).days if day else OUTLOOK_DAYS

    return mark_safe(  # figures only
        range_bar(
            low=days(way.early), likely=days(way.likely) if way.likely else None, high=days(way.late),
            most=OUTLOOK_DAYS, limit=days(first_rain),
        )
    )  # fmt: skip


def _dry_day(way: Way, page: LotPage, on: date) -> str:
    """When a way has it dry: the lot's own day wherever the two could not be told apart."""
    as_it_lies = page.row.dry.likely
    return _day(as_it_lies if same_day(way.likely, as_it_lies) else way.likely, on)


def _day(day: date | None, on: date) -> str:
    """ "now", "Oct 20", "Mar 25, 2027"."""
    if day is None:
        return _("2 years +")
    return _("now") if day <= on else day_ahead(day, on)


def _span(way: Way, on: date) -> str:
    if way.sold_as != "dry" or (way.early is None and way.late is None):
        return ""
    early, late = _day(way.early, on), _day(way.late, on) if way.late else _("later")
    return "" if early == late else f"{early} – {late}"


def _doing(way: Way, page: LotPage) -> tuple[str, str]:
    """Where the first thing to do is written down once it is done, and the button's words."""
    code = page.row.code
    log = f"{reverse('log')}?{urlencode({'lot': code})}"
    if way.key in ("sell", "green"):
        return reverse("text-back"), _("Quote some of it")
    if way.key.startswith("haul"):
        return f"{log}&steps=haul", _("Moved it: write it down")
    if way.key.startswith("split"):
        return f"{log}&steps=split", _("Split some: write it down")
    if way.key in ("tarp", "spread", "row", "row-cover"):
        return reverse("lot-change", args=[code, "lay"]), _("Did it: write it down")
    return reverse("reading", args=[code]), _("Read its moisture")


def _picture(view: HeapView, page: LotPage) -> SafeString:
    row = page.row
    top, core = view.places[0], view.places[-1]
    is_stacked = row.piling == "stacked"
    ft3 = float(view.cords.likely) * (CORD_FT3 if is_stacked else LOOSE_FT3_A_CORD)
    words = _("{form} of {mix}, {piling}, beside a person.").format(
        form=_(row.form_words), mix=in_language(row.mix_words), piling=_(row.piling_words)
    )
    wet = _("{part} {percent} percent moisture")
    told = [wet.format(part=part.text, percent=f"{part.moisture_pct:.0f}") for part in view.places]
    words = f"{words} {', '.join(told)}"
    return mark_safe(  # its words are escaped where it is drawn
        heap_picture(
            code=row.code, loose_ft3=ft3, is_stacked=is_stacked, is_round=row.form in ("rounds", "logs"),
            across_in=float(page.across_inches or 6), top_pct=top.moisture_pct, core_pct=core.moisture_pct,
            label=words, covered=page.is_covered,
        )
    )  # fmt: skip


def guesses_shown(page: LotPage) -> dict[str, str]:
    """The seller's guesses as they were typed: hours for the whole heap, dollars a cord."""
    found = {}
    for name, (low, _likely, high) in page.guesses.items():
        by = 1 / Fraction(cord_units()) if name == "price" else page.row.on_hand
        low_words, high_words = (f"{float(end * by):.2f}".rstrip("0").rstrip(".") for end in (low, high))
        found[name] = low_words if low == high else f"{low_words} to {high_words}"
    return found

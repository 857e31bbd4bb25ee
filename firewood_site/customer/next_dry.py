"""What is dry next: of each wood the first day it may be promised, in plain words."""

from dataclasses import dataclass
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from firewood_site.wood_words import wood_title
from inventory.core.woods import Wood
from inventory.selectors.sale import lots_drying
from inventory.selectors.spoken import in_own_words
from inventory.selectors.stock import LotRow
from orders.core.sheets import PriceSheet
from routing.selectors.season.outlook import promise_days

SEASONED, ROUNDS = "seasoned", "rounds"
EARLY_UNTIL, MID_UNTIL = 10, 20  # days of a month


@dataclass(frozen=True, slots=True, kw_only=True)
class NextDry:
    key: str  # wood:dryness, as the waiting list names it
    title: str
    text: str  # "Next seasoned fir: mid-July"


def next_dry(on: date, *, sheet: PriceSheet | None) -> tuple[NextDry, ...]:
    """Each wood that lies split and drying, then priced woods that the season's plan has still to split.

    The day is the one by which four of five such lots are dry; the seller's own words stand before it.
    """
    found: dict[str, str] = {}
    lots = [lot for lot in lots_drying(on) if lot.form != ROUNDS and (lot.said_ready or lot.dry_on)]
    for lot in sorted(lots, key=lambda lot: lot.dry_on or date.max):
        found.setdefault(lot.wood, _when(lot, on))
    priced = {price.wood for price in sheet.cord_prices if price.dryness == SEASONED} if sheet else set()
    planned = promise_days(on)
    for wood in sorted((priced & planned.keys()) - found.keys() - {Wood.LOGS, Wood.KINDLING}):
        found[wood] = about_when(planned[wood], on)
    return tuple(
        NextDry(
            key=f"{wood}:{SEASONED}",
            title=wood_title(wood, SEASONED),
            text=_("Next %(wood)s: %(when)s") % {"wood": wood_title(wood, SEASONED), "when": when},
        )
        for wood, when in found.items()
    )


def about_when(day: date, on: date) -> str:
    """A day as one says it beforehand: "mid-July", "early March 2027"."""
    if day <= on:
        return _("any day now, once we have measured it")
    part = (
        _("early %(month)s") if day.day <= EARLY_UNTIL
        else _("mid-%(month)s") if day.day <= MID_UNTIL
        else _("late %(month)s")
    )  # fmt: skip
    text = part % {"month": date_format(day, "F")}
    return text if day.year == on.year else _("%(when)s %(year)s") % {"when": text, "year": day.year}


def _when(lot: LotRow, on: date) -> str:
    if said := in_own_words(lot.said_ready):
        return said
    if lot.dry_on is None or lot.said_ready:  # no date of ours beside the seller's own words
        return _("no date yet")
    return about_when(lot.dry_on, on)

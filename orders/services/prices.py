"""A new price sheet from a date on. A sheet that has held is never edited: quotes point at it."""

from collections.abc import Collection, Mapping
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db import transaction

from inventory.core.gaps import ShortDay
from inventory.core.local import local
from inventory.services import audit
from orders.core import OrdersError
from orders.core.sheets import TERMS, CordPrice
from orders.models import Market, PriceSheet, Quote, Uplift, WoodPrice
from orders.selectors.prices import sheet_by_id

COLUMNS = (*TERMS, "tax_pct", "tax_on", "note")


class SheetInUse(OrdersError):
    """A sheet already holds from that date and quotes were made on it."""

    says = "Quotes were made on the sheet in effect from {from_on}: let the new one begin on a later day."
    in_words = {"from_on": ShortDay}


class SheetInThePast(OrdersError):
    says = "A sheet cannot hold from {from_on}, before today ({on}): choose today or later."
    in_words = {"from_on": ShortDay, "on": ShortDay}


class NothingPriced(OrdersError):
    says = "This sheet sells nothing. Write at least one price a cord."


@transaction.atomic
def save_sheet(
    *,
    from_on: date,
    terms: Mapping[str, Any],
    lines: Collection[CordPrice],
    uplifts: Mapping[Fraction, Decimal],
    on: date,
    at: datetime,
    who: str,
) -> int:
    """Write the sheet that holds from a date on. One not yet quoted on is replaced.

    It remembers whether its road figures are miles or km: a place that changes units changes no price.

    Errors
        NothingPriced, SheetInThePast, SheetInUse
        BadPriceSheet: it contradicts itself; nothing is kept.
    """
    if not lines:
        raise NothingPriced
    if from_on < on:
        raise SheetInThePast(from_on=from_on, on=on)
    same_day = PriceSheet.objects.filter(from_on=from_on).first()
    if same_day is not None:
        if Quote.objects.filter(sheet=same_day).exists():
            raise SheetInUse(from_on=from_on)
        same_day.delete()
    columns = {name: terms[name] for name in COLUMNS if name in terms}
    sheet = PriceSheet(from_on=from_on, is_in_km=local().is_metric, **columns)
    sheet.full_clean()
    sheet.save()
    by_key = {market.key: market for market in Market.objects.all()}
    for line in lines:
        price = WoodPrice(
            sheet=sheet,
            market=by_key[line.market],
            wood=line.wood,
            dryness=line.dryness,
            cord_dollars=line.dollars,
        )
        price.full_clean()
        price.save()
    for cords, share in uplifts.items():
        Uplift.objects.create(sheet=sheet, cords=cords, share=share)
    sheet_by_id(sheet.pk)  # the core reads it back, or says what contradicts what
    audit.note(
        at=at,
        who=who,
        verb="repriced",
        thing=f"price sheet {from_on}",
        after={f"{line.market} {line.wood} {line.dryness}": str(line.dollars) for line in lines},
    )
    return sheet.pk

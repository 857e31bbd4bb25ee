"""The waiting list: who waits for which wood, and whom today's wood is enough for."""

from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction

from django.utils import timezone

from inventory.core.rows import from_row
from inventory.core.woods import Wood
from orders.models import WaitingEntry
from orders.selectors.on_sale import SellableToday, sellable_today
from orders.selectors.parts import WantedBy
from orders.selectors.prices import sheet_in_force
from orders.selectors.spoken_for import SpokenFor, spoken_for


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingRow(WantedBy):
    """One entry. wood: empty for any that is dry. cords: 0 for any amount. is_ready: can be had today."""

    customer_id: int
    email: str
    asked_on: date
    is_ready: bool


def waiting_list(on: date, *, at: datetime) -> tuple[WaitingRow, ...]:
    """Everybody who waits untold, those whose wood can be had today first, then by who asked first."""
    entries = list(WaitingEntry.objects.filter(told_at__isnull=True).select_related("customer"))
    if not entries:
        return ()
    woods = _priced_today(on, spoken_for(at))
    rows = [
        from_row(
            WaitingRow,
            entry,
            name=entry.customer.name,
            phone=entry.customer.phone or entry.customer.phone_as_typed,
            email=entry.customer.email,
            language=entry.customer.language,
            asked_on=timezone.localdate(entry.asked_at),
            is_ready=any(_is_enough(entry, kind) for kind in woods),
        )
        for entry in entries
    ]
    return tuple(sorted(rows, key=lambda row: not row.is_ready))


def woods_to_wait_for(on: date) -> tuple[tuple[str, str], ...]:
    """Wood and dryness one may wait for: what has a price, dry woods first. ("", "seasoned"): any."""
    sheet = sheet_in_force(on)
    priced = {(price.wood, price.dryness) for price in sheet.sheet.cord_prices} if sheet else set()
    by_kind = sorted(priced, key=lambda pair: (pair[1] != "seasoned", pair))
    return (("", "seasoned"), *by_kind, *([(str(Wood.KINDLING), "seasoned")] if sheet else []))


def ready_to_tell(on: date, *, at: datetime) -> tuple[WaitingRow, ...]:
    """Whom to tell today."""
    return tuple(row for row in waiting_list(on, at=at) if row.is_ready)


def _priced_today(on: date, spoken: SpokenFor) -> tuple[SellableToday, ...]:
    """What may be sold today and has a price; kindling and logs have theirs on every sheet."""
    sheet = sheet_in_force(on)
    if sheet is None:
        return ()
    priced = {(price.wood, price.dryness) for price in sheet.sheet.cord_prices}
    return tuple(
        kind
        for kind in sellable_today(on, spoken=spoken)
        if not kind.dryness or (kind.wood, kind.dryness) in priced
    )


def _is_enough(entry: WaitingEntry, kind: SellableToday) -> bool:
    """Whether it can be had today, beside what others have asked for."""
    if kind.wood in (Wood.KINDLING, Wood.LOGS):
        is_theirs = entry.wood == kind.wood
    else:
        is_theirs = entry.wood in ("", kind.wood) and entry.dryness == kind.dryness
    there = (kind.cords if kind.bundles is None else Fraction(kind.bundles)) - kind.asked
    return is_theirs and there > 0 and there >= entry.cords

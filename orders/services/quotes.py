"""Write down what we said a want would cost, so that it stands until its last day."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction

from orders.core import quotes
from orders.core.drives import Drive
from orders.core.floors import DayRoad, SellerCost
from orders.core.places import PlaceRule
from orders.core.quotes import Reason
from orders.core.wants import Want
from orders.models import Customer, Market, Place, Quote
from orders.selectors.prices import SheetInForce, required_sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where it goes, as far as the customer has said; no name, no phone."""

    address: str
    town_id: int | None = None
    lat: float | None = None
    lon: float | None = None
    is_exact: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class SavedQuote:
    """The kept quote: its row, its link and its value."""

    id: int
    token: UUID
    quote: quotes.Quote
    offers: tuple[quotes.DayOffer, ...]


def save_quote(
    *,
    want: Want,
    on: date,
    at: datetime,
    drive: Drive | None = None,
    spot: Spot | None = None,
    from_yard_id: int | None = None,
    days: Iterable[DayRoad] = (),
    is_new_customer: bool = True,
    customer_id: int | None = None,
    first_honest_day: date | None = None,
    cost: SellerCost | None = None,
    in_force: SheetInForce | None = None,
    rule: PlaceRule | None = None,
    language: str = "en",
) -> SavedQuote:
    """Price a want on today's sheet and keep it with its reasons, last day and days on offer.

    Shapes
        in_force: today's sheet, when the caller has it at hand.

    Errors
        NoPriceSheet: no sheet holds today.
        ImpossibleWant, PriceMissing, BelowMinimum, TooFar, CarryTooFar: from the core, nothing is kept.
    """
    in_force = in_force or required_sheet(on)
    quote = quotes.quote_for(
        want,
        sheet=in_force.sheet,
        on=on,
        drive=drive,
        is_new_customer=is_new_customer,
        rule=rule,
        cost=cost,
        language=language,
    )
    roads = tuple(days)
    priced: tuple[tuple[quotes.DayOffer, quotes.Quote], ...] = ()
    if drive is not None and roads:
        priced = quotes.days_priced(
            want,
            sheet=in_force.sheet,
            on=on,
            drive=drive,
            days=roads,
            is_new_customer=is_new_customer,
            rule=rule,
            language=language,
        )
    with transaction.atomic():
        row = Quote(
            made_at=at,
            made_on=on,
            last_day=quote.last_day,
            sheet_id=in_force.id,
            market=Market.objects.get(key=want.market),
            customer=Customer.objects.filter(pk=customer_id).first() if customer_id else None,
            place=_place(spot, want),
            wood=want.wood,
            dryness=want.dryness,
            cords=want.cords,
            bundles=want.bundles,
            how=want.how.value,
            stacked=want.is_stacked,
            small_rig_only=want.small_rig_only,
            from_yard_id=from_yard_id,
            miles=drive.miles.quantize(Decimal("0.1")) if drive else None,
            minutes=drive.minutes if drive else None,
            is_estimate=drive.estimated if drive else False,
            reasons=reasons_as_rows(quote.reasons),
            wood_dollars=quote.wood_dollars,
            drive_dollars=quote.drive_dollars,
            total_dollars=quote.total_dollars,
            deposit_dollars=quote.deposit_dollars,
            tax_dollars=quote.tax_dollars,
            day_offers=[_day(offer, that_day) for offer, that_day in priced],
            first_honest_day=first_honest_day,
            warning=quote.floor_warning.sentence[:300] if quote.floor_warning else "",
        )
        row.full_clean()
        row.save()
    return SavedQuote(id=row.pk, token=row.token, quote=quote, offers=tuple(offer for offer, _ in priced))


def reasons_as_rows(reasons: Iterable[Reason]) -> list[dict[str, str]]:
    """The lines of a quote as text, fit to store."""
    return [
        {"kind": str(line.kind), "label": line.label, "dollars": f"{line.dollars:.2f}", "why": line.why}
        for line in reasons
    ]


def _day(offer: quotes.DayOffer, that_day: quotes.Quote) -> dict[str, Any]:
    return {
        "on": offer.on.isoformat(),
        "total": f"{offer.price:.2f}",
        "saved": f"{offer.saved:.2f}",
        "why": offer.why,
        "drive": f"{that_day.drive_dollars:.2f}",
        "tax": f"{that_day.tax_dollars:.2f}",
        "deposit": f"{that_day.deposit_dollars:.2f}",
        "reasons": reasons_as_rows(that_day.reasons),
    }


def _place(spot: Spot | None, want: Want) -> Place | None:
    if spot is None:
        return None
    place = Place(
        address=spot.address.strip()[:200],
        town_id=spot.town_id,
        lat=spot.lat,
        lon=spot.lon,
        is_exact=spot.is_exact,
        small_rig_only=want.small_rig_only,
    )
    place.full_clean()
    place.save()
    return place

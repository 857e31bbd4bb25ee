"""Write down what we said an order would cost, so that it stands until its last day."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import UUID, uuid4

from django.db import transaction

from inventory.core.local import to_the_cent
from inventory.core.money import dollars
from inventory.core.rows import columns_of
from inventory.core.sentences import Sentence
from inventory.services import audit
from orders.core import OrdersError, quotes
from orders.core.drives import Drive
from orders.core.figures import Figures, PriceSums, agreed
from orders.core.floors import DayRoad, SellerCost, floor_of
from orders.core.order_request import OrderedWood, OrderRequest
from orders.core.places import PlaceRule
from orders.core.quotes import Reason
from orders.core.reasons import ReasonKind
from orders.models import Customer, Market, Place, Quote
from orders.selectors.lines import KEPT_BY_DAY
from orders.selectors.parts import Spot
from orders.selectors.prices import SheetInForce, required_sheet
from orders.selectors.quotes import QuoteView


@dataclass(frozen=True, slots=True, kw_only=True)
class SavedQuote:
    """The kept quote: its row, its link and its value."""

    id: int
    token: UUID
    quote: quotes.Quote
    offers: tuple[quotes.DayOffer, ...]


def save_quote(
    *,
    order_request: OrderRequest,
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
    asked_by: str = "",
    neighbor_id: int | None = None,
) -> SavedQuote:
    """Price an order request on today's sheet and keep it with its reasons, last day and days on offer.

    Shapes
        in_force: today's sheet, when the caller has it at hand.

    Errors
        NoPriceSheet: no sheet holds today.
        ImpossibleRequest, PriceMissing, BelowMinimum, TooFar, CarryTooFar: from the core, nothing is kept.
    """
    in_force = in_force or required_sheet(on)
    quote = quotes.quote_for(
        order_request,
        sheet=in_force.sheet,
        on=on,
        drive=drive,
        is_new_customer=is_new_customer,
        rule=rule,
        cost=cost,
        language=language,
    )
    roads = tuple(days)
    offers: tuple[quotes.DayOffer, ...] = ()
    if roads:
        offers = quotes.days_priced(
            order_request,
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
            market=Market.objects.get(key=order_request.market),
            customer=Customer.objects.filter(pk=customer_id).first() if customer_id else None,
            place=_place(spot, order_request),
            neighbor_id=neighbor_id,
            **{**columns_of(OrderedWood, order_request), "how": order_request.how.value},
            from_yard_id=from_yard_id,
            miles=drive.miles.quantize(Decimal("0.1")) if drive else None,
            minutes=drive.minutes if drive else None,
            is_estimate=drive.estimated if drive else False,
            reasons=reasons_as_rows(quote.reasons),
            **PriceSums.of(quote).columns(),
            day_offers=[_day(offer) for offer in offers],
            first_honest_day=first_honest_day,
            floor_dollars=(
                floor_of(cords=order_request.cords, sheet=in_force.sheet, cost=cost) if cost else None
            ),
            asked_by=asked_by.strip()[:120],
            warning=quote.floor_warning.sentence if quote.floor_warning else "",
        )
        row.full_clean()
        row.save()
    return SavedQuote(id=row.pk, token=row.token, quote=quote, offers=offers)


class NoLonger(OrdersError):
    says = "This quote is not kept any more, or it has lapsed: make a new one."


@transaction.atomic
def counter_price(*, token: UUID, total: Decimal, on: date, at: datetime, who: str) -> UUID:
    """The same wood at a price the seller agreed to, as a quote of its own; the old one stays as it was said.

    Below the floor it warns the seller and is kept all the same.

    Errors
        NoLonger: there is no such quote, or it has lapsed.
    """
    row = Quote.objects.filter(token=token, last_day__gte=on).first()
    if row is None:
        raise NoLonger
    figures = agreed(Figures.of(row, reasons=tuple(row.reasons)), total=total, language="en")
    row.pk, row._state.adding, row.token = None, True, uuid4()
    row.made_at, row.made_on, row.day_offers = at, on, []
    for name, value in figures.columns().items():
        setattr(row, name, value)
    short = (row.floor_dollars or Decimal(0)) - (figures.total - figures.tax)
    row.warning = (
        Sentence(
            "This price is {short} short of what covers it, {floor}.",
            {"short": to_the_cent(short), "floor": to_the_cent(row.floor_dollars or 0)},
        )
        if short > 0
        else ""
    )
    row.full_clean()
    row.save()
    audit.note(
        at=at, who=who, verb="agreed on a price", thing=f"quote {row.pk}", after={"total": f"{total:.2f}"}
    )
    return row.token


@transaction.atomic
def carry_on(*, was: QuoteView, saved: SavedQuote, on: date, at: datetime) -> UUID:
    """The token of a wish priced anew: who asked, and what the seller agreed to, go along from the old one.

    Errors
        NoLonger
    """
    token = saved.token
    off = sum((line.dollars for line in was.price.reasons if line.kind == ReasonKind.AGREED), Decimal(0))
    before_tax = saved.quote.total_dollars - saved.quote.tax_dollars
    if off and before_tax + off > 0:
        total = dollars(Fraction(saved.quote.total_dollars) * Fraction((before_tax + off) / before_tax))
        token = counter_price(token=token, total=total, on=on, at=at, who="as agreed before")
    if was.asked_by:
        Quote.objects.filter(token=was.token).update(asked_by="")
        Quote.objects.filter(token=token).update(asked_by=was.asked_by)
    return token


def confirm_spot(token: UUID) -> None:
    """The customer says that the spot found for a quote is theirs; nothing for a quote that is gone."""
    Place.objects.filter(quotes__token=token, customer__isnull=True).update(is_confirmed=True)


def reasons_as_rows(reasons: Iterable[Reason]) -> list[dict[str, str]]:
    """The lines of a quote as text, fit to store."""
    return [
        {"kind": str(line.kind), "label": line.label, "dollars": f"{line.dollars:.2f}", "why": line.why}
        for line in reasons
    ]


def _day(offer: quotes.DayOffer) -> dict[str, Any]:
    return {
        "on": offer.on.isoformat(),
        "why": offer.why,
        "reasons": reasons_as_rows(offer.reasons),
        **{name: f"{getattr(offer, name):.2f}" for name in KEPT_BY_DAY},
    }


def _place(spot: Spot | None, order_request: OrderRequest) -> Place | None:
    if spot is None:
        return None
    place = Place(
        **{**columns_of(Spot, spot), "address": spot.address.strip()[:200]},
        small_rig_only=order_request.small_rig_only,
    )
    place.full_clean()
    place.save()
    return place


@transaction.atomic
def forget_old_quotes(*, before: date) -> int:
    """Delete prices that nobody ordered by their last day, and the spots typed for them; how many."""
    old = Quote.objects.filter(last_day__lt=before, orders__isnull=True)
    spots = list(old.filter(place__customer__isnull=True).values_list("place", flat=True))
    gone, _by_kind = old.delete()
    Place.objects.filter(
        pk__in=spots, customer__isnull=True, quotes__isnull=True, orders__isnull=True
    ).delete()
    return gone

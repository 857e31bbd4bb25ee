"""A kept quote as its page reads it."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

from inventory.core.rows import columns_of, from_row
from orders.core import phrases, quotes
from orders.core.order_request import OrderedWood, OrderRequest
from orders.core.places import place_rule
from orders.core.quotes import DayOffer
from orders.models import Quote
from orders.selectors.lines import days_on_offer, reason_lines
from orders.selectors.parts import PlaceView, PriceView

NOTHING = Decimal("0.00")
MOST_LISTED = 200
READ_WITH_QUOTE = ("market", "place__town", "from_yard")


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteLine(OrderedWood):
    """What was asked, when, and how long the answer holds; asked_by: whom the seller gave it to."""

    token: UUID
    made_on: date
    last_day: date
    asked_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteView(QuoteLine):
    """What was asked and what we said it costs."""

    market: str
    is_far: bool
    place: PlaceView
    from_yard: str
    miles: Decimal | None
    is_estimate: bool
    price: PriceView
    days: tuple[DayOffer, ...]
    first_honest_day: date | None
    warning: str
    floor_dollars: Decimal | None
    neighbor_id: int | None  # the id of the order whose drop and drive it shares

    def due_on(self, day: date | None) -> DayOffer:
        """What is owed for a chosen day; without one for the cheapest, since any day will do."""
        alone = from_row(DayOffer, self.price, on=self.made_on, saved=NOTHING, why="")
        cheapest = min(self.days, key=lambda offer: (offer.total, offer.on), default=alone)
        anyhow = cheapest if cheapest.total <= alone.total else alone
        return next((offer for offer in self.days if offer.on == day), anyhow)

    @property
    def has_street(self) -> bool:
        """Whether the place is more than a town's name."""
        return bool(self.place.address) and self.place.address != self.place.town

    @property
    def asks_place(self) -> bool:
        """Whether a likely spot was found and nobody has said yet that it is the right one."""
        return self.has_street and not self.place.is_confirmed and not self.place.is_middle_of_town

    def stands_on(self, on: date) -> bool:
        return on <= self.last_day


def quote_view(token: UUID) -> QuoteView | None:
    """One quote by its token; two queries."""
    row = Quote.objects.select_related(*READ_WITH_QUOTE).filter(token=token).first()
    return quote_of(row) if row else None


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedQuote(QuoteLine):
    """A quote the seller gave to somebody. order: what became of it."""

    where: str
    total: Decimal
    order: int | None


def asked_quotes() -> tuple[AskedQuote, ...]:
    """Quotes given to somebody named, newest first; two queries."""
    rows = Quote.objects.exclude(asked_by="").select_related("place__town").prefetch_related("orders")
    return tuple(
        from_row(
            AskedQuote,
            row,
            where=row.place.address if row.place else "",
            total=row.total_dollars,
            order=next((order.number for order in row.orders.all()), None),
        )
        for row in rows.order_by("-made_at")[:MOST_LISTED]
    )


def quote_of(row: Quote) -> QuoteView:
    """A quote read with READ_WITH_QUOTE."""
    return from_row(
        QuoteView,
        row,
        market=row.market.key,
        is_far=row.market.is_far,
        place=PlaceView.of(row.place),
        from_yard=row.from_yard.name if row.from_yard else "",
        price=PriceView.of(row, reasons=reason_lines(row.reasons)),
        days=days_on_offer(row),
    )


def text_back_line(token: UUID, *, seller: str, place_key: str, language: str = "en") -> str:
    """The kept quote as one line to paste into a text message; empty when there is no such quote."""
    view = quote_view(token)
    if view is None:
        return ""
    order_request = OrderRequest(
        **columns_of(OrderedWood, view),
        market=view.market,
        place=view.place.town,
    )
    quote = quotes.Quote(
        order_request=order_request,
        on=view.made_on,
        reasons=(),
        **view.price.columns(),
        access_dollars=NOTHING,
        stacking_dollars=NOTHING,
        price_dollars=view.price.total - view.price.tax,
        last_day=view.last_day,
    )
    first = view.days[0].on if view.days else view.first_honest_day
    return phrases.text_back(
        quote, seller=seller, first_on=first, rule=place_rule(place_key), language=language
    )

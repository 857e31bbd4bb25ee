"""A kept quote as its page reads it."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from uuid import UUID

from orders.core import phrases, quotes
from orders.core.places import place_rule
from orders.core.wants import How, Want
from orders.models import Quote
from orders.selectors.lines import DayChoice, ReasonLine, day_choices, reason_lines

NOTHING = Decimal("0.00")


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteView:
    """What was asked and what we said it costs."""

    token: UUID
    made_on: date
    last_day: date
    market: str
    is_far: bool
    is_delivered_price: bool
    wood: str
    dryness: str
    cords: Fraction
    bundles: int
    how: str
    stacked: bool
    small_rig_only: bool
    address: str
    town_id: int | None
    town: str
    lat: float | None
    lon: float | None
    is_exact: bool
    from_yard: str
    miles: Decimal | None
    minutes: int | None
    is_estimate: bool
    reasons: tuple[ReasonLine, ...]
    total: Decimal
    deposit: Decimal
    tax: Decimal
    wood_dollars: Decimal
    drive_dollars: Decimal
    days: tuple[DayChoice, ...]
    first_honest_day: date | None
    warning: str

    @property
    def balance(self) -> Decimal:
        return self.total - self.deposit

    @property
    def lowest(self) -> Decimal:
        """The price of the cheapest day on offer."""
        return min([self.total, *(day.total for day in self.days)])

    @property
    def has_street(self) -> bool:
        """Whether the place is more than a town's name."""
        return bool(self.address) and self.address != self.town

    def stands_on(self, on: date) -> bool:
        return on <= self.last_day


def quote_view(token: UUID) -> QuoteView | None:
    """One quote by its token; two queries."""
    row = Quote.objects.select_related("market", "place__town", "from_yard").filter(token=token).first()
    if row is None:
        return None
    place = row.place
    return QuoteView(
        token=row.token,
        made_on=row.made_on,
        last_day=row.last_day,
        market=row.market.key,
        is_far=row.market.is_far,
        is_delivered_price=row.market.is_delivered_price,
        wood=row.wood,
        dryness=row.dryness,
        cords=row.cords,
        bundles=row.bundles,
        how=row.how,
        stacked=row.stacked,
        small_rig_only=row.small_rig_only,
        address=place.address if place else "",
        town_id=place.town_id if place else None,
        town=place.town.name if place and place.town else "",
        lat=place.lat if place else None,
        lon=place.lon if place else None,
        is_exact=place.is_exact if place else True,
        from_yard=row.from_yard.name if row.from_yard else "",
        miles=row.miles,
        minutes=row.minutes,
        is_estimate=row.is_estimate,
        reasons=reason_lines(row.reasons),
        total=row.total_dollars,
        deposit=row.deposit_dollars,
        tax=row.tax_dollars,
        wood_dollars=row.wood_dollars,
        drive_dollars=row.drive_dollars,
        days=day_choices(row.day_offers),
        first_honest_day=row.first_honest_day,
        warning=row.warning,
    )


def text_back_line(token: UUID, *, seller: str, place_key: str, language: str = "en") -> str:
    """The kept quote as one line to paste into a text message; empty when there is no such quote."""
    view = quote_view(token)
    if view is None:
        return ""
    want = Want(
        wood=view.wood,
        market=view.market,
        cords=view.cords,
        bundles=view.bundles,
        dryness=view.dryness,
        how=How(view.how),
        is_stacked=view.stacked,
        small_rig_only=view.small_rig_only,
        place=view.town,
    )
    quote = quotes.Quote(
        want=want,
        on=view.made_on,
        reasons=(),
        wood_dollars=view.wood_dollars,
        drive_dollars=view.drive_dollars,
        access_dollars=NOTHING,
        stacking_dollars=NOTHING,
        tax_dollars=view.tax,
        price_dollars=view.total - view.tax,
        total_dollars=view.total,
        deposit_dollars=view.deposit,
        last_day=view.last_day,
    )
    first = view.days[0].on if view.days else view.first_honest_day
    return phrases.text_back(
        quote, seller=seller, first_on=first, rule=place_rule(place_key), language=language
    )

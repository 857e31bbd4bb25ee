"""What a quote, an order and a drop share: the person, the place, the price, the promise."""

from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction
from typing import Any, Self

from inventory.core.rows import from_row
from orders.core.figures import PriceSums
from orders.core.order_request import OrderedWood
from orders.core.reasons import Reason
from orders.models import Customer, Order, Place


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedBy:
    """Somebody and the wood they want."""

    id: int
    name: str
    phone: str
    language: str
    wood: str
    dryness: str
    cords: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedOrder:
    """An order as any list names it: its number and whose it is."""

    number: int
    customer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedOrder(OrderedWood):
    """An order in a list: whose it is, where it goes, what it costs, the days that suit."""

    number: int
    customer: str
    town: str
    total: Decimal
    first_on: date
    last_on: date
    is_pool: bool

    @classmethod
    def of(cls, order: Order, **more: Any) -> Self:
        """Of an order read with its customer and its place's town."""
        town = order.place.town if order.place else None
        return from_row(
            cls,
            order,
            customer=order.customer.name,
            town=town.name if town else "",
            total=order.total_dollars,
            **more,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonView:
    """Who buys. phone: in the international form where it could be read."""

    id: int
    name: str
    phone: str
    phone_as_typed: str
    is_landline: bool
    email: str
    language: str
    is_repeat: bool
    pay_first: bool
    pay_first_reason: str
    wants_reminder: bool

    @property
    def shown_phone(self) -> str:
        return self.phone_as_typed or self.phone

    @property
    def dialed_phone(self) -> str:
        return self.phone or self.phone_as_typed


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where it goes, as far as the customer has said; no name, no phone."""

    address: str = ""
    town_id: int | None = None
    lat: float | None = None
    lon: float | None = None
    is_exact: bool = True
    is_confirmed: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceView(Spot):
    """Where it goes. id: None where the wood is picked up and no place was named."""

    id: int | None = None
    town: str = ""
    town_spot: tuple[float, float] | None = None
    small_rig_only: bool = False
    access: str = ""
    access_note: str = ""
    gate_code: str = ""
    drop_spot: str = ""

    @classmethod
    def of(cls, place: Place | None) -> Self:
        if place is None:
            return cls()
        town = place.town
        spot = (town.lat, town.lon) if town else None
        return from_row(cls, place, town=town.name if town else "", town_spot=spot)

    @property
    def spot(self) -> tuple[float, float] | None:
        """Where to drive: its own spot, else the middle of its town."""
        return self.town_spot if self.lat is None or self.lon is None else (self.lat, self.lon)

    @property
    def is_known(self) -> bool:
        """Whether there is a place, and somebody has said that it is the right one."""
        return self.id is not None and self.is_confirmed

    @property
    def is_middle_of_town(self) -> bool:
        return self.id is not None and self.lat is None


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceView(PriceSums):
    """What it costs, line by line."""

    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PromiseView:
    """Days and hours that suit, and those promised. comes_from, comes_to: as told for the day."""

    first_on: date
    last_on: date
    window_from: time
    window_to: time
    promised_on: date | None
    comes_from: time | None
    comes_to: time | None
    on_the_way_at: datetime | None
    is_pool: bool
    waits_until: date | None

    @property
    def told_hours(self) -> tuple[time, time] | None:
        return (self.comes_from, self.comes_to) if self.comes_from and self.comes_to else None

    @property
    def hours(self) -> tuple[time, time]:
        """The hours told for the day; else those that suit."""
        return self.told_hours or (self.window_from, self.window_to)


def person_view(row: Customer) -> PersonView:
    return from_row(PersonView, row)

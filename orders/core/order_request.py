"""What a customer would like, before it has a price."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction

from inventory.core.woods import Wood
from orders.core import OrdersError


class How(StrEnum):
    """How the wood gets to the customer."""

    DELIVERED = "delivered"
    PICK_UP = "pick_up"


def how_sold(wood: str, how: How) -> How:
    """How a wood gets to who asked for it: log length is picked up at the landing, whatever was asked."""
    return How.PICK_UP if wood == Wood.LOGS else how


@dataclass(frozen=True, slots=True, kw_only=True)
class Goods:
    """Which wood, how much of it, and how it gets there: what a wish, a quote and an order share.

    Units
        cords: stacked cords, exact; 0 when only bundles are wanted.
        bundles: kindling bundles, alone or beside the cords.
    """

    wood: str
    dryness: str = "seasoned"
    cords: Fraction = Fraction(0)
    bundles: int = 0
    how: str = How.DELIVERED
    stacked: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderedWood(Goods):
    """Goods, and whether only a small rig gets to their place."""

    small_rig_only: bool = False


class ImpossibleRequest(OrdersError):
    """A request that contradicts itself; says what to change."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderRequest(OrderedWood):
    """What a customer would like, before it has a price.

    Units
        carry_ft: feet from the truck to where it is to be stacked.
        first_on, last_on: the days that suit, when the customer has said.
    """

    market: str
    how: How = How.DELIVERED
    carry_ft: int = 0
    place: str = ""
    first_on: date | None = None
    last_on: date | None = None

    def __post_init__(self) -> None:
        if self.how not in tuple(How):
            raise ImpossibleRequest(
                "Wood is delivered or picked up, not {how!r}: choose one.", how=str(self.how)
            )
        object.__setattr__(self, "how", How(self.how))
        if self.cords < 0 or self.bundles < 0:
            raise ImpossibleRequest("An amount of wood cannot be below zero: ask for 1/2 cord, for example.")
        if not self.cords and not self.bundles:
            raise ImpossibleRequest("No wood was asked for: choose an amount, such as 1/2 cord.")
        if self.wood == Wood.KINDLING and self.cords:
            raise ImpossibleRequest("Kindling is sold by the bundle: say how many bundles.")
        if self.wood != Wood.KINDLING and not self.cords:
            raise ImpossibleRequest(
                "No {wood} was asked for: choose an amount, such as 1/2 cord.", wood=self.wood
            )
        if self.how is not how_sold(self.wood, self.how):
            raise ImpossibleRequest("Log length is sold at the landing: choose pickup.")
        if self.stacked and self.how is How.PICK_UP:
            raise ImpossibleRequest(
                "Wood you pick up cannot be stacked for you: choose delivery, or no stacking."
            )
        if self.stacked and not self.cords:
            raise ImpossibleRequest("Bundles need no stacking: take the stacking off.")
        if self.carry_ft < 0:
            raise ImpossibleRequest(
                "The carry cannot be below zero feet: measure from the truck to the stack."
            )
        if self.first_on and self.last_on and self.last_on < self.first_on:
            raise ImpossibleRequest("The last day that suits is before the first: swap them.")

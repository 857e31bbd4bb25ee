"""What a customer would like, before it has a price."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction

from orders.core import OrdersError

KINDLING = "kindling"
LOGS = "logs"


class How(StrEnum):
    """How the wood gets to the customer."""

    DELIVERED = "delivered"
    PICK_UP = "pick_up"


class ImpossibleWant(OrdersError):
    """A want that contradicts itself; says what to change."""

    def __init__(self, *, trouble: str) -> None:
        self.trouble = trouble
        super().__init__(trouble)


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """What a customer would like, before it has a price.

    Units
        cords: stacked cords, exact; 0 when only bundles are wanted.
        bundles: kindling bundles, alone or beside the cords.
        carry_ft: feet from the truck to where it is to be stacked.
        first_on, last_on: the days that suit, when the customer has said.
    """

    wood: str
    market: str
    cords: Fraction = Fraction(0)
    bundles: int = 0
    dryness: str = "seasoned"
    how: How = How.DELIVERED
    is_stacked: bool = False
    carry_ft: int = 0
    small_rig_only: bool = False
    place: str = ""
    first_on: date | None = None
    last_on: date | None = None

    def __post_init__(self) -> None:
        if self.how not in tuple(How):
            raise ImpossibleWant(
                trouble=f"Wood is delivered or picked up, not {str(self.how)!r}: choose one."
            )
        object.__setattr__(self, "how", How(self.how))
        if self.cords < 0 or self.bundles < 0:
            raise ImpossibleWant(
                trouble="An amount of wood cannot be below zero: ask for 1/2 cord, for example."
            )
        if not self.cords and not self.bundles:
            raise ImpossibleWant(trouble="No wood was asked for: choose an amount, such as 1/2 cord.")
        if self.wood == KINDLING and self.cords:
            raise ImpossibleWant(trouble="Kindling is sold by the bundle: say how many bundles.")
        if self.wood != KINDLING and not self.cords:
            raise ImpossibleWant(trouble=f"No {self.wood} was asked for: choose an amount, such as 1/2 cord.")
        if self.wood == LOGS and self.how is How.DELIVERED:
            raise ImpossibleWant(trouble="Log length is sold at the landing: choose to fetch it there.")
        if self.is_stacked and self.how is How.PICK_UP:
            raise ImpossibleWant(
                trouble="Wood you fetch cannot be stacked for you: choose delivery, or no stacking."
            )
        if self.is_stacked and not self.cords:
            raise ImpossibleWant(trouble="Bundles need no stacking: take the stacking off.")
        if self.carry_ft < 0:
            raise ImpossibleWant(
                trouble="The carry cannot be below zero feet: measure from the truck to the stack."
            )
        if self.first_on and self.last_on and self.last_on < self.first_on:
            raise ImpossibleWant(trouble="The last day that suits is before the first: swap them.")

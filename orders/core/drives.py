"""How far a place is from a yard: what the price is charged on.

The road engine lives downstream; a page measures the drive there and hands the number in here.
"""

from dataclasses import dataclass
from decimal import Decimal

from inventory.core.sentences import Sentence
from orders.core import OrdersError


class BadDrive(OrdersError):
    """Miles, minutes or a spot on the map that cannot be."""

    says = "A drive cannot have {what} {value}: measure it again or choose the spot on the map."
    in_words = {"what": Sentence}


class NoDrive(OrdersError):
    """No yard that holds the wood has a known drive to the place."""

    def __init__(self, *, yards: tuple[str, ...]) -> None:
        self.yards = yards
        held = ", ".join(yards) if yards else Sentence("no yard")
        super().__init__(
            "No drive is known from the yards that hold the wood ({held}): set the place on "
            "the map, or pick the wood up yourself.",
            held=held,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive:
    """One way from a yard to a place.

    Units
        miles: road miles, one way, to any decimal; minutes: whole minutes, one way.
        estimated: True when it is a straight line times a detour factor, and must be shown as such.
    """

    miles: Decimal
    minutes: int
    from_yard: str
    estimated: bool = False

    def __post_init__(self) -> None:
        if not self.miles.is_finite() or self.miles < 0:
            raise BadDrive(what="miles of", value=self.miles)
        if self.minutes < 0:
            raise BadDrive(what="minutes of", value=self.minutes)

"""Every stretch of road a load, or any part of it, might use: what the fair split reckons with."""

from dataclasses import dataclass
from decimal import Decimal

from inventory.core.sentences import FramedRefusal
from routing.core import RoutingError
from routing.earned.costs import NOWHERE, Stretch


class BadLoadLegs(FramedRefusal, RoutingError):
    """Roads that do not fit the drops."""

    frame = "This load's drive cannot be shared: {problem}."


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadLegs:
    """Every stretch of road a load, or any part of it, might use.

    Shapes
        orders: n names in the planned order of dropping.
        approach: to the yard, empty; filling: from yard to yard, loaded, and the halts there, where the load
        is filled at more than one; out: from the last yard to each drop, loaded; between: n x n, loaded;
        back: each drop to where the load ends, empty.
        fixed: dollars that any drop at all brings about (hire, this load's part of the run's fixed cost).
    """

    orders: tuple[str, ...]
    approach: Stretch
    out: tuple[Stretch, ...]
    between: tuple[tuple[Stretch, ...], ...]
    back: tuple[Stretch, ...]
    fixed: Decimal = Decimal(0)
    filling: Stretch = NOWHERE

    def __post_init__(self) -> None:
        count = len(self.orders)
        if count == 0:
            raise BadLoadLegs("it has no drops")
        if len(set(self.orders)) < count:
            raise BadLoadLegs("an order is named twice; add its parts up first")
        if {len(self.out), len(self.back), len(self.between), *(len(row) for row in self.between)} != {count}:
            raise BadLoadLegs(
                "{count} drops need {count} stretches each way and between each two", count=count
            )

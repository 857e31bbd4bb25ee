"""Every stretch of road a load, or any part of it, might use: what the fair split reckons with."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from routing.core import RoutingError
from routing.core.costs import NOWHERE, Stretch
from routing.core.roads import Matrix


class BadLoadRoads(RoutingError):
    """Roads that do not fit the drops."""

    def __init__(self, *, trouble: str) -> None:
        self.trouble = trouble
        super().__init__(f"This load's drive cannot be shared: {trouble}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadRoads:
    """Every stretch of road a load, or any part of it, might use.

    Shapes
        orders: n names in the planned order of dropping.
        approach: to the yard, empty; out: yard to each drop, loaded; between: n x n, loaded;
        back: each drop to where the load ends, empty.
        fixed: dollars that any drop at all brings about (hire, this load's part of the run's fixed cost).
    """

    orders: tuple[str, ...]
    approach: Stretch
    out: tuple[Stretch, ...]
    between: tuple[tuple[Stretch, ...], ...]
    back: tuple[Stretch, ...]
    fixed: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        count = len(self.orders)
        if count == 0:
            raise BadLoadRoads(trouble="it has no drops")
        if len(set(self.orders)) < count:
            raise BadLoadRoads(trouble="an order is named twice; add its parts up first")
        if {len(self.out), len(self.back), len(self.between), *(len(row) for row in self.between)} != {count}:
            raise BadLoadRoads(trouble=f"{count} drops need {count} stretches each way and between each two")


def roads_of_load(
    *,
    orders: Sequence[str],
    drops: Sequence[int],
    yard: int,
    start: int,
    end: int,
    loaded: Matrix,
    empty: Matrix,
    fixed: Decimal = Decimal(0),
) -> LoadRoads:
    """A load's roads from the drives between its places.

    Two drops without a loaded road between them are joined by way of the yard: that is how they would be
    driven. The planned order never needs it.

    Shapes and units
        orders, drops: names and rows of the drops, in the planned order.
        yard, start, end: rows of where it is loaded, where the rig comes from and where the load ends.
        loaded, empty: square matrices over the same places, for the rig with and without wood.
        fixed: dollars.

    Errors
        BadLoadRoads: no road to or from one of the drops, or orders and drops do not pair up.
    """
    if len(orders) != len(drops):
        raise BadLoadRoads(trouble=f"{len(orders)} orders do not pair up with {len(drops)} drops")

    def needed(matrix: Matrix, here: int, there: int, who: str) -> Stretch:
        found = _stretch(matrix, here, there)
        if found is None:
            raise BadLoadRoads(trouble=f"there is no road for {who}; measure its drive again")
        return found

    out = tuple(needed(loaded, yard, drop, order) for order, drop in zip(orders, drops, strict=True))
    home = tuple(needed(empty, drop, yard, order) for order, drop in zip(orders, drops, strict=True))
    return LoadRoads(
        orders=tuple(orders),
        approach=needed(empty, start, yard, "the way to the yard"),
        out=out,
        between=tuple(
            tuple(
                NOWHERE if i == j else _stretch(loaded, here, there) or _joined(home[i], out[j])
                for j, there in enumerate(drops)
            )
            for i, here in enumerate(drops)
        ),
        back=tuple(needed(empty, drop, end, order) for order, drop in zip(orders, drops, strict=True)),
        fixed=fixed,
    )


def _stretch(matrix: Matrix, here: int, there: int) -> Stretch | None:
    if here == there:
        return NOWHERE
    leg = matrix.leg(here, there)
    return None if leg is None else Stretch.measured(meters=leg.meters, seconds=leg.seconds)


def _joined(first: Stretch, then: Stretch) -> Stretch:
    return Stretch(miles=first.miles + then.miles, minutes=first.minutes + then.minutes)

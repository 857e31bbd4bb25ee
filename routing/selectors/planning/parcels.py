"""Orders cut into what one stop unloads: its yard, its lots, and small enough for a rig that may come."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from django.db.models.functions import Coalesce

from inventory.models import Hold, Lot
from orders.models import Order, OrderHold
from routing.core.roads import Point
from routing.models import Stop


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPart:
    """A part of an order as a stored plan brings it. lot_id None: drawn from several lots of the yard."""

    part: int
    cords: Fraction
    bundles: int
    lot_id: int | None
    yard_id: int  # where it is loaded


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow(KeptPart):
    """What a planned part is in the books."""

    id: str
    order_id: int
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Newcomer:
    """An order somebody thinks of: an unsaved row, where it goes, and the lots it would take."""

    order: Order
    point: Point
    picks: tuple[tuple[Lot, Fraction], ...]


@dataclass(slots=True, kw_only=True)
class Line:
    lot: Lot
    cords: Fraction


@dataclass(slots=True, kw_only=True)
class OrderToPlan:
    """An order on its way into the problem."""

    order: Order
    point: Point
    parts: list[PartRow] = field(default_factory=list)
    lines: dict[str, list[Line]] = field(default_factory=dict)

    @property
    def from_tight_yard(self) -> bool:
        """Whether some of its wood lies where no big trailer turns."""
        return any(is_tight(line.lot) for lines in self.lines.values() for line in lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodOfOrders:
    """What is held for orders, and the parts a stored plan has cut it in.

    Shapes
        held: (lot id, cords) by order id. swaps: (order number, lot id) to the lot id to load instead.
    """

    held: Mapping[int, Sequence[tuple[int, Fraction]]]
    kept: Mapping[int, Sequence[KeptPart]]
    lots: Mapping[int, Lot]
    swaps: Mapping[tuple[int, int], int]

    def lot(self, number: int, lot_id: int) -> Lot:
        """The lot an order is loaded from."""
        return self.lots[self.swaps.get((number, lot_id), lot_id)]


KEPT_FIELDS = ("part", "cords", "bundles", "lot_id", "filled_at")


def is_tight(lot: Lot) -> bool:
    """Whether its yard takes small rigs only."""
    return not lot.yard.takes_big_trailer


def part_id(number: int, part: int) -> str:
    """How a part of an order is named in plans."""
    return f"{number}.{part}"


def wood_of(
    orders: Sequence[Order],
    dates: Sequence[date],
    *,
    keep_parts: bool,
    lot_swaps: Mapping[tuple[int, int], int],
) -> WoodOfOrders:
    """The wood held for orders and the parts a stored plan of the dates has cut it in, in three queries."""
    wanted = [order.pk for order in orders]
    held: dict[int, list[tuple[int, Fraction]]] = defaultdict(list)
    links = OrderHold.objects.filter(order__in=wanted, hold__state=Hold.State.STANDING).order_by("pk")
    for order_id, lot_id, cords in links.values_list("order_id", "hold__lot_id", "hold__cords"):
        held[order_id].append((lot_id, cords))
    kept: dict[int, list[KeptPart]] = defaultdict(list)
    if keep_parts:
        rows = Stop.objects.filter(load__run__day__on__in=dates, order__in=wanted).order_by("part")
        rows = rows.annotate(filled_at=Coalesce("fill__yard_id", "load__yard_id"))
        for order_id, part, cords, bundles, lot_id, yard_id in rows.values_list("order_id", *KEPT_FIELDS):
            row = KeptPart(part=part, cords=cords, bundles=bundles, lot_id=lot_id, yard_id=yard_id)
            kept[order_id].append(row)
    lots = Lot.objects.select_related("yard").in_bulk(
        {lot_id for lines in held.values() for lot_id, _ in lines}
        | {stop.lot_id for stops in kept.values() for stop in stops if stop.lot_id}
        | set(lot_swaps.values())
    )
    return WoodOfOrders(held=held, kept=kept, lots=lots, swaps=lot_swaps)

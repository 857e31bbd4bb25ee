"""Orders cut into what one stop unloads: its yard, its lots, and small enough for a rig that may come."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from math import floor
from typing import NamedTuple

from inventory.models import Hold, Lot
from orders.models import Order, OrderHold
from routing.core.plan import Postponed
from routing.core.roads import Point
from routing.models import Rig, Stop
from routing.selectors.rigs import rig_value

USUAL_LOOSE_FT3 = 180  # of a cord; a rig's own heap number is counted in its box instead
STACKED_FT3 = 128
NICE_PARTS = 12  # a big order is split at twelfths of a cord


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """What a planned part is in the books. lot_id None: it is drawn from several lots of the yard."""

    id: str
    order_id: int
    number: int
    part: int
    cords: Fraction
    bundles: int
    lot_id: int | None
    yard_id: int


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
class Want:
    """An order on its way into the problem."""

    order: Order
    point: Point
    parts: list[PartRow] = field(default_factory=list)
    lines: dict[str, list[Line]] = field(default_factory=dict)

    @property
    def from_tight_yard(self) -> bool:
        """Whether some of its wood lies where no big trailer turns."""
        return any(is_tight(line.lot) for lines in self.lines.values() for line in lines)


class _KeptStop(NamedTuple):
    """A stop of a stored plan: the part of its order it brings. yard_id: where it is loaded."""

    part: int
    cords: Fraction
    bundles: int
    lot_id: int | None
    yard_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodOfOrders:
    """What is held for orders, and the parts a stored plan has cut it in.

    Shapes
        held: (lot id, cords) by order id. swaps: (order number, lot id) to the lot id to load instead.
    """

    held: Mapping[int, Sequence[tuple[int, Fraction]]]
    kept: Mapping[int, Sequence[_KeptStop]]
    lots: Mapping[int, Lot]
    swaps: Mapping[tuple[int, int], int]

    def lot(self, number: int, lot_id: int) -> Lot:
        """The lot an order is loaded from."""
        return self.lots[self.swaps.get((number, lot_id), lot_id)]


KEPT_FIELDS = ("part", "cords", "bundles", "lot_id", "load__yard_id")


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
    kept: dict[int, list[_KeptStop]] = defaultdict(list)
    if keep_parts:
        rows = Stop.objects.filter(load__run__day__on__in=dates, order__in=wanted).order_by("part")
        for order_id, *row in rows.values_list("order_id", *KEPT_FIELDS):
            kept[order_id].append(_KeptStop(*row))
    lots = Lot.objects.select_related("yard").in_bulk(
        {lot_id for lines in held.values() for lot_id, _ in lines}
        | {stop.lot_id for stops in kept.values() for stop in stops if stop.lot_id}
        | set(lot_swaps.values())
    )
    return WoodOfOrders(held=held, kept=kept, lots=lots, swaps=lot_swaps)


def wants_of(
    orders: Sequence[Order],
    wood: WoodOfOrders,
    impossible: list[Postponed],
    *,
    rigs: Sequence[Rig],
    weights: Mapping[int, float],
) -> list[Want]:
    wants = []
    for order in orders:
        point = _point(order)
        if point is None:
            impossible.append(_not(order, "no spot", "Its place has no spot on the map and no town."))
            continue
        want = Want(order=order, point=point)
        lines = [
            Line(lot=wood.lot(order.number, lot_id), cords=cords)
            for lot_id, cords in wood.held.get(order.pk, ())
        ]
        if order.pk in wood.kept:
            _keep(want, wood, lines)
            if not want.parts:
                impossible.append(_not(order, "no wood held", "The wood held for it was let go."))
                continue
        elif lines:
            tight = next((line.lot.yard for line in lines if is_tight(line.lot)), None)
            if tight is not None and not any(rig.is_small for rig in rigs):
                impossible.append(
                    _not(order, "tight yard", f"{tight} takes no big trailer, and no small rig is out.")
                )
                continue
            _split(
                want, lines, _rigs_that_may(rigs, small=order.small_rig_only or tight is not None), weights
            )
        else:
            impossible.append(
                _not(order, "no wood held", "No wood is held for it: pick a lot on its page first.")
            )
            continue
        wants.append(want)
    return wants


def imagined_want(newcomer: Newcomer, rigs: Sequence[Rig], weights: Mapping[int, float]) -> Want:
    want = Want(order=newcomer.order, point=newcomer.point)
    small = newcomer.order.small_rig_only or any(is_tight(lot) for lot, _ in newcomer.picks)
    lines = [Line(lot=lot, cords=cords) for lot, cords in newcomer.picks]
    _split(want, lines, _rigs_that_may(rigs, small=small), weights)
    return want


def _rigs_that_may(rigs: Sequence[Rig], *, small: bool) -> list[Rig]:
    return [rig for rig in rigs if rig.is_small or not small] or list(rigs)


def _point(order: Order) -> Point | None:
    place = order.place
    if place is None:
        return None
    if place.lat is not None and place.lon is not None:
        return Point(lat=place.lat, lon=place.lon)
    if place.town is not None:
        return Point(lat=place.town.lat, lon=place.town.lon)
    return None


def _keep(
    want: Want,
    wood: WoodOfOrders,
    lines: Sequence[Line],
) -> None:
    """Parts as the day has them; a part of several lots is drawn from what is held."""
    for stop in wood.kept[want.order.pk]:
        lot = None
        if stop.lot_id is not None:
            lot = wood.lot(want.order.number, stop.lot_id)
            amount = stop.cords + _bundle_cords(lot, stop.bundles)
            drawn = [Line(lot=lot, cords=amount)]
        else:
            drawn = [line for line in lines if line.lot.yard_id == stop.yard_id] or list(lines)
        if not drawn:
            continue
        row = PartRow(
            id=part_id(want.order.number, stop.part),
            order_id=want.order.pk,
            number=want.order.number,
            part=stop.part,
            cords=stop.cords,
            bundles=stop.bundles,
            lot_id=lot.pk if lot else None,
            yard_id=drawn[0].lot.yard_id,
        )
        want.parts.append(row)
        want.lines[row.id] = drawn


def _split(want: Want, lines: Sequence[Line], rigs: Sequence[Rig], weights: Mapping[int, float]) -> None:
    """One part a yard where it fits the largest rig that may come; more where it does not."""
    by_yard: dict[int, list[Line]] = defaultdict(list)
    for line in lines:
        by_yard[line.lot.yard_id].append(line)
    for yard_id in sorted(by_yard):
        left = [Line(lot=line.lot, cords=line.cords) for line in by_yard[yard_id]]
        while left:
            taken = _one_part(left, rigs, weights)
            left = [line for line in left if line.cords > 0]
            _add_part(want, yard_id, taken)


def _one_part(left: list[Line], rigs: Sequence[Rig], weights: Mapping[int, float]) -> list[Line]:
    room = max(rigs, key=lambda rig: room_of(rig)[0])
    ft3, room_lb = room_of(room)
    taken: list[Line] = []
    for line in left:
        each_ft3, each_lb = loose_ft3(line.lot), Fraction(pounds(line.lot, weights))
        most = min(ft3 / each_ft3, room_lb / each_lb if each_lb else Fraction(10**6))
        amount = line.cords if most >= line.cords else Fraction(floor(most * NICE_PARTS), NICE_PARTS)
        if amount <= 0 and not taken:
            amount = line.cords  # no rig carries even a twelfth: the planner says why
        if amount <= 0:
            continue
        taken.append(Line(lot=line.lot, cords=amount))
        ft3, room_lb = ft3 - amount * each_ft3, room_lb - amount * each_lb
        line.cords -= amount
    return taken


def _add_part(want: Want, yard_id: int, taken: list[Line]) -> None:
    number = len(want.parts) + 1
    bundles = sum(_bundles(line) for line in taken)
    wood = sum((line.cords for line in taken if not line.lot.bundle_ft3), Fraction(0))
    row = PartRow(
        id=part_id(want.order.number, number),
        order_id=want.order.pk,
        number=want.order.number,
        part=number,
        cords=wood,
        bundles=bundles,
        lot_id=taken[0].lot.pk if len(taken) == 1 else None,
        yard_id=yard_id,
    )
    want.parts.append(row)
    want.lines[row.id] = taken


def _bundles(line: Line) -> int:
    return round(line.cords * STACKED_FT3 / Fraction(line.lot.bundle_ft3)) if line.lot.bundle_ft3 else 0


def _bundle_cords(lot: Lot, bundles: int) -> Fraction:
    return Fraction(lot.bundle_ft3 or 0) * bundles / STACKED_FT3


def room_of(rig: Rig) -> tuple[Fraction, Fraction]:
    """Box and payload: loose ft3 at the usual number to a cord, and pounds."""
    box = rig_value(rig).box_ft3 * USUAL_LOOSE_FT3 / Fraction(rig.heap_number)
    return box, Fraction(rig.payload_lb)


def loose_ft3(lot: Lot) -> Fraction:
    """Room a cord takes in the box; bundles lie as close as they were tied."""
    return Fraction(STACKED_FT3 if lot.bundle_ft3 else USUAL_LOOSE_FT3)


def pounds(lot: Lot, weights: Mapping[int, float]) -> int:
    return floor(weights.get(lot.pk, 0.0) + 1)


def _not(order: Order, code: str, reason: str) -> Postponed:
    return Postponed(order=str(order.number), code=code, reason=reason)

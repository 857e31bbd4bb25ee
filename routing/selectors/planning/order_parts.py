"""An order cut into parts: one a yard, each small enough for a rig that may come."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from fractions import Fraction
from math import floor

from inventory.core.rows import from_row
from inventory.core.sentences import Sentence
from inventory.core.units import CORD_FT3
from inventory.models import Lot
from orders.models import Order
from routing.core.roads import Point
from routing.models import Rig
from routing.planner.plan import Postponed
from routing.selectors.planning.parcels import (
    Line,
    Newcomer,
    OrderToPlan,
    PartRow,
    WoodOfOrders,
    is_tight,
    part_id,
)
from routing.selectors.planning.part_sizes import loose_ft3, pounds, room_of

NICE_PARTS = 12  # a big order is split at twelfths of a cord


def orders_to_plan(
    orders: Sequence[Order],
    wood: WoodOfOrders,
    impossible: list[Postponed],
    *,
    rigs: Sequence[Rig],
    weights: Mapping[int, float],
) -> list[OrderToPlan]:
    to_plan = []
    for order in orders:
        point = _point(order)
        if point is None:
            impossible.append(_not(order, "no spot", "Its place has no spot on the map and no town."))
            continue
        planned = OrderToPlan(order=order, point=point)
        lines = [
            Line(lot=wood.lot(order.number, lot_id), cords=cords)
            for lot_id, cords in wood.held.get(order.pk, ())
        ]
        if order.pk in wood.kept:
            _add_planned(planned, wood, lines)
            if not planned.parts:
                impossible.append(_not(order, "no wood held", "The wood held for it was let go."))
                continue
        elif lines:
            tight = next((line.lot.yard for line in lines if is_tight(line.lot)), None)
            if tight is not None and not any(rig.is_small for rig in rigs):
                impossible.append(
                    _not(
                        order,
                        "tight yard",
                        "{yard} takes no big trailer, and no small rig is out.",
                        yard=str(tight),
                    )
                )
                continue
            _split(
                planned, lines, _rigs_that_may(rigs, small=order.small_rig_only or tight is not None), weights
            )
        else:
            impossible.append(
                _not(order, "no wood held", "No wood is held for it: pick a lot on its page first.")
            )
            continue
        to_plan.append(planned)
    return to_plan


def imagined_order(newcomer: Newcomer, rigs: Sequence[Rig], weights: Mapping[int, float]) -> OrderToPlan:
    planned = OrderToPlan(order=newcomer.order, point=newcomer.point)
    small = newcomer.order.small_rig_only or any(is_tight(lot) for lot, _ in newcomer.picks)
    lines = [Line(lot=lot, cords=cords) for lot, cords in newcomer.picks]
    _split(planned, lines, _rigs_that_may(rigs, small=small), weights)
    return planned


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


def _add_planned(
    planned: OrderToPlan,
    wood: WoodOfOrders,
    lines: Sequence[Line],
) -> None:
    """Parts as the day has them; a part of several lots is drawn from what is held."""
    for stop in wood.kept[planned.order.pk]:
        lot = None
        if stop.lot_id is not None:
            lot = wood.lot(planned.order.number, stop.lot_id)
            amount = stop.cords + _bundle_cords(lot, stop.bundles)
            drawn = [Line(lot=lot, cords=amount)]
        else:
            drawn = [line for line in lines if line.lot.yard_id == stop.yard_id] or list(lines)
        if not drawn:
            continue
        row = from_row(
            PartRow,
            stop,
            id=part_id(planned.order.number, stop.part),
            order_id=planned.order.pk,
            number=planned.order.number,
            lot_id=lot.pk if lot else None,
            yard_id=drawn[0].lot.yard_id,
        )
        planned.parts.append(row)
        planned.lines[row.id] = drawn


def _split(
    planned: OrderToPlan, lines: Sequence[Line], rigs: Sequence[Rig], weights: Mapping[int, float]
) -> None:
    """One part a yard where it fits the largest rig that may come; more where it does not."""
    by_yard: dict[int, list[Line]] = defaultdict(list)
    for line in lines:
        by_yard[line.lot.yard_id].append(line)
    for yard_id in sorted(by_yard):
        left = [Line(lot=line.lot, cords=line.cords) for line in by_yard[yard_id]]
        while left:
            taken = _one_part(left, rigs, weights)
            left = [line for line in left if line.cords > 0]
            _add_part(planned, yard_id, taken)


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


def _add_part(planned: OrderToPlan, yard_id: int, taken: list[Line]) -> None:
    number = len(planned.parts) + 1
    bundles = sum(_bundles(line) for line in taken)
    wood = sum((line.cords for line in taken if not line.lot.bundle_ft3), Fraction(0))
    row = PartRow(
        id=part_id(planned.order.number, number),
        order_id=planned.order.pk,
        number=planned.order.number,
        part=number,
        cords=wood,
        bundles=bundles,
        lot_id=taken[0].lot.pk if len(taken) == 1 else None,
        yard_id=yard_id,
    )
    planned.parts.append(row)
    planned.lines[row.id] = taken


def _bundles(line: Line) -> int:
    return round(line.cords * CORD_FT3 / Fraction(line.lot.bundle_ft3)) if line.lot.bundle_ft3 else 0


def _bundle_cords(lot: Lot, bundles: int) -> Fraction:
    return Fraction(lot.bundle_ft3 or 0) * bundles / CORD_FT3


def _not(order: Order, code: str, english: str, /, **gaps: object) -> Postponed:
    return Postponed(order=str(order.number), code=code, reason=Sentence(english, gaps))

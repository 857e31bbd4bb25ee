"""Room and pounds of the wood in a part, and what a rig holds."""

from collections.abc import Iterable, Mapping
from fractions import Fraction
from math import floor

from inventory.core.units import CORD_FT3
from inventory.models import Lot
from routing.models import Rig
from routing.selectors.planning.parcels import OrderToPlan
from routing.selectors.rigs import rig_value

USUAL_LOOSE_FT3 = 180  # of a cord; a unit to compare boxes in, whatever their own heap number


def room_of(rig: Rig) -> tuple[Fraction, Fraction]:
    """Box and payload: loose ft3 at the usual number to a cord, and pounds."""
    box = rig_value(rig).box_ft3 * USUAL_LOOSE_FT3 / Fraction(rig.heap_number)
    return box, Fraction(rig.payload_lb)


def loose_ft3(lot: Lot) -> Fraction:
    """Room a cord takes in the box; bundles lie as close as they were tied."""
    return Fraction(CORD_FT3 if lot.bundle_ft3 else USUAL_LOOSE_FT3)


def pounds(lot: Lot, weights: Mapping[int, float]) -> int:
    return whole_lb(weights.get(lot.pk, 0.0))


def heaviest_load(rig: Rig, to_plan: Iterable[OrderToPlan], weights: Mapping[int, float]) -> Fraction:
    """The most wood a rig can have aboard, in pounds: by its payload, its box, and what there is to bring."""
    lines = [line for planned in to_plan for lines in planned.lines.values() for line in lines]
    heaviest = max((pounds(line.lot, weights) for line in lines), default=0)
    in_all = sum((line.cords * pounds(line.lot, weights) for line in lines), Fraction(0))
    return min(Fraction(rig.payload_lb), rig_value(rig).box_cords * heaviest, in_all)


def whole_lb(lb_per_cord: float) -> int:
    """The pounds a cord is planned on: never less than it weighs."""
    return floor(lb_per_cord + 1)

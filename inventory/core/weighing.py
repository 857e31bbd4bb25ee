"""What a cord is planned to weigh: on the heavy side, and never lighter for a reading that proves nothing.

A load's weight is a matter of safety. Resistance meters mean little above fiber saturation, so a face read
above it says only that the wood is wet: it weighs as green until a drier reading or a scale says better.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from inventory.core import InventoryError
from inventory.core.figures import rule
from inventory.core.gaps import Cords, pounds
from inventory.core.moisture import FIBER_SATURATION_PCT
from inventory.core.sentences import FramedRefusal
from inventory.core.species import heavy_green_pct, plan_weight_lb

DRIEST_PLANNED_PCT = 20.0  # a load is never planned lighter than this, % dry basis (common practice)
SCALE_MARGIN = rule("scale_margin").value
LIGHTEST_LB, HEAVIEST_LB = 1000, 9000  # of a cord: drier than dry alder, wetter than full oak
TAUGHT_BY = 3  # the newest scale tickets of a wood


class BadScaleTicket(FramedRefusal, InventoryError):
    """A scale ticket that cannot be of this wood."""

    frame = "This scale ticket can't be used: {problem}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """A load of one lot over a scale.

    Units
        wood_lb: gross less tare; cords: what was on the load; mix: percent by species.
        is_green: the wood had not been read below fiber saturation that day.
    """

    lot_id: int
    mix: Mapping[str, float]
    is_green: bool
    on: date
    wood_lb: int
    cords: Fraction

    @property
    def lb_per_cord(self) -> float:
        return self.wood_lb / float(self.cords)


def net_weight_lb(*, gross_lb: int, tare_lb: int, cords: Fraction) -> int:
    """Pounds of wood on a scaled load.

    Errors
        BadScaleTicket: the tare is no less than the gross, no cords, or no wood weighs so much a cord.
    """
    if gross_lb <= tare_lb:
        raise BadScaleTicket("full, the rig must weigh more than empty; check gross and tare.")
    if cords <= 0:
        raise BadScaleTicket("write how many cords were on the load.")
    each = (gross_lb - tare_lb) / float(cords)
    if not LIGHTEST_LB <= each <= HEAVIEST_LB:
        raise BadScaleTicket(
            "{net} for {cords} makes {each} for {one}, and "
            "wood weighs {lightest} to {heaviest}. "
            "Check the cords and both weights.",
            net=pounds(gross_lb - tare_lb),
            cords=Cords(cords),
            each=pounds(each),
            one=Cords(Fraction(1)),
            lightest=pounds(LIGHTEST_LB),
            heaviest=pounds(HEAVIEST_LB),
        )
    return gross_lb - tare_lb


def planned_moisture_pct(
    faces: Sequence[float], *, mix: Mapping[str, float], start_pct: float, believed_pct: float | None = None
) -> float:
    """The moisture (% dry basis) a load is weighed at.

    Faces above fiber saturation count as green wood: as wet as the wet end of the published figures or as the
    lot began, whichever is more. Without a reading the whole lot does.

    Units
        faces: the newest reading, % dry basis; believed_pct: what the drying curve says where that reading is
        old; it replaces the faces only when all of them were below fiber saturation.
    """
    green = max(heavy_green_pct(mix), start_pct)
    if not faces:
        return green
    if believed_pct is not None and max(faces) <= FIBER_SATURATION_PCT:
        return max(believed_pct, DRIEST_PLANNED_PCT)
    told = [face if face <= FIBER_SATURATION_PCT else max(face, green) for face in faces]
    return max(sum(told) / len(told), DRIEST_PLANNED_PCT)


def planned_lb_per_cord(
    mix: Mapping[str, float],
    moisture_pct: float,
    *,
    lot_id: int | None = None,
    weighed: Iterable[Weighed] = (),
) -> float:
    """Pounds to plan a cord on: by a scale where this wood was on one, else by the published figures.

    The lot's own newest ticket counts first (wood that dries gets no heavier, so it stays an upper end for
    a lot read dry since); else the heaviest of the newest tickets of the same mix in the same state, green or
    not. Both with the scale's margin.
    """
    by_figures = plan_weight_lb(mix, moisture_pct)
    is_green = moisture_pct > FIBER_SATURATION_PCT
    seen = sorted(weighed, key=lambda ticket: ticket.on, reverse=True)
    own = next((ticket for ticket in seen if ticket.lot_id == lot_id), None)
    if own is not None:
        by_scale = own.lb_per_cord * SCALE_MARGIN
        return by_scale if is_green or not own.is_green else min(by_figures, by_scale)
    alike = [ticket for ticket in seen if ticket.mix == mix and ticket.is_green == is_green][:TAUGHT_BY]
    if not alike:
        return by_figures
    return max(ticket.lb_per_cord for ticket in alike) * SCALE_MARGIN

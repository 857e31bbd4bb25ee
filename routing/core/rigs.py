"""The rig: pickup with or without a trailer, what its box holds and what it may weigh.

Which load goes where is the planner's; how the wood lies in the box is `box`; what a cord weighs is
`inventory.core.species.plan_weight_lb`.
Limits are rounded down to a thousandth of a cord: a limit is never rounded up.
"""

import tomllib
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from importlib.resources import files
from math import floor
from typing import Any

from inventory.core.gaps import pounds
from inventory.core.local_measures import measure_words
from inventory.core.measure import form_figure
from inventory.core.sentences import FramedRefusal, Sentence
from routing.core import RoutingError

ROUNDING_SLACK = 1e-9
HITCH_MINUTES = 15  # from one trailer to the other (common practice)


class BadRig(FramedRefusal, RoutingError):
    """A rig whose figures contradict each other."""

    frame = "The rig {rig} {problem}. Mend its figures on the rig page."
    of = ("rig", "problem")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rig:
    """A pickup and what it pulls: the one list of its columns that forms, rows and rules share.

    Units
        payload_lb: wood the box may carry. home_yard_id: the yard it is kept at; driver_id, helper_id: who
        usually takes it out.
        lb; feet; miles per hour; heap_number: loose ft3 per cord as this rig carries it.
        truck_lb: with driver and tools aboard.
        box_heap_ft: height of the heaped crown above the rails at its middle.
        bed_ft3: room for bundles beside the trailer; 0 = none ride.
        bed_payload_lb, hitch_tongue_lb, hitch_tow_lb, combined_rating_lb, trailer_axle_lb, trailer_tires_lb
        (all axles, all tires together): 0 where not written down.
        hitch_to_axle_ft, hitch_to_box_ft: from the ball to the middle of the axles, and to the front wall.
        straps, strap_lb: how many ride along, and what each is rated to hold; 0 where not written down.
    """

    name: str
    payload_lb: int
    truck_lb: int
    truck_gross_lb: int
    box_length_ft: Decimal
    box_width_ft: Decimal
    box_side_ft: Decimal
    box_heap_ft: Decimal = Decimal(0)
    heap_number: Decimal = Decimal(round(form_figure("splits").value))
    has_trailer: bool = True
    is_small: bool = False
    trailer_empty_lb: int = 0
    trailer_gross_lb: int = 0
    bed_payload_lb: int = 0
    bed_ft3: int = 0
    hitch_tongue_lb: int = 0
    hitch_tow_lb: int = 0
    combined_rating_lb: int = 0
    trailer_axle_lb: int = 0
    trailer_tires_lb: int = 0
    hitch_to_axle_ft: Decimal = Decimal(0)
    hitch_to_box_ft: Decimal = Decimal(0)
    straps: int = 0
    strap_lb: int = 0
    length_ft: Decimal = Decimal(38)
    height_ft: Decimal = Decimal("7.5")
    top_speed_mph: Decimal = Decimal(55)
    home_yard_id: int | None = None
    driver_id: int | None = None
    helper_id: int | None = None

    def __post_init__(self) -> None:
        if min(self.box_length_ft, self.box_width_ft, self.box_side_ft) <= 0 or self.box_heap_ft < 0:
            raise BadRig(self.name, "has a box without length, width or sides")
        if self.heap_number <= 0:
            raise BadRig(self.name, "has a heap number of {number}; use about 190", number=self.heap_number)
        if self.payload_lb <= 0:
            raise BadRig(self.name, "may carry no weight at all")
        if self.has_trailer and self.payload_lb > self.trailer_gross_lb - self.trailer_empty_lb:
            raise BadRig(
                self.name,
                "is said to carry {carried}, yet its trailer leaves {left} (gross less empty)",
                carried=pounds(self.payload_lb),
                left=pounds(self.trailer_gross_lb - self.trailer_empty_lb),
            )

    @property
    def box_ft3(self) -> Fraction:
        """Loose wood in the box, heaped as usual: L x W x side + half of L x W x heap."""
        floor_ft2 = Fraction(self.box_length_ft) * Fraction(self.box_width_ft)
        return floor_ft2 * (Fraction(self.box_side_ft) + Fraction(self.box_heap_ft) / 2)

    @property
    def box_cords(self) -> Fraction:
        """Cords the box holds at its heap number."""
        return self.box_ft3 / Fraction(self.heap_number)

    @property
    def bundle_room_ft3(self) -> int:
        """Room for bundles in the pickup's bed beside the trailer."""
        return self.bed_ft3 if self.has_trailer else 0

    @property
    def empty_lb(self) -> int:
        """The whole rig without wood, driver aboard."""
        return self.truck_lb + (self.trailer_empty_lb if self.has_trailer else 0)

    @property
    def combined_gross_lb(self) -> int:
        """What truck and trailer are rated for together."""
        return self.truck_gross_lb + (self.trailer_gross_lb if self.has_trailer else 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadWeight:
    """What a load weighs on the rig, planned on the heavy side.

    Units
        lb. bed_room_lb: what the pickup bed may still take beside driver, tools and tongue.
    """

    wood_lb: float
    payload_lb: int
    tongue_lb: float
    bed_room_lb: float
    whole_rig_lb: float

    @property
    def fits(self) -> bool:
        """Whether the wood stays within the payload."""
        return self.wood_lb <= self.payload_lb + ROUNDING_SLACK

    @property
    def room_lb(self) -> float:
        """Payload left; below zero when overloaded."""
        return self.payload_lb - self.wood_lb


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodLimit:
    """The most wood one rating allows, lb; below zero where the empty rig is over it already."""

    rating: str
    wood_lb: int


def wood_limits(rig: Rig) -> tuple[WoodLimit, ...]:
    """What every rating of the rig allows of wood in its box, the tightest first.

    The tongue is taken at its heavy end (rigs.toml): a load that lies forward puts that much on the hitch,
    and through it on bed and pickup. Ratings not written down limit nothing.
    """
    if not rig.has_trailer:
        limits = [WoodLimit(rating="the pickup's gross rating", wood_lb=rig.truck_gross_lb - rig.truck_lb)]
        if rig.bed_payload_lb:
            limits.append(WoodLimit(rating="the pickup's bed", wood_lb=rig.bed_payload_lb))
        return tuple(sorted(limits, key=lambda limit: limit.wood_lb))
    figures = rig_figures()
    tongue = figures["tongue_heavy"]
    trailers = {
        "the trailer's gross rating": float(rig.trailer_gross_lb),
        "the pickup's gross rating, with the tongue on it": (rig.truck_gross_lb - rig.truck_lb) / tongue,
    }
    if rig.bed_payload_lb:
        room = rig.bed_payload_lb - figures["driver"] - figures["tools"]
        trailers["the pickup's payload, with the tongue on it"] = room / tongue
    if rig.hitch_tongue_lb:
        trailers["the hitch's tongue rating"] = rig.hitch_tongue_lb / tongue
    if rig.hitch_tow_lb:
        trailers["the hitch's towing rating"] = float(rig.hitch_tow_lb)
    if rig.combined_rating_lb:
        trailers["the rating of pickup and trailer together"] = float(rig.combined_rating_lb - rig.truck_lb)
    on_wheels = 1 - figures["tongue_light"]  # what the hitch does not bear, at its light end
    if rig.trailer_axle_lb:
        trailers["the rating of the trailer's axles"] = rig.trailer_axle_lb / on_wheels
    if rig.trailer_tires_lb:
        trailers["the rating of the trailer's tires"] = rig.trailer_tires_lb / on_wheels
    limits = [
        WoodLimit(rating=rating, wood_lb=floor(whole_lb + ROUNDING_SLACK) - rig.trailer_empty_lb)
        for rating, whole_lb in trailers.items()
    ]
    return tuple(sorted(limits, key=lambda limit: limit.wood_lb))


def rig_as_typed(**typed: Any) -> Rig:
    """A rig from the columns somebody typed; the wood it may carry is worked out from its ratings.

    Errors
        BadRig: figures that contradict each other.
    """
    box = typed["trailer_gross_lb"] - typed["trailer_empty_lb"]
    return with_safe_payload(
        Rig(payload_lb=box if typed["has_trailer"] else typed["bed_payload_lb"], **typed)
    )


def with_safe_payload(rig: Rig) -> Rig:
    """The rig allowed no more wood than its tightest rating.

    Errors
        BadRig: a rating leaves no room for any wood.
    """
    tightest = wood_limits(rig)[0]
    if tightest.wood_lb <= 0:
        raise BadRig(
            rig.name, "may carry no wood: {rating} is used up without any", rating=Sentence(tightest.rating)
        )
    return replace(rig, payload_lb=min(rig.payload_lb, tightest.wood_lb))


def weigh(rig: Rig, *, wood_lb: float, bed_wood_lb: float = 0.0) -> LoadWeight:
    """The load's weight on box, hitch, bed and road.

    Units
        wood_lb: planned, in the box; bed_wood_lb: planned, in the pickup bed of a rig with a trailer.
    """
    figures = rig_figures()
    aboard = figures["driver"] + figures["tools"]
    trailer = rig.trailer_empty_lb + wood_lb if rig.has_trailer else 0.0
    tongue = figures["tongue_share"] * trailer
    bed_room = (
        rig.bed_payload_lb - aboard - tongue - bed_wood_lb if rig.has_trailer else rig.payload_lb - wood_lb
    )
    return LoadWeight(
        wood_lb=wood_lb,
        payload_lb=rig.payload_lb,
        tongue_lb=tongue,
        bed_room_lb=bed_room,
        whole_rig_lb=rig.empty_lb + wood_lb + bed_wood_lb,
    )


def is_heavy_combination(rig: Rig) -> bool:
    """Whether truck and trailer are rated where rules for commercial vehicles begin (49 CFR 390.5)."""
    combined = rig.truck_gross_lb + (rig.trailer_gross_lb if rig.has_trailer else 0)
    return combined >= rig_figures()["combination_caution"]


def rig_cautions(rig: Rig) -> tuple[str, ...]:
    """Figures of the rig that contradict each other, in plain sentences."""
    cautions = []
    tightest = wood_limits(rig)[0]
    if tightest.wood_lb < rig.payload_lb:
        cautions.append(
            f"It may carry {measure_words(max(tightest.wood_lb, 0), 'lb')} of wood by {tightest.rating}, not "
            f"{measure_words(rig.payload_lb, 'lb')}: check the figures and save."
        )
    if rig.truck_lb > rig.truck_gross_lb:
        cautions.append(
            f"The truck weighs {measure_words(rig.truck_lb, 'lb')} before any wood "
            f"and is rated {measure_words(rig.truck_gross_lb, 'lb')}: weigh it again."
        )
    return tuple(cautions)


@cache
def rig_figures() -> dict[str, float]:
    """The figures of rigs.toml, by name."""
    table = tomllib.loads(files("routing.core").joinpath("rigs.toml").read_text("utf-8"))
    return {name: float(entry["value"]) for name, entry in table.items()}

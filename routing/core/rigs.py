"""The rig: pickup with or without a trailer, what its box holds and what it may weigh.

Which load goes where is the planner's; how the wood lies in the box is `filling`; what a cord weighs is
`inventory.core.species.plan_weight_lb`.
Limits are rounded down to a thousandth of a cord: a limit is never rounded up.
"""

import tomllib
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from importlib.resources import files
from math import floor

from routing.core import RoutingError

LIMIT_STEPS = 1000
ROUNDING_SLACK = 1e-9


class BadRig(RoutingError):
    """A rig whose figures contradict each other."""

    def __init__(self, *, rig: str, trouble: str) -> None:
        self.rig = rig
        self.trouble = trouble
        super().__init__(f"The rig {rig} {trouble}. Mend its figures on the rig page.")


class WeightlessWood(RoutingError):
    """A cord that weighs nothing cannot set a limit."""

    def __init__(self, *, lb_per_cord: float) -> None:
        self.lb_per_cord = lb_per_cord
        super().__init__(
            f"A cord of this wood cannot weigh {lb_per_cord:g} lb: enter its species and moisture on the lot."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Rig:
    """A pickup and what it pulls.

    Units
        lb; feet; heap_number: loose ft3 per cord as this rig carries it.
        truck_lb: with driver and tools aboard. payload_lb: wood the box may carry.
        box_heap_ft: height of the heaped crown above the rails at its middle.
    """

    name: str
    truck_lb: int
    truck_gross_lb: int
    payload_lb: int
    box_length_ft: Decimal
    box_width_ft: Decimal
    box_side_ft: Decimal
    box_heap_ft: Decimal = Decimal(0)
    heap_number: Decimal = Decimal(180)
    has_trailer: bool = True
    is_small: bool = False
    trailer_empty_lb: int = 0
    trailer_gross_lb: int = 0
    bed_payload_lb: int = 0

    def __post_init__(self) -> None:
        if min(self.box_length_ft, self.box_width_ft, self.box_side_ft) <= 0 or self.box_heap_ft < 0:
            raise BadRig(rig=self.name, trouble="has a box without length, width or sides")
        if self.heap_number <= 0:
            raise BadRig(rig=self.name, trouble=f"has a heap number of {self.heap_number}; use about 180")
        if self.payload_lb <= 0:
            raise BadRig(rig=self.name, trouble="may carry no weight at all")
        if self.has_trailer and self.payload_lb > self.trailer_gross_lb - self.trailer_empty_lb:
            raise BadRig(
                rig=self.name,
                trouble=(
                    f"is said to carry {self.payload_lb:,} lb, yet its trailer leaves "
                    f"{self.trailer_gross_lb - self.trailer_empty_lb:,} lb (gross less empty)"
                ),
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
    def empty_lb(self) -> int:
        """The whole rig without wood, driver aboard."""
        return self.truck_lb + (self.trailer_empty_lb if self.has_trailer else 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class MostCords:
    """The most a rig may take of a mix, and which limit says so: "box" or "weight"."""

    by_box: Fraction
    by_weight: Fraction

    @property
    def cords(self) -> Fraction:
        """The smaller of the two limits."""
        return min(self.by_box, self.by_weight)

    @property
    def limit(self) -> str:
        """Which of the two is met first."""
        return "weight" if self.by_weight < self.by_box else "box"


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadWeight:
    """What a load weighs on the rig, planned on the heavy side.

    Units
        lb. bed_room_lb: what the pickup bed may still take beside driver, tools and tongue.
    """

    wood_lb: float
    payload_lb: int
    trailer_lb: float
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


def most_cords(rig: Rig, *, lb_per_cord: float) -> MostCords:
    """The most cords the rig may take, by its box and by its payload.

    Units
        lb_per_cord: planned weight, from `inventory.core.species.plan_weight_lb`.
    """
    return MostCords(by_box=_down(float(rig.box_cords)), by_weight=cords_within(rig.payload_lb, lb_per_cord))


def cords_within(room_lb: float, lb_per_cord: float) -> Fraction:
    """Cords that weigh no more than the room, rounded down to a thousandth; zero when there is none.

    Errors
        WeightlessWood: a cord that weighs nothing.
    """
    if lb_per_cord <= 0:
        raise WeightlessWood(lb_per_cord=lb_per_cord)
    return _down(max(0.0, room_lb) / lb_per_cord)


def weigh(
    rig: Rig, *, wood_lb: float, bed_wood_lb: float = 0.0, aboard_lb: float | None = None
) -> LoadWeight:
    """The load's weight on box, hitch, bed and road.

    Units
        wood_lb: planned, in the box; bed_wood_lb: planned, in the pickup bed of a rig with a trailer;
        aboard_lb: driver and tools (default from rigs.toml).
    """
    figures = _figures()
    aboard = figures["driver"] + figures["tools"] if aboard_lb is None else aboard_lb
    trailer = rig.trailer_empty_lb + wood_lb if rig.has_trailer else 0.0
    tongue = figures["tongue_share"] * trailer
    bed_room = (
        rig.bed_payload_lb - aboard - tongue - bed_wood_lb if rig.has_trailer else rig.payload_lb - wood_lb
    )
    return LoadWeight(
        wood_lb=wood_lb,
        payload_lb=rig.payload_lb,
        trailer_lb=trailer,
        tongue_lb=tongue,
        bed_room_lb=bed_room,
        whole_rig_lb=rig.empty_lb + wood_lb + bed_wood_lb,
    )


def most_cords_over(rig: Rig, *, limit_lb: int, lb_per_cord: float) -> Fraction:
    """Cords the rig may carry over a bridge posted for whole rigs; zero when it may not cross even empty."""
    return cords_within(limit_lb - rig.empty_lb, lb_per_cord)


def rig_cautions(rig: Rig) -> tuple[str, ...]:
    """What a seller should know of the rig itself, in plain sentences; a caution, never advice."""
    combined = rig.truck_gross_lb + (rig.trailer_gross_lb if rig.has_trailer else 0)
    said = []
    if combined >= _figures()["combination_caution"]:
        said.append(
            f"Truck and trailer are rated {combined:,} lb together: "
            "from 10,001 lb, crossing a state line may need more papers."
        )
    if rig.truck_lb > rig.truck_gross_lb:
        said.append(
            f"The truck weighs {rig.truck_lb:,} lb before any wood "
            f"and is rated {rig.truck_gross_lb:,} lb: weigh it again."
        )
    return tuple(said)


def _down(cords: float) -> Fraction:
    return Fraction(floor(cords * LIMIT_STEPS + ROUNDING_SLACK), LIMIT_STEPS)


@cache
def _figures() -> dict[str, float]:
    table = tomllib.loads(files("routing.core").joinpath("rigs.toml").read_text("utf-8"))
    return {name: float(entry["value"]) for name, entry in table.items()}

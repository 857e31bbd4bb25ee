"""How dry a heap likely is without a meter: its cut ends, its sound, and one marked piece on a scale.

Percent dry basis throughout. None of it may call wood dry: for that fresh faces are read (`dry_call`).
"""

from dataclasses import dataclass
from math import hypot

from inventory.core import InventoryError
from inventory.core.bands import Band
from inventory.core.gaps import Measured
from inventory.core.sentences import Sentence
from inventory.drying.parameters import figure

ENDS = {
    "ends_whole": "no cracks",
    "ends_fine": "fine cracks at the rim",
    "ends_middle": "cracks from the middle",
}
SOUND = {"thuds": "a thud", "dull": "between the two", "rings": "a clear ring"}
WEIGHED = "weighed"
LEAST_PCT, MOST_PCT = 5.0, 250.0  # wood out of doors holds no less, and hardly a wood more


class BadSign(InventoryError):
    """A sign of dryness that can't be used."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Likely(Band[float]):
    """A moisture as a range: 8 of 10 such heaps lie within low and high."""

    @property
    def words(self) -> Sentence:
        """ "31% on the pin, likely 26 to 36"."""
        gaps = {name: f"{getattr(self, name):.0f}" for name in ("likely", "low", "high")}
        return Sentence("{likely}% on the pin, likely {low} to {high}", gaps)


def seen(sign: str) -> Likely:
    """What the wood likely holds where a sign of ENDS or SOUND is seen.

    >>> str(seen("rings").words)
    '22% on the pin, likely 14 to 32'
    """
    known = figure(f"sign.{sign}")
    return Likely(low=known.low, likely=known.value, high=known.high)


def weighed(now_lb: float, then_lb: float, *, then: Likely) -> Likely:
    """What the heap holds now, from one piece weighed twice and what it held the first time.

    The oven-dry wood in the piece stays the same, so what is lost is water. The error is of the first
    moisture, of both weighings, and of one piece standing for its heap.

    Errors
        BadSign: no weight, or a piece that would be lighter than its own dry wood.

    >>> str(weighed(8.0, 10.0, then=Likely(low=55, likely=60, high=65)).words)
    '28% on the pin, likely 22 to 35'
    """
    if now_lb <= 0 or then_lb <= 0:
        raise BadSign("Write what the piece weighs, more than 0.", field="now_lb")
    left = now_lb / then_lb
    likely = (100 + then.likely) * left - 100
    if likely < LEAST_PCT:
        raise BadSign(
            "At {now} of {then} the piece would be lighter than its own dry wood. "
            "Check both weights, the day, and that it is the same piece.",
            field="now_lb",
            now=Measured(now_lb, "lb", 1),
            then=Measured(then_lb, "lb", 1),
        )
    if likely > MOST_PCT:
        raise BadSign(
            "At {now} of {then} the piece would hold more water than wood can. "
            "Check both weights, and that it is the same piece.",
            field="now_lb",
            now=Measured(now_lb, "lb", 1),
            then=Measured(then_lb, "lb", 1),
        )
    scale = (figure("sign.scale").high - 1) * (100 + likely) * 2**0.5
    others = hypot(scale, figure("sign.one_piece").value)
    return Likely(
        low=max(likely - hypot((then.likely - then.low) * left, others), LEAST_PCT),
        likely=likely,
        high=likely + hypot((then.high - then.likely) * left, others),
    )

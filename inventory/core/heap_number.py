"""The heap number: loose ft3 of a rig's load that restack to one cord, learned from few restacks.

Each restack's own number is normal around the rig's true one, which is normal around the form's figure.
The estimate is their precision-weighted mean: one odd restack moves it, but does not rule it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import sqrt

from inventory.core import InventoryError
from inventory.core.figures import Figure
from inventory.core.measure import CORD_FT3, form_figure

NORMAL_80 = 1.2816  # two-sided 80 percent point of the normal distribution
RESTACK_SPREAD = 8.0  # ft3 per cord from load to load of one rig, loading and stacking together (from memory)


class BadRestack(InventoryError):
    """A restack that can't be."""

    def __init__(self, trouble: str) -> None:
        super().__init__(f"This restack can't be used: {trouble}")


@dataclass(frozen=True, slots=True, kw_only=True)
class RestackSeen:
    """A loose load and the stack it made, ft3."""

    on: date
    loose_ft3: float
    stacked_ft3: float

    @property
    def number(self) -> float:
        """This load's own heap number."""
        return own_number(self.loose_ft3, self.stacked_ft3)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeapNumber:
    """The estimate with its 80 percent band, after so many restacks.

    Units
        loose ft3 per stacked cord.
    """

    mean: float
    low: float
    high: float
    restacks: int

    def as_figure(self) -> Figure:
        """For measuring with it."""
        source = (
            "the form's published figure"
            if not self.restacks
            else f"{self.restacks} {'restack' if self.restacks == 1 else 'restacks'} of this rig"
        )
        return Figure(
            value=self.mean,
            low=self.low,
            high=self.high,
            unit="loose ft3 per stacked cord",
            source=source,
        )


def own_number(loose_ft3: float, stacked_ft3: float) -> float:
    """Loose ft3 per cord of one load: 180 loose that stack to 117.333 give 196.4."""
    if loose_ft3 <= 0 or stacked_ft3 <= 0:
        raise BadRestack("loose and stacked ft3 must both be above 0.")
    number = loose_ft3 * CORD_FT3 / stacked_ft3
    if not 128 <= number <= 300:
        raise BadRestack(f"it would mean {number:.0f} loose ft3 to a cord; measure the stack again.")
    return number


def learned(restacks: Sequence[RestackSeen], *, form: str) -> HeapNumber:
    """The rig's heap number for a form from its restacks so far; the form's own figure when there are none.

    Source
        Conjugate normal mean with known spread; prior spread from the form's range read as an 80 % band.
    """
    prior = form_figure(form)
    prior_spread = max((prior.high - prior.low) / (2 * NORMAL_80), 1e-6)
    precision = 1 / prior_spread**2
    weighted = prior.value * precision
    for seen in restacks:
        precision += 1 / RESTACK_SPREAD**2
        weighted += seen.number / RESTACK_SPREAD**2
    mean, spread = weighted / precision, sqrt(1 / precision)
    return HeapNumber(
        mean=mean,
        low=mean - NORMAL_80 * spread,
        high=mean + NORMAL_80 * spread,
        restacks=len(restacks),
    )


def history(restacks: Sequence[RestackSeen], *, form: str) -> tuple[tuple[RestackSeen, HeapNumber], ...]:
    """After each restack, what the number had become."""
    ordered = sorted(restacks, key=lambda seen: seen.on)
    return tuple((seen, learned(ordered[: place + 1], form=form)) for place, seen in enumerate(ordered))

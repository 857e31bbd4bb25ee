"""The heap number: loose ft3 of a rig's load that restack to one cord, learned from few restacks.

Each restack's own number is normal around the rig's true one with a spread nobody knows; the rig's true
one is normal around the form's figure. Both are learned: one odd restack moves the number, and widens what
is claimed of it, but does not rule it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from inventory.core import InventoryError
from inventory.core.figures import NORMAL_80, Figure, rule
from inventory.core.measure import form_figure
from inventory.core.sentences import FramedRefusal
from inventory.core.units import CORD_FT3

TIGHTEST, LOOSEST = CORD_FT3, 300  # loose ft3 per cord outside which a restack was measured wrong
SPREADS = 80  # grid points of the unknown spread
SPREAD_REACH = 8.0  # the grid runs from an eighth of the usual spread to eight times it
REACH = 6.0  # how many spreads either way the estimate's own grid runs
PLACES = 2001


class BadRestack(FramedRefusal, InventoryError):
    """A restack that can't be."""

    frame = "This restack can't be used: {problem}"


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
    """The estimate with two 80 percent bands: of the rig's number, and of any one load to come.

    Units
        loose ft3 per stacked cord.
    """

    mean: float
    low: float
    high: float
    load_low: float
    load_high: float
    restacks: int

    def stacked(self, cords: float | Fraction) -> tuple[float, float]:
        """Cords that one load of so many, by the rig's number, stacks to in 8 of 10 loads."""
        return float(cords) * self.mean / self.load_high, float(cords) * self.mean / self.load_low

    def as_figure(self) -> Figure:
        """For measuring one load with it: the band is a load's, not the rig's average."""
        source = (
            "the form's published figure"
            if not self.restacks
            else f"{self.restacks} {'restack' if self.restacks == 1 else 'restacks'} of this rig"
        )
        return Figure(
            value=self.mean,
            low=self.load_low,
            high=self.load_high,
            unit="loose ft3 per stacked cord",
            source=source,
        )


def own_number(loose_ft3: float, stacked_ft3: float) -> float:
    """Loose ft3 per cord of one load: what was loaded over the cords it stacked to.

    Errors
        BadRestack: an amount not above 0, or a number no load of wood has.

    >>> round(own_number(180, 22 * 4 * 16 / 12), 1)
    196.4
    """
    if loose_ft3 <= 0 or stacked_ft3 <= 0:
        raise BadRestack("loose and stacked ft3 must both be above 0.")
    number = loose_ft3 * CORD_FT3 / stacked_ft3
    if not TIGHTEST <= number <= LOOSEST:
        raise BadRestack(
            "it would mean {number:.0f} loose ft3 to a cord; measure the stack again.", number=number
        )
    return number


def learned(restacks: Sequence[RestackSeen], *, form: str) -> HeapNumber:
    """The rig's heap number for a form from its restacks so far; the form's own figure when there are none.

    Source
        Normal mean with a normal prior (the form's range read as an 80 percent band) and unknown spread
        with a scaled inverse chi-square prior (rules.toml), the spread summed over on a grid.
    """
    prior = form_figure(form)
    if not restacks or prior.high == prior.low:
        return HeapNumber(
            mean=prior.value,
            low=prior.low,
            high=prior.high,
            load_low=prior.low,
            load_high=prior.high,
            restacks=len(restacks),
        )
    numbers = np.array([seen.number for seen in restacks])
    prior_spread = (prior.high - prior.low) / (2 * NORMAL_80)
    spreads = rule("restack_spread").value * np.geomspace(1 / SPREAD_REACH, SPREAD_REACH, SPREADS)
    weights = _spread_weights(numbers, spreads, prior.value, prior_spread)
    precisions = 1 / prior_spread**2 + len(numbers) / spreads**2
    means = (prior.value / prior_spread**2 + numbers.sum() / spreads**2) / precisions
    low, high = _band(means, precisions**-0.5, weights)
    load_low, load_high = _band(means, np.sqrt(1 / precisions + spreads**2), weights)
    return HeapNumber(
        mean=float(means @ weights),
        low=low,
        high=high,
        load_low=load_low,
        load_high=load_high,
        restacks=len(numbers),
    )


def history(restacks: Sequence[RestackSeen], *, form: str) -> tuple[tuple[RestackSeen, HeapNumber], ...]:
    """After each restack, what the number had become."""
    ordered = sorted(restacks, key=lambda seen: seen.on)
    return tuple((seen, learned(ordered[: place + 1], form=form)) for place, seen in enumerate(ordered))


def _spread_weights(
    numbers: NDArray[np.float64], spreads: NDArray[np.float64], center: float, prior_spread: float
) -> NDArray[np.float64]:
    """How well each spread explains the numbers, the mean integrated out, times its prior; adds to 1."""
    count = len(numbers)
    belief = rule("restack_prior_weight").value
    usual = rule("restack_spread").value
    within = ((numbers - numbers.mean()) ** 2).sum()
    of_mean = prior_spread**2 + spreads**2 / count
    logs = (
        -belief * np.log(spreads)  # the prior's power is one less on a grid even in logarithms
        - belief * usual**2 / (2 * spreads**2)
        - (count - 1) * np.log(spreads)
        - within / (2 * spreads**2)
        - 0.5 * np.log(of_mean)
        - (numbers.mean() - center) ** 2 / (2 * of_mean)
    )
    weights: NDArray[np.float64] = np.exp(logs - logs.max())
    return weights / weights.sum()


def _band(
    means: NDArray[np.float64], spreads: NDArray[np.float64], weights: NDArray[np.float64]
) -> tuple[float, float]:
    """10 and 90 percent points of a mixture of normals."""
    center = float(means @ weights)
    reach = REACH * float(spreads.max())
    places = np.linspace(center - reach, center + reach, PLACES)
    density = np.exp(-0.5 * ((places[:, None] - means) / spreads) ** 2) / spreads @ weights
    share = np.cumsum(density) / density.sum()
    return float(places[np.searchsorted(share, 0.1)]), float(places[np.searchsorted(share, 0.9)])

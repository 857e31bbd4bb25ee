"""Water in wood: the two bases, and the moisture that wood takes on from the air.

Percent dry basis (water over oven-dry wood) everywhere unless a name says wet. How fast wood gets
there is `drying`.
"""

import numpy as np
from numpy.typing import NDArray

from inventory.core import InventoryError
from inventory.core.figures import rule
from inventory.core.sentences import Sentence, as_sentence

READY_DRY_PCT = 25.0  # the same on a pin meter's dry basis
FIBER_SATURATION_PCT = rule("fiber_saturation").value


class ImpossibleMoisture(InventoryError):
    """A moisture, temperature or humidity that cannot be."""

    says = "{value} cannot be {what}: it lies between {allowed}."
    in_words = {"what": as_sentence, "allowed": as_sentence}


def wet_from_dry(dry_pct: float) -> float:
    """Percent of the whole weight, from percent of the oven-dry weight.

    >>> wet_from_dry(25)
    20.0
    """
    if dry_pct < 0:
        raise ImpossibleMoisture(what="a moisture on dry basis", value=dry_pct, allowed="0 and 300%")
    return 100.0 * dry_pct / (100.0 + dry_pct)


def dry_from_wet(wet_pct: float) -> float:
    """Percent of the oven-dry weight, from percent of the whole weight.

    >>> dry_from_wet(20)
    25.0
    """
    if not 0 <= wet_pct < 100:
        raise ImpossibleMoisture(what="a moisture on wet basis", value=wet_pct, allowed="0 and 99%")
    return 100.0 * wet_pct / (100.0 - wet_pct)


def on_dry_basis(pct: float, basis: str) -> float:
    """A reading on dry basis, whatever its meter's basis ("dry" or "wet")."""
    if basis not in ("dry", "wet"):
        raise ImpossibleMoisture(
            what=Sentence("a basis named {basis!r}", {"basis": basis}),
            value=pct,
            allowed="the words dry and wet",
        )
    return dry_from_wet(pct) if basis == "wet" else _possible(pct)


def most_water_pct(specific_gravity: float) -> float:
    """The most water a wood can hold, % dry basis: every hollow full.

    Source
        Wood Handbook FPL-GTR-282 eq. 4-3.
    """
    wall = rule("heaviest_possible").value
    if not 0 < specific_gravity < wall:
        raise ImpossibleMoisture(
            what="a specific gravity of wood",
            value=specific_gravity,
            allowed=Sentence("0 and {wall}", {"wall": wall}),
        )
    return 100.0 * (wall - specific_gravity) / (wall * specific_gravity)


def _possible(dry_pct: float) -> float:
    """A dry-basis percent, refused when it cannot be."""
    if not 0 <= dry_pct <= 300:
        raise ImpossibleMoisture(what="a moisture on dry basis", value=dry_pct, allowed="0 and 300%")
    return dry_pct


def equilibrium_pct(temp_f: float, rh_pct: float) -> float:
    """The moisture wood comes to in air of a temperature and relative humidity.

    Units
        temp_f: degrees Fahrenheit; rh_pct: 0 to 100, exclusive of 100; returns % dry basis.

    Source
        Hailwood-Horrobin equation, Wood Handbook FPL-GTR-282 eq. 4-5 (table 4-2 is made from it);
        coefficients as in FPL-RN-0268.

    >>> round(equilibrium_pct(70, 50), 1)
    9.2
    """
    return float(equilibrium_of_air(temp_f, 100.0 * _humidity(rh_pct)))


def equilibrium_of_air[T: (float, NDArray[np.float64])](temp_f: T, rh_pct: T) -> T:
    """The same for whole arrays of air, unchecked; humidity from 0 to below 100."""
    return _hailwood_horrobin(
        rh_pct / 100.0,
        w=330.0 + 0.452 * temp_f + 0.00415 * temp_f**2,
        k=0.791 + 0.000463 * temp_f - 0.000000844 * temp_f**2,
        k1=6.34 + 0.000775 * temp_f - 0.0000935 * temp_f**2,
        k2=1.09 + 0.0284 * temp_f - 0.0000904 * temp_f**2,
    )


def equilibrium_pct_c(temp_c: float, rh_pct: float) -> float:
    """The same from degrees Celsius, with the coefficients printed for Celsius."""
    return _hailwood_horrobin(
        _humidity(rh_pct),
        w=349.0 + 1.29 * temp_c + 0.0135 * temp_c**2,
        k=0.805 + 0.000736 * temp_c - 0.00000273 * temp_c**2,
        k1=6.27 - 0.00938 * temp_c - 0.000303 * temp_c**2,
        k2=1.91 + 0.0407 * temp_c - 0.000293 * temp_c**2,
    )


def air_for(emc_pct: float, temp_f: float = 60.0) -> float:
    """The relative humidity that gives an equilibrium moisture at a temperature; equation 4-5 inverted."""
    low, high = 0.01, 99.9
    for _ in range(60):
        middle = (low + high) / 2
        if equilibrium_pct(temp_f, middle) < emc_pct:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _humidity(rh_pct: float) -> float:
    if not 0 <= rh_pct < 100:
        raise ImpossibleMoisture(what="a relative humidity", value=rh_pct, allowed="0 and 99.9%")
    return rh_pct / 100.0


def _hailwood_horrobin[T: (float, NDArray[np.float64])](share: T, *, w: T, k: T, k1: T, k2: T) -> T:
    kh = k * share
    bound = (k1 * kh + 2.0 * k1 * k2 * kh**2) / (1.0 + k1 * kh + k1 * k2 * kh**2)
    return 1800.0 / w * (kh / (1.0 - kh) + bound)

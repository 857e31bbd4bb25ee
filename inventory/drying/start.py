"""What wood holds when its clock starts: the likely moisture, apart from the heavy one loads are weighed at.

Sapwood is wet and heartwood of many conifers dry, so a thin stem starts wetter than a thick one; and wood
that lay felled before it was split has lost some already.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import exp, hypot, log

from inventory.core.figures import NORMAL_80
from inventory.core.moisture import READY_DRY_PCT, equilibrium_pct_c
from inventory.core.species import species_of
from inventory.drying.parameters import figure
from inventory.drying.weather import HUMIDITY, TEMP, Source, months_of

LEAST_PCT = 8.0  # no wood starts drier than a summer's air leaves it
SUMMER_C = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """The moisture a clock starts at.

    Units
        likely_pct: % dry basis; spread: standard deviation of its logarithm, 0 = known exactly.
    """

    on: date
    likely_pct: float
    spread: float = 0.0

    def range_80(self) -> tuple[float, float]:
        wide = exp(NORMAL_80 * self.spread)
        return self.likely_pct / wide, self.likely_pct * wide


def typed_start(on: date, pct: float) -> Start:
    """What a seller types: a judgment or a meter, never exact."""
    near_dry = max(1.0 - READY_DRY_PCT / max(pct, READY_DRY_PCT), 0.0)
    return Start(on=on, likely_pct=pct, spread=figure("start.typed").value * (1 + near_dry))


def likely_start(
    mix: Mapping[str, float], *, shape: str, size_in: float, on: date, felled_on: date | None, source: Source
) -> Start:
    """What a mix holds when its clock starts, by its woods, their thickness and the days since felling.

    Shapes
        mix: percent by species; shape: "split" or "round"; on: split, or for rounds bucked or felled.

    Source
        green moisture of heartwood and sapwood: Wood Handbook table 4-1 (species.toml); the rest drying.toml.
    """
    stem = max(size_in, figure("start.stem").value) if shape == "split" else size_in
    green = sum(green_moisture_pct(key, stem) * share for key, share in mix.items()) / 100
    if felled_on is not None:
        days, unknown = max((on - felled_on).days, 0), 0.0
    elif shape == "split":
        lay = figure("start.unknown_days")
        days, unknown = round(lay.value), (lay.high - lay.low) / 2 / NORMAL_80 / 2
    else:
        days, unknown = 0, 0.0
    air, summer_days = _days_before_split(source, on, days)
    lasts = figure("start.whole")
    left = exp(-summer_days / lasts.value)
    likely = max(air + (green - air) * left, LEAST_PCT)
    of_rate = log(lasts.high / lasts.low) / 2 / NORMAL_80 * summer_days / lasts.value
    of_days = unknown * (summer_days / days if days else 0) / lasts.value
    return Start(
        on=on, likely_pct=round(likely, 1), spread=hypot(figure("start.spread").value, of_rate, of_days)
    )


def green_moisture_pct(key: str, stem_in: float) -> float:
    """Fresh moisture of a stem of a wood by its share of sapwood, % dry basis."""
    wood = species_of(key)
    heart, sap = wood.green_moisture_pct.low, wood.green_moisture_pct.high
    if wood.group != "softwood":
        return (heart + sap) / 2
    core = max(stem_in - 2 * figure("start.sapwood").value, 0) / stem_in
    return heart * core**2 + sap * (1 - core**2)


def _days_before_split(source: Source, on: date, days: int) -> tuple[float, float]:
    """The air's moisture before the clock starts, and the days felled as days at 68 F."""
    months = months_of(source)
    summer = _power(SUMMER_C)
    total, air = 0.0, 0.0
    for back in range(days):
        month = date.fromordinal(on.toordinal() - back - 1).month - 1
        total += _power(months[month, TEMP]) / summer
    month = on.month - 1
    air = equilibrium_pct_c(float(months[month, TEMP]), min(float(months[month, HUMIDITY]), 98.0))
    return air, total


def _power(temp_c: float) -> float:
    pressure = 10 ** (8.07131 - 1730.63 / (233.426 + float(temp_c)))
    return figure("piece.still").value + figure("piece.per_mmhg").value * pressure

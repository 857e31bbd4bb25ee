"""Kinds of tree and mixes of them: weight at any moisture, heat, and what a million Btu costs.

Figures come from species.toml. Shares of a mix are percents that add up to 100.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache

from inventory.core import InventoryError
from inventory.core.drying import rate_figure
from inventory.core.figures import Figure, rule, table_of
from inventory.core.measure import solid_per_cord
from inventory.core.moisture import FIBER_SATURATION_PCT
from inventory.core.money import dollars

SOLID_FT3_PER_CORD = solid_per_cord().value
WATER_LB_PER_FT3 = rule("water").value
PLANNING_FACTOR = rule("planning_factor").value
BTU_PER_LB = rule("heat").value
BTU_LOST_PER_MOISTURE = rule("heat_lost_to_water").value
STOVE_SHARE = rule("stove").value
WITHIN_PCT = rule("mix_tolerance").value


class UnknownWood(InventoryError):
    """A kind of tree the table does not hold."""

    def __init__(self, *, key: str) -> None:
        self.key = key
        super().__init__(f"There are no figures for {key!r}: pick a wood from the list.")


class BadMix(InventoryError):
    """Percents of a mix that do not add up."""

    def __init__(self, trouble: str) -> None:
        super().__init__(f"This mix can't be used: {trouble}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Species:
    """One kind of tree with its figures; see each figure for unit and source."""

    key: str
    name: str
    scientific: str
    group: str
    specific_gravity: Figure
    shrinkage_pct: Figure
    green_moisture_pct: Figure
    heating_value: Figure
    drying_per_day: Figure

    @property
    def oven_dry_lb(self) -> float:
        """Planning weight of a cord's oven-dry wood, to the nearest 100 lb: Gb x 62.4 x 85."""
        return round(self.specific_gravity.value * WATER_LB_PER_FT3 * SOLID_FT3_PER_CORD / 100) * 100.0


@cache
def woods() -> Mapping[str, Species]:
    """Every kind of the table, by key, in the table's order."""
    return {key: _read(key) for key in table_of("species.toml")}


def species_of(key: str) -> Species:
    """One kind.

    Errors
        UnknownWood
    """
    try:
        return woods()[key]
    except KeyError:
        raise UnknownWood(key=key) from None


def check_mix(mix: Mapping[str, float | int]) -> dict[str, float]:
    """A mix in percent, checked.

    Errors
        BadMix: no wood, a part not above 0, or parts that do not add to 100.
        UnknownWood
    """
    if not mix:
        raise BadMix("name at least one wood.")
    for key, share in mix.items():
        species_of(key)
        if share <= 0:
            raise BadMix(f"{share} % of {key}: leave it out or give it more than 0 %.")
    total = sum(mix.values())
    if abs(total - 100) > 0.05:
        raise BadMix(f"its parts add up to {total:g} %, not 100 %.")
    return {key: float(share) for key, share in mix.items()}


def same_identity(said: Mapping[str, float], found: Mapping[str, float]) -> bool:
    """Whether a mix may be sold under the percents said: each within 10 points.

    Source
        NIST Handbook 130, method of sale, section 2.4.2.
    """
    return all(abs(said.get(key, 0) - found.get(key, 0)) <= WITHIN_PCT for key in {*said, *found})


def mix_words(mix: Mapping[str, float]) -> str:
    """ "Douglas-fir" or "60 % Douglas-fir, 40 % Oregon white oak"."""
    parts = sorted(mix.items(), key=lambda part: -part[1])
    if len(parts) == 1:
        return spoken(species_of(parts[0][0]))
    return ", ".join(f"{share:g} % {spoken(species_of(key))}" for key, share in parts)


def spoken(species: Species) -> str:
    """A wood's name the way people say it: "Pacific madrone", "Douglas-fir"."""
    name, _, kind = species.name.partition(", ")
    if not kind or name == "Douglas-fir":
        return name
    lowered = name[0].lower() + name[1:]
    return kind[0].upper() + kind[1:] if lowered in kind else f"{kind[0].upper()}{kind[1:]} {lowered}"


def oven_dry_lb(mix: Mapping[str, float]) -> float:
    """Planning weight of the oven-dry wood in a cord of a mix, lb."""
    return sum(species_of(key).oven_dry_lb * share for key, share in mix.items()) / 100


def cord_weight_lb(mix: Mapping[str, float], moisture_pct: float | Mapping[str, float]) -> float:
    """Weight of a stacked cord at a moisture (dry basis), by the rule cords x OD x (1 + m).

    moisture_pct: one for all, or by wood.

    >>> round(cord_weight_lb({"fir": 60, "oak": 40}, {"fir": 45, "oak": 60}))
    4264
    """
    total = 0.0
    for key, share in mix.items():
        moisture = moisture_pct[key] if isinstance(moisture_pct, Mapping) else moisture_pct
        total += species_of(key).oven_dry_lb * share / 100 * (1 + moisture / 100)
    return total


def plan_weight_lb(
    mix: Mapping[str, float], moisture_pct: float | Mapping[str, float], *, cords: Fraction | int = 1
) -> float:
    """What to plan a load on: 1.10 times the weight, since published figures differ by 11 %."""
    return PLANNING_FACTOR * float(cords) * cord_weight_lb(mix, moisture_pct)


def heavy_green_pct(mix: Mapping[str, float]) -> float:
    """The moisture to plan small green wood on: the highest published, since thinnings are mostly sapwood."""
    return sum(species_of(key).green_moisture_pct.high * share for key, share in mix.items()) / 100


def shrinkage_to_pct(species: Species, moisture_pct: float) -> float:
    """Percent of green volume lost on the way down to a moisture (Wood Handbook eq. 4-9)."""
    if moisture_pct >= FIBER_SATURATION_PCT:
        return 0.0
    return species.shrinkage_pct.value * (1 - moisture_pct / FIBER_SATURATION_PCT)


def density_lb_ft3(species: Species, moisture_pct: float) -> float:
    """Weight of a solid cubic foot at a moisture (Wood Handbook eqs. 4-11 and 4-14)."""
    gravity = species.specific_gravity.value / (1 - shrinkage_to_pct(species, moisture_pct) / 100)
    return WATER_LB_PER_FT3 * gravity * (1 + moisture_pct / 100)


def useful_btu(mix: Mapping[str, float], moisture_pct: float, *, stove: float = STOVE_SHARE) -> float:
    """Heat to the room from a cord: OD x (8600 - 1200 m) x stove share, m the moisture as a fraction.

    >>> round(useful_btu({"fir": 100}, 20) / 1e6, 2)
    14.04
    """
    return oven_dry_lb(mix) * (BTU_PER_LB - BTU_LOST_PER_MOISTURE * moisture_pct / 100) * stove


def gross_btu(species: Species, *, solid_ft3: float = SOLID_FT3_PER_CORD) -> float:
    """Gross heat of a cord's oven-dry wood, at 85 ft3 solid unless told."""
    return _dry_lb(species, solid_ft3) * species.heating_value.value


def net_btu(species: Species, moisture_pct: float, *, solid_ft3: float = SOLID_FT3_PER_CORD) -> float:
    """Heat of a cord after the latent heat of its own water and of the water its hydrogen burns to.

    Source
        OD x [HHV - 1050 (9 H + m)], standard thermodynamics; method as in FPL-GTR-29 (from memory).
    """
    burned_to_water = rule("water_per_hydrogen").value * rule("hydrogen").value
    lost = rule("latent_heat").value * (burned_to_water + moisture_pct / 100)
    return _dry_lb(species, solid_ft3) * (species.heating_value.value - lost)


def cord_weight_by_density(
    species: Species, moisture_pct: float, *, solid_ft3: float = SOLID_FT3_PER_CORD
) -> float:
    """Weight of a cord stacked at that moisture, by the Wood Handbook's density equations, lb.

    Heavier than `cord_weight_lb` below fiber saturation: shrunken wood of the same stacked size weighs more.
    """
    return solid_ft3 * density_lb_ft3(species, moisture_pct)


def _dry_lb(species: Species, solid_ft3: float) -> float:
    return species.specific_gravity.value * WATER_LB_PER_FT3 * solid_ft3


def dollars_per_million_btu(
    mix: Mapping[str, float], moisture_pct: float, price: Decimal, *, stove: float = STOVE_SHARE
) -> Decimal:
    """What a million Btu in the room costs at a price for a cord."""
    heat = Fraction(useful_btu(mix, moisture_pct, stove=stove)).limit_denominator(1000)
    return dollars(Fraction(price) * 1_000_000 / heat)


def cords_for_one(better: Mapping[str, float], plainer: Mapping[str, float], moisture_pct: float) -> float:
    """Cords of the second wood with as much useful heat as one of the first."""
    return useful_btu(better, moisture_pct) / useful_btu(plainer, moisture_pct)


def drying_rate(mix: Mapping[str, float]) -> Figure:
    """The rate of the slowest wood in the mix: a mix is dry when its slowest part is."""
    return min((species_of(key).drying_per_day for key in mix), key=lambda figure: figure.value)


def _read(key: str) -> Species:
    table = table_of("species.toml")[key]
    gravity = Figure.read(table["specific_gravity"], f"{key}.specific_gravity")
    shrinkage = table.get("shrinkage_pct") or {
        "value": round(rule("shrinkage_by_gravity").value * gravity.value, 1),
        "unit": "% of green volume, green to oven-dry",
        "source": "26.5 Gb, Wood Handbook FPL-GTR-282 eq. 4-12",
    }
    heating = table.get("heating_value") or {
        "value": BTU_PER_LB,
        "low": rule("heat").low,
        "high": rule("heat").high,
        "unit": rule("heat").unit,
        "source": rule("heat").source,
    }
    own_rate = table.get("drying_per_day")
    return Species(
        key=key,
        name=table["name"],
        scientific=table["scientific"],
        group=table["group"],
        specific_gravity=gravity,
        shrinkage_pct=Figure.read(shrinkage, f"{key}.shrinkage_pct"),
        green_moisture_pct=Figure.read(table["green_moisture_pct"], f"{key}.green_moisture_pct"),
        heating_value=Figure.read(heating, f"{key}.heating_value"),
        drying_per_day=rate_figure(
            Figure.read(own_rate, f"{key}.drying_per_day") if own_rate else None,
            specific_gravity=gravity.value,
        ),
    )

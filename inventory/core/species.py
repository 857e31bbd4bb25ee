"""Kinds of tree and mixes of them: weight at any moisture, heat, and what a million Btu costs.

Published figures come from species.toml; a seller's own woods and corrections stand before them, read from
wherever `read_own_woods` was told. Shares of a mix are percents that add up to 100.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any

from inventory.core import InventoryError
from inventory.core.figures import Figure, range_of, rule, table_of
from inventory.core.gaps import Joined, joined
from inventory.core.measure import solid_per_cord
from inventory.core.moisture import FIBER_SATURATION_PCT
from inventory.core.money import dollars
from inventory.core.sentences import FramedRefusal, Sentence

SOLID_FT3_PER_CORD = solid_per_cord().value
WATER_LB_PER_FT3 = rule("water").value
PLANNING_FACTOR = rule("planning_factor").value
BTU_PER_LB = rule("heat").value
BTU_LOST_PER_MOISTURE = rule("heat_lost_to_water").value
STOVE_SHARE = rule("stove").value


class UnknownWood(InventoryError):
    """A kind of tree the table does not hold."""

    says = "There are no figures for {key!r}: pick a wood from the list."


class BadMix(FramedRefusal, InventoryError):
    """Percents of a mix that do not add up."""

    frame = "This mix can't be used: {problem}"


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

    @property
    def oven_dry_lb(self) -> float:
        """Planning weight of a cord's oven-dry wood, to the nearest 100 lb: Gb x 62.4 x 85."""
        return round(self.specific_gravity.value * WATER_LB_PER_FT3 * SOLID_FT3_PER_CORD / 100) * 100.0


_own: list[Callable[[], Mapping[str, Species]]] = []  # where a seller's own woods are read, once it is known


def read_own_woods(source: Callable[[], Mapping[str, Species]] | None) -> None:
    """Say where a seller's own woods and corrections are kept; None leaves the published figures alone."""
    _own[:] = [source] if source else []


@cache
def published_woods() -> Mapping[str, Species]:
    """Every kind of the table, by key, in the table's order."""
    return {key: species_from(key, table) for key, table in table_of("species.toml").items()}


def woods() -> Mapping[str, Species]:
    """Every kind there are figures for: the published ones, with the seller's own put over them."""
    return {**published_woods(), **_own_woods()}


def species_of(key: str) -> Species:
    """One kind.

    Errors
        UnknownWood
    """
    found = _own_woods().get(key) or published_woods().get(key)
    if found is None:
        raise UnknownWood(key=key)
    return found


def _own_woods() -> Mapping[str, Species]:
    return _own[0]() if _own else {}


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
            raise BadMix("{share}% of {key}: leave it out or give it more than 0%.", share=share, key=key)
    total = sum(mix.values())
    if abs(total - 100) > 0.05:
        raise BadMix("its parts add up to {total:g}%, not 100%.", total=total)
    return {key: float(share) for key, share in mix.items()}


def mix_words(mix: Mapping[str, float]) -> Joined:
    """ "Douglas-fir" or "60 % Douglas-fir, 40 % Oregon white oak"."""
    parts = [
        (share, Sentence(spoken(species_of(key))))
        for key, share in sorted(mix.items(), key=lambda part: -part[1])
    ]
    if len(parts) == 1:
        return joined((parts[0][1],))
    return joined(Sentence("{share}% {wood}", {"share": f"{share:g}", "wood": wood}) for share, wood in parts)


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


def cord_weight_range_lb(
    mix: Mapping[str, float], moisture_pct: float | Mapping[str, float], *, solid: Figure | None = None
) -> tuple[float, float]:
    """The ends of a cord's weight: no two stands grow alike, and no two stacks hold as much solid wood.

    solid: ft3 of solid wood in the cord, where it is known better than for any cord.

    >>> [round(lb, -1) for lb in cord_weight_range_lb({"fir": 100}, 20)]
    [2330.0, 3170.0]
    """
    solid = solid or solid_per_cord()
    ends = [0.0, 0.0]
    for key, share in mix.items():
        gravity = species_of(key).specific_gravity
        likely = cord_weight_lb({key: share}, moisture_pct)
        for place, end in enumerate(range_of(gravity, solid)):
            ends[place] += likely * end / (gravity.value * solid_per_cord().value)
    return ends[0], ends[1]


def plan_weight_lb(
    mix: Mapping[str, float], moisture_pct: float | Mapping[str, float], *, cords: Fraction | int = 1
) -> float:
    """What to plan a load on: 1.10 times the weight, since published figures differ by 11%.

    That is the upper end of `cord_weight_range_lb` where a wood's gravity is known as well as printed ones
    are; where it is less sure the factor follows that end.
    """
    likely = cord_weight_lb(mix, moisture_pct)
    upper = cord_weight_range_lb(mix, moisture_pct)[1] / likely
    return max(PLANNING_FACTOR, round(upper, 2)) * float(cords) * likely


def heavy_green_pct(mix: Mapping[str, float]) -> float:
    """The moisture to plan small green wood on: the highest published, since thinnings are mostly sapwood."""
    return sum(species_of(key).green_moisture_pct.high * share for key, share in mix.items()) / 100


def shrinkage_to_pct(shrinkage_pct: float, moisture_pct: float) -> float:
    """Percent of green volume lost on the way down to a moisture (Wood Handbook eq. 4-9).

    shrinkage_pct: what is lost all the way down to oven-dry.
    """
    return shrinkage_pct * max(1 - moisture_pct / FIBER_SATURATION_PCT, 0.0)


def density_lb_ft3(specific_gravity: float, shrinkage_pct: float, moisture_pct: float) -> float:
    """Weight of a solid cubic foot (Wood Handbook eqs. 4-11 and 4-14); the gravity is on green volume."""
    shrunken = specific_gravity / (1 - shrinkage_to_pct(shrinkage_pct, moisture_pct) / 100)
    return WATER_LB_PER_FT3 * shrunken * (1 + moisture_pct / 100)


def useful_btu(
    mix: Mapping[str, float],
    moisture_pct: float,
    *,
    stove: float = STOVE_SHARE,
    btu_per_lb: float | None = None,
) -> float:
    """Heat to the room from a cord: OD x (H - 1200 m) x stove share, m the moisture as a fraction.

    btu_per_lb: H of every wood alike, as printed tables often take it; each wood's own unless told.

    >>> round(useful_btu({"fir": 100}, 20) / 1e6, 2)
    14.04
    """
    lost = BTU_LOST_PER_MOISTURE * moisture_pct / 100
    heat = 0.0
    for key, share in mix.items():
        wood = species_of(key)
        heat += wood.oven_dry_lb * share / 100 * ((btu_per_lb or wood.heating_value.value) - lost)
    return heat * stove


def gross_btu(species: Species, *, solid_ft3: float = SOLID_FT3_PER_CORD) -> float:
    """Gross heat of a cord's oven-dry wood, at 85 ft3 solid unless told: what printed tables give."""
    return species.specific_gravity.value * WATER_LB_PER_FT3 * solid_ft3 * species.heating_value.value


def dollars_per_million_btu(
    mix: Mapping[str, float],
    moisture_pct: float,
    price: Decimal,
    *,
    stove: float = STOVE_SHARE,
    btu_per_lb: float | None = None,
) -> Decimal:
    """What a million Btu in the room costs at a price for a cord."""
    useful = useful_btu(mix, moisture_pct, stove=stove, btu_per_lb=btu_per_lb)
    heat = Fraction(useful).limit_denominator(1000)
    return dollars(Fraction(price) * 1_000_000 / heat)


def slowest_wood(mix: Mapping[str, float]) -> Species:
    """The wood of a mix that dries last: a mix is dry when its slowest part is."""
    return max(
        (species_of(key) for key in mix),
        key=lambda wood: (wood.group != "softwood", wood.specific_gravity.value),
    )


def species_from(key: str, table: Mapping[str, Any]) -> Species:
    """A kind from its table of figures: shrinkage and heat may be left out, the rules of the trade stand in.

    Errors
        BadFigure: no unit or source, or a range upside down.
    """
    gravity = _of_any_stand(Figure.read(table["specific_gravity"], f"{key}.specific_gravity"))
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
    return Species(
        key=key,
        name=table["name"],
        scientific=table["scientific"],
        group=table["group"],
        specific_gravity=gravity,
        shrinkage_pct=Figure.read(shrinkage, f"{key}.shrinkage_pct"),
        green_moisture_pct=Figure.read(table["green_moisture_pct"], f"{key}.green_moisture_pct"),
        heating_value=Figure.read(heating, f"{key}.heating_value"),
    )


def _of_any_stand(printed: Figure) -> Figure:
    """A printed gravity with the range that stands of its kind have about it, if it is not wider already."""
    spread = rule("gravity_spread")
    return replace(
        printed,
        low=min(printed.low, round(printed.value * (1 - spread.value / 100), 3)),
        high=max(printed.high, round(printed.value * (1 + spread.value / 100), 3)),
        source=f"{printed.source}; range: {spread.source}",
    )

"""Woods and every figure behind the pages, each with its unit and where it was read."""

from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from inventory.core.climate import cities, climate_of_city
from inventory.core.drying import drying_share, rain_figure
from inventory.core.figures import Figure
from inventory.core.measure import form_figure, form_names, solid_per_cord
from inventory.core.species import (
    STOVE_SHARE,
    Species,
    cord_weight_lb,
    dollars_per_million_btu,
    spoken,
    useful_btu,
    woods,
)

BURNED_AT_PCT = 20.0  # heat and dry weight are compared at 20 % on the pin, well dried (common practice)


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodRow:
    """A kind of tree on the figures page.

    Units
        lb_dry, lb_green: a cord at 20 % on the pin, and green; useful_mbtu: million Btu to the room.
    """

    key: str
    name: str
    scientific: str
    group: str
    oven_dry_lb: float
    lb_dry: float
    lb_green: float
    useful_mbtu: float
    figures: tuple[tuple[str, Figure], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherFigure:
    what: str
    figure: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """One wood against another.

    Units
        cords: of the other with as much heat as one cord of this; dollars: for a million Btu, when a price
        was given; lb: what a cord weighs at its moisture.
    """

    one: str
    other: str
    cords: float
    one_mbtu: float
    other_mbtu: float
    one_lb: float
    other_lb: float
    one_dollars: Decimal | None
    other_dollars: Decimal | None
    worth_as_much: Decimal | None  # what one cord of this is worth at the other's price


@cache
def wood_rows() -> tuple[WoodRow, ...]:
    """Every kind of the table, by name."""
    return tuple(sorted((_row(wood) for wood in woods().values()), key=lambda row: row.name))


def wood_choices() -> tuple[tuple[str, str], ...]:
    """Keys and spoken names, by name."""
    return tuple((row.key, row.name) for row in wood_rows())


def green_moisture(key: str) -> float:
    """What fresh wood of a kind holds: the heavy end, since thinnings are mostly sapwood."""
    return woods()[key].green_moisture_pct.high


@cache
def other_figures() -> tuple[OtherFigure, ...]:
    """Figures that are not of one wood: forms, exposures, rain, solid wood in a cord."""
    found = [
        OtherFigure(what=name[:1].upper() + name[1:], figure=form_figure(key))
        for key, name in form_names().items()
    ]
    found.append(OtherFigure(what="Solid wood in a cord", figure=solid_per_cord()))
    exposures = {
        "sun_row": "Sunny single row",
        "low_heap": "Low loose heap",
        "deep_or_shade": "Deep heap or shade",
        "under_roof": "Under a roof",
    }
    for key, name in exposures.items():
        found.append(OtherFigure(what=name, figure=drying_share(exposure=key, form="splits")))
    for key, name in (("rounds", "Rounds in a sunny row"), ("logs", "Logs in a sunny row")):
        found.append(OtherFigure(what=name, figure=drying_share(exposure="sun_row", form=key)))
    found.append(OtherFigure(what="Bare wood after the first rain", figure=rain_figure()))
    return tuple(found)


def climate_sources() -> tuple[str, ...]:
    """Where the shipped cities' air was read."""
    return tuple(dict.fromkeys(climate_of_city(name).source for name in cities()))


def compare(
    one: str,
    other: str,
    *,
    one_price: Decimal | None = None,
    other_price: Decimal | None = None,
    one_pct: float = BURNED_AT_PCT,
    other_pct: float = BURNED_AT_PCT,
    one_stove: float = STOVE_SHARE,
    other_stove: float = STOVE_SHARE,
) -> Comparison:
    """ "1 cord oak = 1.42 cords fir": by useful heat, each at its moisture, with dollars per million Btu.

    Units
        one_pct, other_pct: % dry basis; one_stove, other_stove: share of the heat that reaches the room,
        less when wet wood smolders.

    Errors
        UnknownWood
    """
    first, second = {one: 100.0}, {other: 100.0}
    one_heat = useful_btu(first, one_pct, stove=one_stove)
    other_heat = useful_btu(second, other_pct, stove=other_stove)
    cords = one_heat / other_heat

    def cost(mix: dict[str, float], price: Decimal | None, pct: float, stove: float) -> Decimal | None:
        return None if price is None else dollars_per_million_btu(mix, pct, price, stove=stove)

    worth = (
        None if other_price is None else (other_price * Decimal(str(round(cords, 4)))).quantize(Decimal(1))
    )
    return Comparison(
        one=spoken(woods()[one]) if one in woods() else one,
        other=spoken(woods()[other]) if other in woods() else other,
        cords=cords,
        one_mbtu=one_heat / 1e6,
        other_mbtu=other_heat / 1e6,
        one_lb=cord_weight_lb(first, one_pct),
        other_lb=cord_weight_lb(second, other_pct),
        one_dollars=cost(first, one_price, one_pct, one_stove),
        other_dollars=cost(second, other_price, other_pct, other_stove),
        worth_as_much=worth,
    )


def _told_apart(wood: Species) -> str:
    """The spoken name, or the whole one where two kinds share it: coast and interior Douglas-fir."""
    name = spoken(wood)
    shared = sum(spoken(other) == name for other in woods().values()) > 1
    return wood.name if shared else name


def _row(wood: Species) -> WoodRow:
    mix = {wood.key: 100.0}
    return WoodRow(
        key=wood.key,
        name=_told_apart(wood),
        scientific=wood.scientific,
        group=wood.group,
        oven_dry_lb=wood.oven_dry_lb,
        lb_dry=cord_weight_lb(mix, BURNED_AT_PCT),
        lb_green=cord_weight_lb(mix, wood.green_moisture_pct.high),
        useful_mbtu=useful_btu(mix, BURNED_AT_PCT) / 1e6,
        figures=(
            ("Specific gravity", wood.specific_gravity),
            ("Shrinkage", wood.shrinkage_pct),
            ("Green moisture", wood.green_moisture_pct),
            ("Heating value", wood.heating_value),
            ("Drying rate", wood.drying_per_day),
        ),
    )

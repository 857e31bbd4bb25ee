"""Woods and every figure behind the pages, each with its unit and where it was read."""

from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any

from django.utils.translation import gettext

from inventory.core.figures import Figure
from inventory.core.measure import form_figure, form_names, solid_per_cord
from inventory.core.rows import from_row
from inventory.core.species import (
    BTU_PER_LB,
    STOVE_SHARE,
    Species,
    cord_weight_lb,
    dollars_per_million_btu,
    gross_btu,
    published_woods,
    spoken,
    useful_btu,
    woods,
)
from inventory.drying.parameters import figure, figure_names
from inventory.drying.places import cities, city_weather
from inventory.selectors.species import own_figures, own_woods

BURNED_AT_PCT = 20.0  # heat and dry weight are compared at 20 % on the pin, well dried (common practice)


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodName:
    """A kind of tree. is_own: the seller's own figures stand."""

    key: str
    name: str
    is_published: bool
    is_own: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodRow(WoodName):
    """A kind of tree on the figures page.

    Units
        lb_dry, lb_green: a cord at 20 % on the pin, and green; useful_mbtu: million Btu to the room;
        gross_mbtu: before any loss, as printed tables give it.
    """

    scientific: str
    group: str
    oven_dry_lb: float
    lb_dry: float
    lb_green: float
    useful_mbtu: float
    gross_mbtu: float
    figures: tuple[tuple[str, Figure], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodValues(WoodName):
    """A wood's figures as its form shows them."""

    values: dict[str, Any]


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
    cords_alike: float  # were every wood to give the same heat a lb, as many printed tables have it
    one_mbtu: float
    other_mbtu: float
    one_lb: float
    other_lb: float
    one_dollars: Decimal | None
    other_dollars: Decimal | None
    worth_as_much: Decimal | None  # what one cord of this is worth at the other's price


def wood_rows() -> tuple[WoodRow, ...]:
    """Every kind there are figures for, by name."""
    return tuple(sorted((_row(wood) for wood in woods().values()), key=lambda row: row.name))


def wood_values(key: str) -> WoodValues | None:
    """One kind for its form; None for a wood nobody knows."""
    wood = woods().get(key)
    if wood is None:
        return None
    return WoodValues(
        key=key,
        name=_told_apart(wood),
        is_published=key in published_woods(),
        is_own=key in own_woods(),
        values=own_figures(key)
        or {
            "name": wood.name,
            "scientific": wood.scientific,
            "group": wood.group,
            "specific_gravity": wood.specific_gravity.value,
            "shrinkage_pct": wood.shrinkage_pct.value,
            "green_low_pct": wood.green_moisture_pct.low,
            "green_high_pct": wood.green_moisture_pct.high,
            "btu_per_lb": round(wood.heating_value.value),
        },
    )


def wood_choices() -> tuple[tuple[str, str], ...]:
    """Keys and spoken names, by name."""
    return tuple(
        sorted(
            ((wood.key, gettext(_told_apart(wood))) for wood in woods().values()), key=lambda pair: pair[1]
        )
    )


@cache
def other_figures() -> tuple[OtherFigure, ...]:
    """Figures that are not of one wood: forms, solid wood in a cord, all of drying."""
    found = [
        OtherFigure(what=name[:1].upper() + name[1:], figure=form_figure(key))
        for key, name in form_names().items()
    ]
    found.append(OtherFigure(what="Solid wood in a cord", figure=solid_per_cord()))
    for name in figure_names():
        name_text = name.replace(".", ", ").replace("_", " ")
        found.append(OtherFigure(what=f"Drying: {name_text}", figure=figure(name)))
    return tuple(found)


def climate_sources() -> tuple[str, ...]:
    """Where the shipped cities' air was read."""
    return tuple(dict.fromkeys(city_weather(name).description for name in cities()))


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
    btu_per_lb: float | None = None,
) -> Comparison:
    """ "1 cord oak = 1.42 cords fir": by useful heat, each at its moisture, with dollars per million Btu.

    Units
        one_pct, other_pct: % dry basis; one_stove, other_stove: share of the heat that reaches the room,
        less when wet wood smolders. btu_per_lb: one heat for both; each wood's own unless told.

    Errors
        UnknownWood
    """
    first, second = {one: 100.0}, {other: 100.0}
    one_heat = useful_btu(first, one_pct, stove=one_stove, btu_per_lb=btu_per_lb)
    other_heat = useful_btu(second, other_pct, stove=other_stove, btu_per_lb=btu_per_lb)
    cords = one_heat / other_heat

    def cost(mix: dict[str, float], price: Decimal | None, pct: float, stove: float) -> Decimal | None:
        return (
            None
            if price is None
            else dollars_per_million_btu(mix, pct, price, stove=stove, btu_per_lb=btu_per_lb)
        )

    worth = (
        None if other_price is None else (other_price * Decimal(str(round(cords, 4)))).quantize(Decimal(1))
    )
    return Comparison(
        one=spoken(woods()[one]) if one in woods() else one,
        other=spoken(woods()[other]) if other in woods() else other,
        cords=cords,
        cords_alike=useful_btu(first, one_pct, stove=one_stove, btu_per_lb=BTU_PER_LB)
        / useful_btu(second, other_pct, stove=other_stove, btu_per_lb=BTU_PER_LB),
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
    return from_row(
        WoodRow,
        wood,
        name=_told_apart(wood),
        lb_dry=cord_weight_lb(mix, BURNED_AT_PCT),
        lb_green=cord_weight_lb(mix, wood.green_moisture_pct.high),
        useful_mbtu=useful_btu(mix, BURNED_AT_PCT) / 1e6,
        gross_mbtu=gross_btu(wood) / 1e6,
        is_published=wood.key in published_woods(),
        is_own=wood.key in own_woods(),
        figures=(
            ("Specific gravity", wood.specific_gravity),
            ("Shrinkage", wood.shrinkage_pct),
            ("Green moisture", wood.green_moisture_pct),
            ("Heating value", wood.heating_value),
        ),
    )

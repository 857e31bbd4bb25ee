"""Check any figure of the wood from a script: JSON lines in, JSON lines out, one calculation each."""

import json
import sys
from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.db import DatabaseError

from inventory.core import InventoryError
from inventory.core.figures import Figure
from inventory.core.measure import form_figure, solid_per_cord
from inventory.core.moisture import dry_from_wet, equilibrium_pct, wet_from_dry
from inventory.core.species import (
    PLANNING_FACTOR,
    cord_weight_lb,
    cord_weight_range_lb,
    density_lb_ft3,
    read_own_woods,
    shrinkage_to_pct,
    species_of,
    useful_btu,
)
from inventory.core.units import CORD_FT3, M3_PER_FT3
from inventory.drying.json_questions import BadQuestion, drying_asked, number, required
from inventory.selectors.species import own_woods

MILLION = 1e6
EXACT = {
    "cord": 1.0,
    "stacked_ft3": float(CORD_FT3),
    "stere": float(CORD_FT3 * M3_PER_FT3),
}  # how many a cord is


def _emc(asked: Mapping[str, Any]) -> dict[str, Any]:
    temp, humid = number(asked, "temperature_f", -60, 220), number(asked, "humidity_pct", 0, 99.9)
    return {"emc_dry_pct": round(equilibrium_pct(temp, humid), 3)}


def _density(asked: Mapping[str, Any]) -> dict[str, Any]:
    """Wood Handbook eqs. 4-9, 4-11 and 4-14; without a shrinkage its eq. 4-12 gives one."""
    gravity = number(asked, "specific_gravity_green", 0.05, 1.4)
    moisture = number(asked, "moisture_dry_pct", 0, 300)
    shrinkage = 26.5 * gravity
    if asked.get("shrinkage_pct") is not None:
        shrinkage = number(asked, "shrinkage_pct", 0, 40)
    return {
        "lb_per_ft3": round(density_lb_ft3(gravity, shrinkage, moisture), 3),
        "shrinkage_to_moisture_pct": round(shrinkage_to_pct(shrinkage, moisture), 3),
    }


def _basis(asked: Mapping[str, Any]) -> dict[str, Any]:
    if (asked.get("wet_pct") is None) == (asked.get("dry_pct") is None):
        raise BadQuestion('give one of "wet_pct" and "dry_pct".')
    if asked.get("wet_pct") is not None:
        wet = number(asked, "wet_pct", 0, 99)
        return {"wet_pct": wet, "dry_pct": round(dry_from_wet(wet), 3)}
    dry = number(asked, "dry_pct", 0, 400)
    return {"wet_pct": round(wet_from_dry(dry), 3), "dry_pct": dry}


def _cord(asked: Mapping[str, Any]) -> dict[str, Any]:
    """Weight at a moisture (high: as loads are planned, or more), and heat to the room.

    The heat is the wood's own, or "btu_per_lb" where one is given: printed tables often take 8,600 for all.
    """
    wood, moisture = species_of(str(required(asked, "wood"))), number(asked, "moisture_dry_pct", 0, 300)
    solid, mix = solid_per_cord(), {wood.key: 100.0}
    if asked.get("solid_ft3") is not None:
        given = number(asked, "solid_ft3", 1, CORD_FT3)
        solid = replace(solid, low=given, value=given, high=given)
    heat = None if asked.get("btu_per_lb") is None else number(asked, "btu_per_lb", 4000, 14000)
    share = solid.value / solid_per_cord().value
    weight = cord_weight_lb(mix, moisture) * share
    low, high = cord_weight_range_lb(mix, moisture, solid=solid)
    return {
        "lb_low": round(low, 1),
        "lb": round(weight, 1),
        "lb_high": round(max(weight * PLANNING_FACTOR, high), 1),
        "useful_mbtu": round(useful_btu(mix, moisture, btu_per_lb=heat) * share / MILLION, 3),
    }


def _convert(asked: Mapping[str, Any]) -> dict[str, Any]:
    amount = _amount(required(asked, "amount"))
    source, target = _per_cord(asked, "from"), _per_cord(asked, "to")
    if str(asked["from"]) == str(asked["to"]):
        source = target = Figure(value=1, low=1, high=1, unit="same", source="same")
    return {
        "low": round(amount / source.high * target.low, 4),
        "likely": round(amount / source.value * target.value, 4),
        "high": round(amount / source.low * target.high, 4),
    }


def _per_cord(asked: Mapping[str, Any], name: str) -> Figure:
    """How many of a unit one cord is."""
    unit = str(required(asked, name))
    metric = {"m3_loose": "loose_ft3", "m3_solid": "solid_ft3", "m3_stacked": "stacked_ft3"}
    if unit in metric:
        return _scaled(_unit(metric[unit]), float(M3_PER_FT3))
    return _unit(unit)


def _unit(unit: str) -> Figure:
    if unit in EXACT:
        return Figure(value=EXACT[unit], low=EXACT[unit], high=EXACT[unit], unit=unit, source="definition")
    if unit == "solid_ft3":
        return solid_per_cord()
    if unit == "loose_ft3" or unit.startswith("loose_ft3_"):
        return form_figure(unit.removeprefix("loose_ft3").lstrip("_") or "splits")
    known = (*EXACT, "loose_ft3", "loose_ft3_rounds", "solid_ft3", "m3_loose", "m3_solid", "m3_stacked")
    raise BadQuestion("there is no unit {unit!r}; use one of {known}.", unit=unit, known=", ".join(known))


def _scaled(figure: Figure, by: float) -> Figure:
    low, value, high = (part * by for part in (figure.low, figure.value, figure.high))
    return Figure(value=value, low=low, high=high, unit=figure.unit, source=figure.source)


def _amount(given: Any) -> float:
    try:
        amount = float(Fraction(str(given)))
    except (ValueError, ZeroDivisionError):
        raise BadQuestion(
            '"amount" must be a number or a fraction such as "1/3", not {given}.',
            given=json.dumps(given),
        ) from None
    if not 0 <= amount <= 1e7:
        raise BadQuestion('"amount" must lie from 0 to ten million.')
    return amount


KINDS: dict[str, Callable[[Mapping[str, Any]], dict[str, Any]]] = {
    "emc": _emc,
    "density": _density,
    "basis": _basis,
    "cord": _cord,
    "convert": _convert,
    "dry": drying_asked,
}


def work_out(line: str) -> dict[str, Any]:
    """The answer to one line, or its error as a sentence."""
    try:
        asked = json.loads(line)
    except ValueError as error:
        return {"error": f"This line is no JSON: {error}."}
    if not isinstance(asked, dict) or asked.get("what") not in KINDS:
        return {"error": f'"what" must be one of {", ".join(KINDS)}.'}
    try:
        return KINDS[asked["what"]](asked)
    except InventoryError as error:
        return {"error": str(error)}


def _read_own_woods_if_any() -> None:
    """A seller's own woods count here too; without books the published figures alone."""
    try:
        own_woods()
    except DatabaseError:
        read_own_woods(None)


class Command(BaseCommand):
    """`work_out [FILE]`: questions from a file or from standard input."""

    help = 'Work out one figure per line of JSON, such as {"what": "basis", "wet_pct": 20}.'
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """A file of questions; standard input without one."""
        parser.add_argument("file", nargs="?", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        """Answer every line; exit status 1 when any of them was an error."""
        name = options["file"]
        text = name.read_text(encoding="utf-8") if name else sys.stdin.read()
        failed = False
        _read_own_woods_if_any()
        for line in text.splitlines():
            if not line.strip():
                continue
            answer = work_out(line)
            failed = failed or "error" in answer
            self.stdout.write(json.dumps(answer))
        if failed:
            sys.exit(1)

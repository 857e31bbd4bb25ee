"""A seller's own woods, as the rules of weight, heat and drying read them.

They are read once a request and once a task: `forget` is called when one begins and when a wood is written.
"""

from collections.abc import Mapping
from typing import Any

from inventory.core.species import Species, species_from
from inventory.models import OwnSpecies

_kept: dict[str, Mapping[str, Species]] = {}  # under "woods", once read; threads of a process share it


def own_woods() -> Mapping[str, Species]:
    """The seller's own woods and corrections, by key; one query until they are forgotten."""
    known = _kept.get("woods")
    if known is None:
        known = {row.key: species_from(row.key, _table(row)) for row in OwnSpecies.objects.all()}
        remember(known)
    return known


def remember(woods: Mapping[str, Species]) -> None:
    """Take these for the seller's own woods until they are forgotten."""
    _kept["woods"] = woods


def forget(**_: Any) -> None:
    """Read them anew the next time they are asked for."""
    _kept.clear()


def own_figures(key: str) -> dict[str, Any] | None:
    """What a form shows of an own wood; None when its figures are the published ones."""
    row = OwnSpecies.objects.filter(key=key).first()
    if row is None:
        return None
    return {name: getattr(row, name) for name in OWN_COLUMNS} | {"key": row.key}


OWN_COLUMNS = (
    "name", "scientific", "group", "specific_gravity", "shrinkage_pct", "green_low_pct", "green_high_pct",
    "btu_per_lb", "source",
)  # fmt: skip


def _table(row: OwnSpecies) -> dict[str, Any]:
    """The row as a table of species.toml."""
    source = f"{row.source} (your figure, {row.changed_on})"
    table: dict[str, Any] = {"name": row.name, "scientific": row.scientific, "group": row.group}
    table["specific_gravity"] = {
        "value": float(row.specific_gravity), "unit": "oven-dry mass over green volume", "source": source,
    }  # fmt: skip
    table["green_moisture_pct"] = {
        "value": float(row.green_high_pct), "low": float(row.green_low_pct), "unit": "% dry basis",
        "source": source,
    }  # fmt: skip
    if row.shrinkage_pct is not None:
        unit = "% of green volume, green to oven-dry"
        table["shrinkage_pct"] = {"value": float(row.shrinkage_pct), "unit": unit, "source": source}
    if row.btu_per_lb is not None:
        unit = "Btu per oven-dry lb, gross"
        table["heating_value"] = {"value": row.btu_per_lb, "unit": unit, "source": source}
    return table

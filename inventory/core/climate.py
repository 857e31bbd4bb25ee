"""The air of a yard: monthly equilibrium moisture and how much a day of each month dries.

Twelve values from January on, everywhere. A city of the shipped table, one's own twelve values, or a
CSV of temperature and humidity.
"""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache

from inventory.core import InventoryError
from inventory.core.figures import table_of
from inventory.core.moisture import equilibrium_pct

MONTHS = 12


class BadClimate(InventoryError):
    """Monthly values or a climate file that cannot be used."""

    def __init__(self, trouble: str) -> None:
        super().__init__(f"This climate can't be used: {trouble}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Climate:
    """A yard's air by month.

    Shapes and units
        emc_pct: twelve, % dry basis; weights: twelve, share of a high-summer day's drying.
    """

    name: str
    emc_pct: tuple[float, ...]
    weights: tuple[float, ...]
    source: str

    def __post_init__(self) -> None:
        for what, values in (("equilibrium moistures", self.emc_pct), ("drying weights", self.weights)):
            if len(values) != MONTHS:
                raise BadClimate(f"it needs twelve {what}, January first; there are {len(values)}.")
        if not all(1 <= value <= 35 for value in self.emc_pct):
            raise BadClimate("equilibrium moisture lies between 1 and 35 % dry basis.")
        if not all(0 <= value <= 1.5 for value in self.weights) or max(self.weights) <= 0:
            raise BadClimate("drying weights lie between 0 and 1.5, and one must be above 0.")

    def emc_on(self, on: date) -> float:
        return self.emc_pct[on.month - 1]

    def weight_on(self, on: date) -> float:
        return self.weights[on.month - 1]


def season_weights() -> tuple[float, ...]:
    """The shipped season, January first (common practice)."""
    return tuple(float(value) for value in table_of("climate.toml")["season_weights"]["months"])


@cache
def cities() -> tuple[str, ...]:
    """Cities of the shipped table, by name."""
    return tuple(sorted(row["name"] for row in table_of("climate.toml")["city"]))


def climate_of_city(name: str) -> Climate:
    """A city's monthly normals.

    Errors
        BadClimate: the table has no such city.
    """
    for row in table_of("climate.toml")["city"]:
        if row["name"] == name:
            return Climate(
                name=f"{row['name']}, {row['state']}",
                emc_pct=tuple(float(value) for value in row["months"]),
                weights=season_weights(),
                source=row["source"],
            )
    raise BadClimate(
        f"there is no city {name!r} in the table. Pick one from the list, or type your own values."
    )


def steady_climate(emc_pct: float | None = None) -> Climate:
    """The same equilibrium moisture the year round, with the shipped season."""
    figure = table_of("climate.toml")["yard_emc"]
    value = float(figure["value"]) if emc_pct is None else emc_pct
    return Climate(
        name="steady", emc_pct=(value,) * MONTHS, weights=season_weights(), source=str(figure["source"])
    )


def own_climate(emc_pct: Sequence[float], *, weights: Sequence[float] = (), source: str = "") -> Climate:
    """Twelve values typed by the seller."""
    return Climate(
        name="own values",
        emc_pct=tuple(float(value) for value in emc_pct),
        weights=tuple(float(value) for value in weights) if weights else season_weights(),
        source=source or "the seller's own values",
    )


def climate_from_csv(text: str, *, name: str = "imported") -> Climate:
    """Monthly climate from rows of date or month, temperature and humidity.

    Columns, by their first line: `date` (2026-07-01) or `month` (1-12); `temp_f` or `temp_c`; `rh_pct`.
    Rows of a month are averaged after the equation, row by row.

    Errors
        BadClimate: a column or a month is missing, or a cell is no number; line and column are named.
    """
    columns, lines = _lines_of(text)
    if not columns & {"date", "month"} or not columns & {"temp_f", "temp_c"} or "rh_pct" not in columns:
        raise BadClimate("its first line must name date or month, temp_f or temp_c, and rh_pct.")
    sums: list[list[float]] = [[] for _ in range(MONTHS)]
    for line, row in lines:
        sums[_month_of(row, line) - 1].append(_emc_of(row, line))
    missing = [place + 1 for place, values in enumerate(sums) if not values]
    if missing:
        raise BadClimate(f"it has no rows for month {', '.join(map(str, missing))}.")
    return Climate(
        name=name,
        emc_pct=tuple(round(sum(values) / len(values), 2) for values in sums),
        weights=season_weights(),
        source="imported temperature and humidity, Wood Handbook eq. 4-5",
    )


def _lines_of(text: str) -> tuple[set[str], list[tuple[int, dict[str, str]]]]:
    """The columns, and each row by column with its line number; cells beyond the columns are left out."""
    reader = csv.DictReader(io.StringIO(text.lstrip("\ufeff"), newline=""))
    lines: list[tuple[int, dict[str, str]]] = []
    try:
        columns = {(column or "").strip().lower() for column in reader.fieldnames or ()}
        for raw in reader:
            row = {(key or "").strip().lower(): (value or "").strip() for key, value in raw.items() if key}
            lines.append((reader.line_num, row))
    except csv.Error as error:
        raise BadClimate(f"line {reader.line_num + 1} is no row of a CSV file ({error}).") from error
    return columns, lines


def _month_of(row: dict[str, str], line: int) -> int:
    if row.get("month"):
        if row["month"].isdecimal() and 1 <= int(row["month"]) <= MONTHS:
            return int(row["month"])
        raise BadClimate(f"line {line}, month: {row['month']!r} is not 1 to 12.")
    try:
        return date.fromisoformat(row.get("date", "")[:10]).month
    except ValueError:
        raise BadClimate(f"line {line}, date: {row.get('date', '')!r} is not like 2026-07-01.") from None


def _emc_of(row: dict[str, str], line: int) -> float:
    name = "temp_f" if row.get("temp_f") else "temp_c"
    try:
        degrees, humidity = float(row.get(name, "")), float(row.get("rh_pct", ""))
    except ValueError:
        raise BadClimate(f"line {line}: {name} and rh_pct must be numbers.") from None
    temp_f = degrees if name == "temp_f" else degrees * 1.8 + 32
    if not -60 <= temp_f <= 140 or not 0 <= humidity <= 100:
        raise BadClimate(f"line {line}: {degrees} degrees and {humidity} % do not happen outdoors.")
    return equilibrium_pct(temp_f, min(humidity, 99.0))

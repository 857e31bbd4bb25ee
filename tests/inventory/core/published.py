"""Published tables the wood's rules are checked against; fixtures/reference/README.md says where from."""

import csv
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).resolve().parents[3] / "fixtures" / "reference"
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of one table, as printed."""
    with (FOLDER / name).open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def row_of(name: str, column: str, text: str) -> dict[str, str]:
    """The one row whose column reads so."""
    (found,) = [row for row in rows(name) if row[column] == text]
    return found


def monthly_emc(row: dict[str, str]) -> tuple[float, ...]:
    """Twelve equilibrium moistures of a city's row, January first."""
    return tuple(float(row[f"emc_pct_dry_basis_{month}"]) for month in MONTHS)

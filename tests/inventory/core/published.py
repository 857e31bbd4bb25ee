"""Published tables the wood's rules are checked against; fixtures/reference/README.md says where from."""

import csv
from functools import cache
from pathlib import Path

from inventory.core.species import SOLID_FT3_PER_CORD, WATER_LB_PER_FT3, Species, density_lb_ft3

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


def density_of(species: Species, moisture_pct: float) -> float:
    """Weight of a solid cubic foot of a kind, by its own gravity and shrinkage."""
    return density_lb_ft3(species.specific_gravity.value, species.shrinkage_pct.value, moisture_pct)


def cord_lb(species: Species, moisture_pct: float, *, solid_ft3: float = SOLID_FT3_PER_CORD) -> float:
    """Weight of a cord stacked at that moisture: shrunken wood of the same stacked size weighs more."""
    return solid_ft3 * density_of(species, moisture_pct)


def net_btu(species: Species, moisture_pct: float) -> float:
    """Heat of a cord after the latent heat of its own water and of the water its hydrogen burns to.

    Source
        OD x [HHV - 1050 (9 H + m)], standard thermodynamics;
        hydrogen 6 % of the oven-dry weight (estimate, 5.5 to 6.5 %).
    """
    dry_lb = species.specific_gravity.value * WATER_LB_PER_FT3 * SOLID_FT3_PER_CORD
    return dry_lb * (species.heating_value.value - 1050 * (9 * 0.06 + moisture_pct / 100))

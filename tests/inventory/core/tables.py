"""Published tables, read as rows; what each holds and where it was read is in fixtures/reference/README.md."""

import csv
from pathlib import Path

REFERENCE = Path(__file__).resolve().parents[3] / "fixtures" / "reference"


def rows(name):
    with (REFERENCE / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))

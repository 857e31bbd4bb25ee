"""Every figure from the world says its unit and its source."""

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
APPS = ("inventory", "orders", "routing")
FILES = sorted(path for app in APPS for path in ROOT.glob(f"{app}/**/*.toml"))


def _figures(table: Any, where: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    if isinstance(table, dict):
        if "value" in table:
            yield where, table
        for key, inner in table.items():
            yield from _figures(inner, f"{where}.{key}" if where else key)
    elif isinstance(table, list):
        for place, inner in enumerate(table):
            yield from _figures(inner, f"{where}[{place}]")


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_every_figure_has_a_unit_and_a_source(path):
    figures = list(_figures(tomllib.loads(path.read_text(encoding="utf-8"))))

    nameless = [where for where, figure in figures if not figure.get("unit") or not figure.get("source")]

    assert nameless == []


def test_there_are_figures_to_look_at():
    assert sum(len(list(_figures(tomllib.loads(path.read_text("utf-8"))))) for path in FILES) > 100

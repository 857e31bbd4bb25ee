"""No shipped figure rests on memory: it has a paper, is common practice, or an estimate with its range."""

from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
TABLES = sorted(path for app in ("inventory", "orders", "routing") for path in ROOT.glob(f"{app}/**/*.toml"))


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.name)
def test_no_figure_is_given_from_memory(path):
    assert "from memory" not in path.read_text(encoding="utf-8").lower()

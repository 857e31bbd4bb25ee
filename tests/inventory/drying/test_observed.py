"""The printed table of model against observation says what the engine says now."""

from pathlib import Path

import pytest

from . import observed

README = Path(__file__).resolve().parents[3] / "inventory" / "drying" / "README.md"


@pytest.mark.slow
def test_the_table_in_the_readme_is_what_the_engine_says():
    """Print it anew with `python -m tests.inventory.drying.observed` and read what changed."""
    assert observed.table() in README.read_text(encoding="utf-8")

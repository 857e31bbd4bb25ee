"""Selectors read: no table is written in any of them."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SELECTORS = sorted(
    path for app in ("inventory", "orders", "routing") for path in ROOT.glob(f"{app}/selectors/**/*.py")
)
WRITES = re.compile(
    r"\.(save|delete|create|get_or_create|update_or_create|bulk_create|bulk_update)\("
    r"|(objects|filter\([^()]*\)|exclude\([^()]*\))\s*\.update\("
)


def test_no_selector_writes():
    writing = [str(path.relative_to(ROOT)) for path in SELECTORS if WRITES.search(path.read_text("utf-8"))]

    assert len(SELECTORS) > 50
    assert writing == []

"""Fifty clients at once lose no order and oversell nothing, on SQLite and on PostgreSQL."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import connection

from tests.orders.crowd import EXPECTED, crowd

ROOT = Path(__file__).resolve().parents[3]


@pytest.mark.slow
def test_fifty_at_once_on_sqlite(tmp_path):
    """In a process of its own, on a database file: memory databases have no locks to fight over."""
    settings = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "firewood_site.settings",
        "DATA_DIR": str(tmp_path),
        "DATABASE_URL": "",
        "TASKS_BACKEND": "django.tasks.backends.immediate.ImmediateBackend",
        "PYTHONPATH": str(ROOT),
    }

    done = subprocess.run(
        [sys.executable, "-m", "tests.orders.crowd"],
        cwd=ROOT,
        env=settings,
        capture_output=True,
        text=True,
        check=False,
        timeout=900,  # a bound on a hang, not on a busy machine
    )

    assert done.returncode == 0, done.stderr[-2000:]
    assert json.loads(done.stdout) == EXPECTED


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_fifty_at_once_on_postgresql():
    if connection.vendor != "postgresql":
        pytest.skip("DATABASE_URL does not name a PostgreSQL server")

    assert crowd() == EXPECTED

"""The tables as written are the tables as migrated, and every migration can be taken back."""

import re
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db.migrations.loader import MigrationLoader

ROOT = Path(__file__).resolve().parents[2]
OURS = {"inventory", "orders", "routing", "firewood_site"}


@pytest.mark.django_db
def test_no_model_waits_for_a_migration():
    call_command("makemigrations", "--check", "--dry-run", stdout=StringIO())


def test_every_migration_can_be_taken_back():
    loader = MigrationLoader(None)

    stuck = [
        key
        for key, migration in loader.disk_migrations.items()
        if key[0] in OURS and not all(operation.reversible for operation in migration.operations)
    ]

    assert stuck == []


def test_every_migration_writes_to_the_database_it_is_run_on():
    """Moving to another database migrates it while the old one is still the default."""
    careless = [
        f"{path.parent.parent.name}/{path.name}"
        for path in ROOT.glob("*/migrations/*.py")
        if re.search(r"\.objects\.(?!using\()", path.read_text(encoding="utf-8"))
    ]

    assert careless == []

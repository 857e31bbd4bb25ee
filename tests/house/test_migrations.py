"""The tables as written are the tables as migrated, and every migration can be taken back."""

from io import StringIO

import pytest
from django.core.management import call_command
from django.db.migrations.loader import MigrationLoader

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

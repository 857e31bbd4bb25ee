"""Everything of one database carried into another that is empty: people, books, roads, letters."""

from collections.abc import Iterable
from itertools import batched

from django.apps import apps
from django.conf import settings
from django.contrib.contenttypes.models import ContentType
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import DatabaseError, connections, models, transaction

from firewood_site.books import pointed_at_first
from firewood_site.env import database

TARGET = "move_to"
LEFT_BEHIND = {"sessions.Session", "usersessions.UserSession"}  # people log in again
OURS = ("inventory", "orders", "routing")
BATCH = 500


class MoveError(Exception):
    """The move was not made; says why, and the target is as empty as before."""


def move_to(url: str) -> dict[str, int]:
    """Copy every row into the database of an address; how many rows each table got.

    Errors
        MoveError: the target can't be reached, has books already, or takes a row of ours for impossible.
    """
    connections.settings[TARGET] = connections["default"].settings_dict | database(url, settings.DATA_DIR)
    try:
        call_command("migrate", database=TARGET, interactive=False, verbosity=0)
        with transaction.atomic(using=TARGET):
            return _copied()
    except DatabaseError as error:
        raise MoveError(f"Nothing was moved: {error}") from error
    finally:
        connections[TARGET].close()


def _copied() -> dict[str, int]:
    moved = _in_order([model for model in apps.get_models() if model._meta.label not in LEFT_BEHIND])
    for model in moved:
        if model._meta.app_label in OURS and model._base_manager.using(TARGET).exists():
            name = model._meta.verbose_name_plural
            raise MoveError(f"The target has {name} already: name an empty database.")
    target = connections[TARGET]
    with target.cursor() as cursor:
        for model in reversed(moved):  # what migrating made: permissions and kinds of rows
            cursor.execute(f"DELETE FROM {target.ops.quote_name(model._meta.db_table)}")
    counts = {}
    for model in moved:
        rows = model._base_manager.using("default").order_by("pk").iterator(chunk_size=BATCH)
        for batch in batched(rows, BATCH):
            _refuse_nul(batch)
            model._base_manager.using(TARGET).bulk_create(batch)
        counts[model._meta.label_lower] = model._base_manager.using(TARGET).count()
    with target.cursor() as cursor:
        for sql in target.ops.sequence_reset_sql(no_style(), moved):
            cursor.execute(sql)
    ContentType.objects.clear_cache()
    return counts


def _refuse_nul(rows: Iterable[models.Model]) -> None:
    """SQLite keeps a NUL in a text and PostgreSQL does not."""
    for row in rows:
        for field in row._meta.concrete_fields:
            value = getattr(row, field.attname)
            if isinstance(value, str) and "\0" in value:
                raise MoveError(
                    f"{row._meta.label} {row.pk} has a character in {field.name} that PostgreSQL refuses "
                    "(NUL): correct it, then move again."
                )


def _in_order(wanted: list[type[models.Model]]) -> list[type[models.Model]]:
    """Tables with those pointed at before those that point; hidden ones that link two included."""
    every = [*wanted]
    for model in wanted:
        for field in model._meta.local_many_to_many:
            through = field.remote_field.through
            if through is not None and through._meta.auto_created:
                every.append(through)
    return pointed_at_first(every)

"""The whole books as CSV files (RFC 4180), out and in again, cell for cell.

One file per table, named like `orders.order.csv`; the first line names the columns. Text that a
spreadsheet would read as a formula gets a leading apostrophe, taken off again when read back.
"""

import csv
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.apps import apps
from django.core.exceptions import ValidationError
from django.core.management.color import no_style
from django.db import DatabaseError, connection, models, transaction

APPS = ("inventory", "orders", "routing")
LEFT_OUT = {"routing.CachedLeg", "routing.RoadExtract", "routing.PlanJob"}  # made again from the roads
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "'")
TEXT = (models.CharField, models.TextField)


class BooksError(Exception):
    """The CSV files can't be read into the books; says which file, line and column."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TableCount:
    name: str
    rows: int


def tables() -> list[type[models.Model]]:
    """Every table of the books, those pointed at before those that point."""
    wanted = [
        model for app in APPS for model in apps.get_app_config(app).get_models()
        if model._meta.label not in LEFT_OUT
    ]  # fmt: skip
    ordered: list[type[models.Model]] = []

    def visit(model: type[models.Model], above: tuple[type[models.Model], ...]) -> None:
        if model in ordered or model in above:
            return
        for field in model._meta.concrete_fields:
            target = field.related_model
            if isinstance(target, type) and target in wanted and target is not model:
                visit(target, (*above, model))
        ordered.append(model)

    for model in wanted:
        visit(model, ())
    return ordered


def write_cell(field: models.Field, value: Any) -> str:
    if value is None:
        return ""
    if isinstance(field, models.JSONField):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(field, TEXT):
        text = str(value)
        return f"'{text}" if text.startswith(FORMULA_STARTS) else text
    if hasattr(value, "isoformat"):
        return value.isoformat()
    return str(value)


def read_cell(field: models.Field, text: str) -> Any:
    if text == "" and field.null and not isinstance(field, TEXT):
        return None
    if isinstance(field, models.JSONField):
        return json.loads(text) if text else field.get_default()
    if isinstance(field, TEXT):
        return text[1:] if text.startswith("'") and text[1:].startswith(FORMULA_STARTS) else text
    if text == "":
        return field.get_default()
    target = field.target_field if isinstance(field, models.ForeignKey) else field
    return target.to_python(text)


def export_books(folder: Path) -> list[TableCount]:
    """Write every table into the folder. An existing file of the same name is written over."""
    folder.mkdir(parents=True, exist_ok=True)
    counts = []
    for model in tables():
        fields = list(model._meta.concrete_fields)
        rows = 0
        with (folder / f"{model._meta.label_lower}.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file)
            writer.writerow([field.attname for field in fields])
            for row in model._default_manager.order_by("pk").iterator(chunk_size=2000):
                writer.writerow([write_cell(field, getattr(row, field.attname)) for field in fields])
                rows += 1
        counts.append(TableCount(name=model._meta.label_lower, rows=rows))
    return counts


def _rows(path: Path, model: type[models.Model]) -> Iterator[models.Model]:
    columns = {field.attname: field for field in model._meta.concrete_fields}
    with path.open(newline="", encoding="utf-8-sig") as file:
        reader = csv.reader(file, strict=True)
        try:
            names = next(reader)
        except StopIteration:
            return
        unknown = [name for name in names if name not in columns]
        if unknown:
            known = ", ".join(columns)
            raise BooksError(f"{path.name}: there is no column {unknown[0]!r}. Known columns: {known}.")
        try:
            for line, cells in enumerate(reader, start=2):
                if not any(cells):
                    continue
                if len(cells) != len(names):
                    raise BooksError(
                        f"{path.name} line {line}: {len(cells)} cells, but {len(names)} columns."
                    )
                values = {}
                for name, text in zip(names, cells, strict=True):
                    try:
                        values[name] = read_cell(columns[name], text)
                    except (ValidationError, ValueError) as error:
                        raise BooksError(
                            f"{path.name} line {line}, column {name}: {text!r} can't be read. Write it as in "
                            "an exported file."
                        ) from error
                yield model(**values)
        except csv.Error as error:
            raise BooksError(f"{path.name} line {reader.line_num}: {error}.") from error
        except UnicodeDecodeError as error:
            raise BooksError(f"{path.name} is not UTF-8 text: save it as CSV UTF-8 and try again.") from error


def _batches(rows: Iterable[models.Model], size: int = 500) -> Iterator[list[models.Model]]:
    batch: list[models.Model] = []
    for row in rows:
        batch.append(row)
        if len(batch) == size:
            yield batch
            batch = []
    if batch:
        yield batch


def import_books(folder: Path) -> list[TableCount]:
    """Read exported (or hand-made) files into tables that are still empty; all of them or nothing.

    Errors
        BooksError: no file of ours in the folder, a table that has rows already, an unreadable cell,
            or rows that break a rule of the tables.
    """
    found = [(model, folder / f"{model._meta.label_lower}.csv") for model in tables()]
    found = [(model, path) for model, path in found if path.is_file()]
    if not found:
        raise BooksError(f"No CSV of ours in {folder}: files are named like orders.order.csv.")
    counts = []
    try:
        with transaction.atomic():
            for model, path in found:
                if model._default_manager.exists():
                    raise BooksError(
                        f"The table of {path.name} has rows already. Import into empty "
                        "books: point DATA_DIR or DATABASE_URL at an empty place and migrate it first."
                    )
                rows = 0
                for batch in _batches(_rows(path, model)):
                    try:
                        rows += len(model._default_manager.bulk_create(batch))
                    except DatabaseError as error:
                        raise BooksError(
                            f"{path.name}: a row breaks a rule of the books ({error})."
                        ) from error
                counts.append(TableCount(name=model._meta.label_lower, rows=rows))
            with connection.cursor() as cursor:
                for sql in connection.ops.sequence_reset_sql(no_style(), [model for model, _ in found]):
                    cursor.execute(sql)
            connection.check_constraints()
    except DatabaseError as error:
        raise BooksError(f"The files do not fit together: {error}.") from error
    return counts

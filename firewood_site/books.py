"""The whole books as CSV files (RFC 4180), out and in again, cell for cell.

One file per table, named like `orders.order.csv`; the first line names the columns. Text that a
spreadsheet would read as a formula gets a leading apostrophe, taken off again when read back.
"""

import csv
import json
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import batched
from pathlib import Path
from typing import Any

from django.apps import apps
from django.core.exceptions import ValidationError
from django.core.management.color import no_style
from django.db import DatabaseError, connection, models, transaction

from firewood_site.imported_words import words_that_sell_wrongly
from inventory.fields import SentenceField
from orders.selectors.sums import money_that_differs

APPS = ("inventory", "orders", "routing")
LEFT_OUT = {
    "routing.CachedLeg", "routing.RoadExtract", "routing.RoadLoad", "routing.PlanJob",
}  # made again from the roads # fmt: skip
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "'")
AT_ONCE = 500  # rows written by one statement
MOST_TOLD = 50  # refused rows named at once
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
    return pointed_at_first(wanted)


def pointed_at_first(wanted: list[type[models.Model]]) -> list[type[models.Model]]:
    """The same tables, those pointed at before those that point."""
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
        text = str(field.get_prep_value(value))
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
        typed = text[1:] if text.startswith("'") and text[1:].startswith(FORMULA_STARTS) else text
        return field.from_text(typed) if isinstance(field, SentenceField) else typed
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


def _rows(path: Path, model: type[models.Model], refused: list[str]) -> Iterator[models.Model]:
    """The rows of a file; those that break a rule of their columns are named in `refused` instead."""
    columns = {field.attname: field for field in model._meta.concrete_fields}
    with path.open(newline="", encoding="utf-8-sig") as file:
        reader = csv.reader(file, strict=True)
        try:
            names = next(reader, None)
            if names is None:
                return
            unknown = [name for name in names if name not in columns]
            if unknown:
                known = ", ".join(columns)
                raise BooksError(f"{path.name}: there is no column {unknown[0]!r}. Known columns: {known}.")
            for line, cells in enumerate(reader, start=2):
                if not any(cells):
                    continue
                if len(cells) != len(names):
                    refused.append(f"{path.name} line {line}: {len(cells)} cells, but {len(names)} columns.")
                    continue
                row, wrong = _row(model, columns, dict(zip(names, cells, strict=True)))
                refused += [f"{path.name} line {line}, column {text}" for text in wrong]
                if not wrong:
                    yield row
        except csv.Error as error:
            raise BooksError(f"{path.name} line {reader.line_num}: {error}.") from error
        except UnicodeDecodeError as error:
            raise BooksError(f"{path.name} is not UTF-8 text: save it as CSV UTF-8 and try again.") from error


def _row(
    model: type[models.Model], columns: dict[str, models.Field], cells: dict[str, str]
) -> tuple[models.Model, list[str]]:
    """One row read and held against the rules of its columns, and what is wrong with it."""
    row, wrong = model(), []
    for name, text in cells.items():
        field = columns[name]
        try:
            value = read_cell(field, text)
            if value not in field.empty_values and not field.is_relation:
                field.run_validators(value)
                field.validate(value, row)
            setattr(row, name, value)
        except (ValidationError, ValueError) as error:
            why = " ".join(error.messages) if isinstance(error, ValidationError) else "Write it as exported."
            wrong.append(f"{name}: {text[:40]!r} can't be read. {why}")
    return row, wrong


def _wood_that_differs() -> Iterator[str]:
    """Lots whose wood is not what their movements, or whose promises are not what their holds add up to."""
    holds = apps.get_model("inventory", "Hold").objects.filter(state="standing")
    ledgers = (
        ("on_hand_cords", "cords", "movements", apps.get_model("inventory", "Movement").objects.all()),
        ("firm_cords", "cords promised", "standing holds", holds.filter(kind="firm")),
        ("soft_cords", "cords held", "tentative holds", holds.filter(kind="soft")),
    )
    for column, of_what, called, ledger in ledgers:
        sums: dict[int, Any] = {}
        for lot_id, cords in ledger.values_list("lot_id", "cords"):
            sums[lot_id] = sums.get(lot_id, 0) + cords
        for lot in apps.get_model("inventory", "Lot").objects.all():
            told = getattr(lot, column)
            added = sums.get(lot.pk, told if called == "movements" else 0)  # books written by hand have none
            if told != added:
                yield f"Lot {lot.code} has {told} {of_what}, but its {called} add up to {added}."


def import_books(folder: Path) -> list[TableCount]:
    """Read exported (or hand-made) files into tables that are still empty; all of them or nothing.

    Errors
        BooksError: no file of ours in the folder, a table that has rows already, an unreadable cell,
            rows that break a rule of the tables, or words that sell wood by no lawful measure.
    """
    found = [(model, folder / f"{model._meta.label_lower}.csv") for model in tables()]
    found = [(model, path) for model, path in found if path.is_file()]
    if not found:
        raise BooksError(f"No CSV of ours in {folder}: files are named like orders.order.csv.")
    counts = []
    refused: list[str] = []
    try:
        with transaction.atomic():
            for model, path in found:
                if model._default_manager.exists():
                    raise BooksError(
                        f"The table of {path.name} has rows already. Import into empty "
                        "books: point DATA_DIR or DATABASE_URL at an empty place and migrate it first."
                    )
                rows = 0
                for batch in batched(_rows(path, model, refused), AT_ONCE):
                    try:
                        rows += len(model._default_manager.bulk_create(batch))
                    except DatabaseError as error:
                        raise BooksError(
                            f"{path.name}: a row breaks a rule of the books ({error})."
                        ) from error
                counts.append(TableCount(name=model._meta.label_lower, rows=rows))
            refused = refused or [
                *_wood_that_differs(),
                *money_that_differs(),
                *words_that_sell_wrongly(),
            ]
            if refused:
                more = f"\n... and {len(refused) - MOST_TOLD} more." if len(refused) > MOST_TOLD else ""
                raise BooksError("Nothing was kept.\n" + "\n".join(refused[:MOST_TOLD]) + more)
            with connection.cursor() as cursor:
                for sql in connection.ops.sequence_reset_sql(no_style(), [model for model, _ in found]):
                    cursor.execute(sql)
            connection.check_constraints()
    except DatabaseError as error:
        raise BooksError(f"The files do not fit together: {error}.") from error
    return counts

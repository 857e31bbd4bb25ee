"""A table somebody kept elsewhere, as text: CSV of any common kind, or the first sheet of a workbook."""

import csv
import io
import zipfile
from dataclasses import dataclass
from datetime import date, datetime
from itertools import islice
from typing import Any
from xml.etree.ElementTree import ParseError

from openpyxl import load_workbook
from openpyxl.utils.exceptions import InvalidFileException

from firewood_site.refusals import PageRefusal

MOST_BYTES = 5 * 1024 * 1024
MOST_UNPACKED = 60 * 1024 * 1024  # a workbook is a zip archive
MOST_ROWS = 3_000
MOST_COLUMNS = 60
MOST_LETTERS = 300  # of one cell
SEPARATORS = ",;\t"
BROKEN = (zipfile.BadZipFile, InvalidFileException, ParseError, KeyError, ValueError, OSError, TypeError)


class BadTable(PageRefusal):
    """A file that can't be read as a table; the sentence says what would help."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """The names of the first line, and every line below it that holds anything, all as text."""

    names: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def read_table(name: str, data: bytes) -> Table:
    """The table in a file.

    Errors
        BadTable: too large, of another kind, or without a line of names and one below it.
    """
    if len(data) > MOST_BYTES:
        raise BadTable("That file is larger than 5 MB: split it, or save only the columns you need.")
    if name.lower().endswith(".xls"):
        raise BadTable("That is the old kind of workbook: open it and save it as .xlsx or as CSV.")
    lines = _of_workbook(data) if data[:2] == b"PK" else _of_text(data)
    filled = [line for line in lines if any(cell for cell in line)]
    if len(filled) < 2:
        raise BadTable("The first line should name the columns, with at least one line below it.")
    if len(filled) - 1 > MOST_ROWS:
        raise BadTable(
            "That is more than {most:,} lines: split the file and bring in one at a time.", most=MOST_ROWS
        )
    width = min(max(len(line) for line in filled), MOST_COLUMNS)
    names = [cell or f"column {place}" for place, cell in enumerate(_wide(filled[0], width), start=1)]
    return Table(names=tuple(names), rows=tuple(_wide(line, width) for line in filled[1:]))


def _of_text(data: bytes) -> list[list[str]]:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")  # how older spreadsheets save CSV
    if "\0" in text:
        raise BadTable("That is no table: save it as CSV or as an .xlsx workbook.")
    first = text.partition("\n")[0]
    separator = max(SEPARATORS, key=first.count)
    try:
        read = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
        return [[_text(cell) for cell in line] for line in islice(read, MOST_ROWS + 2)]
    except csv.Error as error:
        raise BadTable(
            "The file can't be read as CSV ({error}): save it anew from the spreadsheet.", error=error
        ) from error


def _of_workbook(data: bytes) -> list[list[str]]:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if sum(part.file_size for part in packed.infolist()) > MOST_UNPACKED:
                raise BadTable("That workbook is too large once unpacked: save the one sheet as CSV.")
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        try:
            sheet = book.worksheets[0]
            lines = sheet.iter_rows(max_row=MOST_ROWS + 2, max_col=MOST_COLUMNS, values_only=True)
            return [[_text(cell) for cell in line] for line in lines]
        finally:
            book.close()
    except (*BROKEN, IndexError, AttributeError) as error:
        raise BadTable("That workbook can't be read: open it and save it anew, or save it as CSV.") from error


def _text(cell: Any) -> str:
    if cell is None:
        return ""
    if isinstance(cell, datetime):
        return cell.date().isoformat()
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return " ".join(str(cell).split())[:MOST_LETTERS]


def _wide(line: list[str], width: int) -> tuple[str, ...]:
    return tuple((line + [""] * width)[:width])

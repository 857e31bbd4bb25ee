"""What each kind of table may tell us: its fields, the names other books give them, how a cell is read."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Any

from firewood_site.amounts import in_cords
from inventory.core.local import SIGNS
from inventory.core.sentences import Refusal
from inventory.core.units import parse_cords, read_amount
from inventory.core.woods import wood_named

DAYS = ("%Y-%m-%d", "%m/%d/%Y", "%m/%d/%y", "%d.%m.%Y", "%b %d, %Y", "%B %d, %Y", "%b %d %Y")
FIRST_DAY = date(1990, 1, 1)
MOST_DOLLARS = Decimal(100_000)


class BadCell(Refusal):
    """A cell that can't be read; the sentence names what would do."""


def _name(text: str) -> str:
    return text[:120]


def read_day(text: str) -> date:
    for pattern in DAYS:
        try:
            on = datetime.strptime(text, pattern).date()
        except ValueError:
            continue
        if on < FIRST_DAY:
            break
        return on
    raise BadCell("{text!r} is no day: write it as 2026-09-18 or 9/18/2026.", text=text)


def read_dollars(text: str) -> Decimal:
    plain = re.sub(r"\s", "", text).strip("".join(SIGNS))
    plain = (
        plain.replace(",", "")
        if re.fullmatch(r"-?\d{1,3}(,\d{3})*(\.\d+)?", plain)
        else plain.replace(",", ".")
    )
    try:
        dollars = Decimal(plain)
    except InvalidOperation as error:
        raise BadCell("{text!r} is no amount of money: write it as 145 or 145.50.", text=text) from error
    if not dollars.is_finite() or not 0 <= dollars <= MOST_DOLLARS:
        raise BadCell("{text!r} is no price of wood: write 0 to 100,000.", text=text)
    return dollars.quantize(Decimal("0.01"))


def _cords(text: str) -> Fraction:
    return read_amount(_with_point(text))


def _with_point(text: str) -> str:
    return re.sub(r"(\d),(\d)", r"\1.\2", text)


def _wood(text: str) -> str:
    if wood := wood_named(text):
        return str(wood)
    raise BadCell("{text!r} is no wood we know: write fir, hardwood, mixed, kindling or logs.", text=text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One thing we can use. names: parts of what other books call it, the surest first."""

    key: str
    label: str
    names: tuple[str, ...]
    read: Callable[[str], Any] = _name
    is_needed: bool = False


def _needed(key: str, label: str, *names: str, read: Callable[[str], Any] = _name) -> Field:
    return Field(key=key, label=label, names=names, read=read, is_needed=True)


NAME = _needed("name", "Name", "name", "customer", "buyer", "who")
PHONE = Field(key="phone", label="Phone", names=("phone", "mobile", "cell", "tel"))
TOWN = Field(key="town", label="Town", names=("town", "city"))
CORDS = _needed("cords", "Cords", "cord", "amount", "quantity", "qty", "volume", read=_cords)
WOOD = _needed("wood", "Wood", "wood", "species", "type", "kind", read=_wood)

KINDS: Mapping[str, tuple[Field, ...]] = {
    "customers": (
        NAME,
        PHONE,
        Field(key="email", label="E-mail", names=("mail",)),
        Field(key="address", label="Street and number", names=("address", "street", "where")),
        TOWN,
        Field(key="access", label="Access, gate, drop spot", names=("access", "gate", "note", "comment")),
        Field(key="owed", label="Owes from before ($)", names=("owe", "balance", "due"), read=read_dollars),
    ),
    "orders": (
        NAME,
        PHONE,
        _needed("on", "Delivered on", "deliver", "date", "day", "when", read=read_day),
        WOOD,
        CORDS,
        _needed("total", "Price ($)", "total", "price", "charge", "$", read=read_dollars),
        Field(
            key="paid", label="Paid ($); without it, all of it", names=("paid", "received"), read=read_dollars
        ),
        TOWN,
    ),
    "lots": (
        _needed("name", "Name of the heap", "name", "lot", "heap", "pile", "stack"),
        WOOD,
        CORDS,
        Field(key="yard", label="Yard", names=("yard", "place", "where", "location")),
        Field(key="split_on", label="Split on", names=("split",), read=read_day),
        Field(key="felled_on", label="Felled on", names=("fell", "cut"), read=read_day),
        Field(key="code", label="Code on its tag", names=("code", "tag", "number", "no.")),
    ),
}


def guessed(kind: str, names: tuple[str, ...]) -> dict[str, int]:
    """Which column of a file each field most likely is; a column serves one field, a field may have none."""
    found: dict[str, int] = {}
    plain = [name.casefold() for name in names]
    for exact in (True, False):
        for field in KINDS[kind]:
            for word in field.names:
                if field.key in found:
                    break
                for place, name in enumerate(plain):
                    if place not in found.values() and (name == word if exact else word in name):
                        found[field.key] = place
                        break
    return found


def read_row(
    kind: str, row: tuple[str, ...], columns: Mapping[str, int], names: tuple[str, ...]
) -> dict[str, Any]:
    """A line's values by field; an empty cell is None. A bare amount is in the unit of the place, unless its
    column's name says cords; `count`: the figure alone, as of bundles.

    Errors
        BadCell: a needed cell is empty. BadCell, InventoryError: one that can't be read.
    """
    values: dict[str, Any] = {}
    for field in KINDS[kind]:
        place = columns.get(field.key)
        text = row[place].strip() if place is not None and place < len(row) else ""
        if not text and field.is_needed:
            raise BadCell("{column} is missing.", column=field.label)
        if field is CORDS:
            values["count"] = parse_cords(_with_point(text))
            text = in_cords(_with_point(text)) if "cord" in names[place or 0].casefold() else text
        values[field.key] = field.read(text) if text else None
    return values

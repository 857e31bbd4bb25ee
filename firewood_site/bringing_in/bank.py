"""Lines of a bank's file held against open orders: by their reference, else by name and the exact amount."""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import NAMESPACE_URL, UUID, uuid5

from firewood_site.bringing_in.columns import BadCell, read_day, read_dollars
from firewood_site.bringing_in.tables import BadTable, Table
from orders.selectors.money import booked_keys
from orders.selectors.orders import OrderRow

DAY_NAMES = ("date", "posted", "day")
MONEY_NAMES = ("credit", "amount", "deposit", "money in", "paid in")


@dataclass(frozen=True, slots=True, kw_only=True)
class BankLine:
    """Money that came in. order: whose it seems to be; key: the same line of the same file is booked once."""

    key: UUID
    on: date
    dollars: Decimal
    text: str
    order: OrderRow | None
    is_sure: bool  # its reference stands there and no more came than is due
    is_booked: bool


def bank_lines(table: Table, orders: tuple[OrderRow, ...], *, initials: str) -> tuple[BankLine, ...]:
    """What came in, newest first; lines of money that went out are left away.

    Errors
        BadTable: no column that is a day, or none that is an amount.
    """
    day_at = _column(table, DAY_NAMES, "date")
    money_at = _column(table, MONEY_NAMES, "amount")
    reference = (
        re.compile(rf"\b{re.escape(initials)}[\s_-]*(\d{{1,9}})\b", re.IGNORECASE) if initials else None
    )
    by_number = {row.number: row for row in orders}
    found = []
    seen: dict[str, int] = {}
    for cells in table.rows:
        try:
            on, dollars = read_day(cells[day_at]), read_dollars(cells[money_at])
        except BadCell:
            continue  # money that went out has a minus; a line of words has no day
        if not dollars:
            continue
        text = " ".join(cell for place, cell in enumerate(cells) if place not in (day_at, money_at) and cell)
        line = f"{on}|{dollars}|{text.casefold()}"
        seen[line] = seen.get(line, 0) + 1  # two alike on one day are two
        said = reference.search(text) if reference else None
        order = by_number.get(int(said[1])) if said else _by_name(text, dollars, orders)
        found.append(
            (uuid5(NAMESPACE_URL, f"firewood:bank:{line}|{seen[line]}"), on, dollars, text, order, said)
        )
    booked = booked_keys(key for key, *_rest in found)
    rows = [
        BankLine(
            key=key,
            on=on,
            dollars=dollars,
            text=text[:200],
            order=order,
            is_sure=bool(said) and order is not None and dollars <= order.due,
            is_booked=key in booked,
        )
        for key, on, dollars, text, order, said in found
    ]
    return tuple(sorted(rows, key=lambda row: (row.is_booked, row.order is None, -row.on.toordinal())))


def _column(table: Table, names: tuple[str, ...], what: str) -> int:
    for name in names:
        for place, title in enumerate(table.names):
            if name in title.casefold():
                return place
    raise BadTable(
        "No column of this file is called {what}: the first line should name the columns.", what=what
    )


def _by_name(text: str, dollars: Decimal, orders: tuple[OrderRow, ...]) -> OrderRow | None:
    """The one order of somebody named there that owes exactly this; nobody's where two could be meant."""
    words = set(re.findall(r"\w+", text.casefold()))
    fits = [
        row
        for row in orders
        if row.due == dollars and set(re.findall(r"\w+", row.customer.casefold())) <= words
    ]
    return fits[0] if len(fits) == 1 else None

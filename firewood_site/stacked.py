"""A wide table that stands in small cards on a phone: every cell carries the name of its column."""

import re

CELL = re.compile(r"<(t[hd])\b([^>]*)>")
ROW = re.compile(r"<tr\b[^>]*>.*?</tr>", re.DOTALL)
COLUMNS = re.compile(r"<th\b([^>]*)>(.*?)</th>", re.DOTALL)
TAG = re.compile(r"<[^>]+>")
SPAN = re.compile(r'colspan="(\d+)"')
ROLES = (
    ("<table", '<table role="table"'),
    ("<thead>", '<thead role="rowgroup">'),
    ("<tbody>", '<tbody role="rowgroup">'),
    ("<tfoot>", '<tfoot role="rowgroup">'),
    ("<tr", '<tr role="row"'),
)


def stacked_table(table: str, *, lead: int) -> str:
    """A table with its column's name on every cell.

    Shapes
        lead: the column that stands beside the row's name, from 1; -1 is the last.

    Cards take the meaning of a table away where they are drawn, so it is written out in roles.
    """
    head, middle, rest = table.partition("</thead>")
    names = [" ".join(TAG.sub(" ", words).split()) for _, words in COLUMNS.findall(head)]
    lead = lead if lead > 0 else len(names) + lead + 1
    head = CELL.sub(lambda found: f'<{found[1]} role="columnheader"{found[2]}>', head)
    rest = ROW.sub(lambda row: _named(row[0], names, lead), rest)
    whole = head + middle + rest
    for plain, with_role in ROLES:
        whole = re.sub(rf"{plain}(?=[ >])" if plain[-1] != ">" else plain, with_role, whole)
    return whole


def _named(row: str, names: list[str], lead: int) -> str:
    column = 0

    def cell(found: re.Match[str]) -> str:
        nonlocal column
        name = names[column] if column < len(names) else ""
        column += 1
        attrs = found[2]
        span = SPAN.search(attrs)
        if found[1] == "th":
            return f'<th role="rowheader"{attrs}>'
        if span:
            column += int(span[1]) - 1
            return f'<td role="cell"{attrs}>'
        beside = ' data-lead=""' if column == lead else ""
        return f'<td role="cell" data-label="{name}"{beside}{attrs}>'

    return CELL.sub(cell, row)

"""A ledger as rows that can be kept and shown: rounded so that they add up to their sum as it is shown."""

from collections.abc import Mapping, Sequence
from math import floor
from typing import Any

from routing.season.ledger import Ledger, What
from routing.season.plan import TaskPart

CENT, TENTH, HUNDREDTH = 0.01, 0.1, 0.01
LEAST_CENTS = 0.25  # dollars: of a sum in cents, what is smaller goes into one row
SPARE, SMALL = "spare", "small"
GROUPS = {
    "sold": (What.SALE,),
    "share": (What.SHARE,),
    "paid": (What.DRIVE, What.TRIP, What.FELL, What.MOVE, What.TREAT),
    "left": (What.LEFT,),
}

type Row = dict[str, Any]


def rounded(values: Sequence[float], unit: float = 1.0, *, to: float | None = None) -> list[float]:
    """Values in whole units that add up to their rounded sum, or to the sum given.

    Source
        The largest remainder method, also Hamilton's.
    """
    target = round((sum(values) if to is None else to) / unit)
    found = [floor(value / unit) for value in values]
    by_rest = sorted(range(len(values)), key=lambda i: found[i] - values[i] / unit)
    missing = target - sum(found)
    for turn in range(abs(missing)) if values else ():
        place = turn % len(values)
        found[by_rest[place] if missing > 0 else by_rest[-1 - place]] += 1 if missing > 0 else -1
    return [_plain(count * unit) for count in found]


def _plain(value: float) -> float:
    value = round(value, 2)
    return int(value) if value == int(value) else value


def lines(ledger: Ledger, names: Mapping[str, str], *, unit: float = 1.0) -> list[Row]:
    """Rows by what the money is for, the largest first; what rounds to nothing is left out."""
    parts = sorted(ledger, key=lambda part: (list(What).index(part.what), -abs(ledger[part].dollars)))
    least = LEAST_CENTS if unit < 1 else 0.0
    shown = [part for part in parts if abs(ledger[part].dollars) >= least]
    rest = sum(ledger[part].dollars for part in parts if part not in shown)
    dollars = rounded([*(ledger[part].dollars for part in shown), rest], unit)
    rows: list[Row] = [
        {
            **part._asdict(),
            "what": str(part.what),
            "name": names.get(part.name, part.name),
            "target": part.name,
            "amount": _plain(ledger[part].amount),
            "dollars": paid,
        }
        for part, paid in zip(shown, dollars, strict=False)
    ]
    rows.append({"what": SMALL, "dollars": dollars[-1]})
    return [row for row in rows if row["dollars"]]


def sum_of(rows: Sequence[Row], key: str = "dollars") -> float:
    return _plain(sum(row[key] for row in rows))


def grouped(ledger: Ledger, *, to: float | None = None) -> Row:
    """Sold, cost-share, paid out and left over, with their net."""
    sums = [
        sum(line.dollars for part, line in ledger.items() if part.what in group) for group in GROUPS.values()
    ]
    row: Row = dict(zip(GROUPS, rounded(sums, to=to), strict=True))
    return row | {"net": sum(row.values())}


def work_lines(
    parts: Sequence[TaskPart], *, hours: float, amount: float, names: Mapping[str, str]
) -> list[Row]:
    """A decision's work row by row: its hours add up to the decision's, what is to spare among them.

    amount: cords or acres of the first step; the rows of that step add up to it.
    """
    spare = max(hours - sum(part.hours for part in parts), 0.0)
    spent = rounded([*(part.hours for part in parts), spare], TENTH, to=hours)
    first = [part for part in parts if part.step == parts[0].step]
    amounts = dict(zip(first, rounded([part.amount for part in first], HUNDREDTH, to=amount), strict=True))
    rows: list[Row] = [
        {
            "step": str(part.step),
            "name": names.get(part.target, part.target),
            "kind": part.sale.kind if part.sale else "",
            "dryness": part.sale.dryness if part.sale else "",
            "order": part.sale.order if part.sale else "",
            "amount": amounts.get(part, _plain(part.amount)),
            "hours": done,
        }
        for part, done in zip(parts, spent, strict=False)
    ]
    if spent and spent[-1]:
        rows.append({"step": SPARE, "amount": 0, "hours": spent[-1]})
    return [row for row in rows if row["amount"] or row["hours"]]

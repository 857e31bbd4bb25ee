"""Bills and other money on a day, as the seller writes them: "Nov 1, 450, new chain"; "+600" comes in."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from routing.season.problem import SeasonProblemError

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
MOST = 1_000_000
NAMED = re.compile(r"([a-z]{3})[a-z]*\.? +(\d{1,2})")
NUMBERED = re.compile(r"(\d{1,2})/(\d{1,2})")
LINE = re.compile(r"\s*([^,]+),\s*(\+?)\s*\$?\s*(\d[\d ]*(?:\.\d{1,2})?)\s*(?:,(.*))?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    """Dollars out on a day, or in where they are above zero."""

    on: date
    dollars: float
    what: str


def read_bills(text: str, *, today: date) -> tuple[Bill, ...]:
    """Every line's day and dollars; a day without a year is the next one there is.

    Errors
        SeasonProblemError: says which line, and how to write it.
    """
    return tuple(_bills(text, today))


def _bills(text: str, today: date) -> Iterator[Bill]:
    for number, line in enumerate((line for line in text.splitlines() if line.strip()), start=1):
        read = LINE.fullmatch(line)
        on = _day(read[1].strip().lower(), today) if read else None
        if read is None or on is None:
            raise SeasonProblemError(
                "Line {number} of the bills can't be read: write day, dollars and what, such as "
                '"Nov 1, 450, new chain", or "Dec 15, +600, cost-share".',
                number=number,
            )
        amount = float(read[3].replace(" ", ""))
        if amount > MOST:
            raise SeasonProblemError(
                "Line {number} of the bills is more than a million dollars.", number=number
            )
        yield Bill(on=on, dollars=amount if read[2] else -amount, what=(read[4] or "").strip())


def _day(text: str, today: date) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        pass
    if (named := NAMED.fullmatch(text)) and named[1] in MONTHS:
        month, day = MONTHS.index(named[1]) + 1, int(named[2])
    elif numbered := NUMBERED.fullmatch(text):
        month, day = int(numbered[1]), int(numbered[2])
    else:
        return None
    for year in range(today.year, today.year + 8):  # the next leap day may be eight years off
        try:
            on = date(year, month, day)
        except ValueError:
            continue
        if on >= today:
            return on
    return None

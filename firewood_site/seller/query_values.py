"""What an address or a hidden field asks for: days, pages and numbers, read without trusting them."""

from datetime import date

from django.http import Http404

FIRST_DAY, LAST_DAY = date(1990, 1, 1), date(2099, 12, 31)  # no book and no promise lies outside
MOST_PAGES = 100_000
LONGEST_ROW = 18  # digits an id column holds


def is_near(on: date) -> bool:
    """Whether a day can be meant at all; the rest are slips of the finger in the year."""
    return FIRST_DAY <= on <= LAST_DAY


def day_of_query(text: str) -> date | None:
    """A day such as 2026-09-18; None for anything else."""
    try:
        on = date.fromisoformat(text)
    except ValueError:
        return None
    return on if is_near(on) else None


def month_of_query(text: str) -> date | None:
    """The first of a month such as 2026-09; None for anything else."""
    return day_of_query(f"{text}-01")


def place_of_query(text: str) -> tuple[int | None, int | None, int]:
    """A place on a day, "load:position" or "runNUMBER:1", as load, run and position from 1.

    Errors
        Http404: it is no place.
    """
    where, _, position = text.partition(":")
    number, place = index_of_query(where.removeprefix("run")), index_of_query(position)
    if number is None or place is None:
        raise Http404("There is no such place on the day.")
    return (None, number, place) if where.startswith("run") else (number, None, place)


def row_of_query(text: str) -> int:
    """The number of a row; 0, which no row has, for anything else."""
    return index_of_query(text) or 0


def index_of_query(text: str) -> int | None:
    """A whole number from 0 that a column holds; None for anything else."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= LONGEST_ROW else None


def page_of_query(text: str) -> int:
    """A page of a list, from 1; the first for anything else."""
    page = row_of_query(text)
    return page if 0 < page < MOST_PAGES else 1

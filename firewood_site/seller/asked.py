"""What an address or a hidden field asks for: days, pages and numbers, read without trusting them."""

from datetime import date

FIRST_DAY, LAST_DAY = date(1990, 1, 1), date(2099, 12, 31)  # no book and no promise lies outside
MOST_PAGES = 100_000


def is_near(on: date) -> bool:
    """Whether a day can be meant at all; the rest are slips of the finger in the year."""
    return FIRST_DAY <= on <= LAST_DAY


def day_asked(words: str) -> date | None:
    """A day such as 2026-09-18; None for anything else."""
    try:
        on = date.fromisoformat(words)
    except ValueError:
        return None
    return on if is_near(on) else None


def month_asked(words: str) -> date | None:
    """The first of a month such as 2026-09; None for anything else."""
    return day_asked(f"{words}-01")


def page_asked(words: str) -> int:
    """A page of a list, from 1; the first for anything else."""
    return int(words) if words.isdecimal() and 0 < int(words) < MOST_PAGES else 1

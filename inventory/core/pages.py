"""Long lists, a page at a time."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Page[Row]:
    """The rows of a page, how many were found in all, which page it is and of how many."""

    rows: tuple[Row, ...]
    found: int
    page: int
    pages: int


def page_within(found: int, *, page: int, size: int) -> tuple[int, int, slice]:
    """The page asked for or the nearest there is, how many there are, and where its rows stand.

    >>> page_within(121, page=9, size=60)
    (3, 3, slice(120, 180, None))
    """
    pages = max(1, -(-found // size))
    page = min(max(1, page), pages)
    return page, pages, slice((page - 1) * size, page * size)

"""A chart as it stands on a page: title, finding, drawing, and the figures as a table and as CSV."""

from csv import writer
from dataclasses import dataclass
from io import StringIO
from urllib.parse import quote

from inventory.core.charts.marks import BadDrawing, plain
from inventory.core.sentences import ENGLISH, say

FORMULA_SIGNS = ("=", "+", "@")


class Markup(str):
    """Text that is markup already: template engines ask for `__html__` and then leave it as it is."""

    __slots__ = ()

    def __html__(self) -> str:
        return self


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """The figures behind a chart, in words: a head and rows, the first cell of each naming it."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """A whole chart, ready for a page; templates print it as it is.

    key: unique on the page, letters, digits and hyphens. title: what is shown, with its unit.
    finding: the one sentence to take away. legend: what each kind of mark means. language: of all of these,
    and of the few words that stand on every chart.
    """

    key: str
    title: str
    drawing: str
    table: Table
    finding: str = ""
    legend: str = ""
    language: str = ENGLISH

    def __post_init__(self) -> None:
        if not self.key or not all(letter.isalnum() or letter == "-" for letter in self.key):
            raise BadDrawing("its key {key!r} may hold letters, digits and hyphens only", key=self.key)
        if not self.table.rows:
            raise BadDrawing("there is nothing to show yet")

    @property
    def csv(self) -> str:
        """The table as RFC 4180 text; a cell that a spreadsheet would run as a formula is made text."""
        out = StringIO()
        lines = writer(out)
        for row in (self.table.head, *self.table.rows):
            lines.writerow([f"'{cell}" if cell.startswith(FORMULA_SIGNS) else cell for cell in row])
        return out.getvalue()

    def __html__(self) -> str:
        finding = f'<p class="finding">{plain(self.finding)}</p>' if self.finding else ""
        as_table = plain(say("See it as a table", language=self.language))
        as_csv = plain(say("Download as CSV", language=self.language))
        legend = f'<p class="legend small">{plain(self.legend)}</p>' if self.legend else ""
        return (
            f'<figure class="chart" id="chart-{self.key}"><figcaption><h2>{plain(self.title)}</h2>{finding}'
            f"</figcaption>{self.drawing}{legend}<details><summary>{as_table}</summary>"
            f'{self._table()}<p><a download="{self.key}.csv" '
            f'href="data:text/csv;charset=utf-8,{quote(self.csv)}">{as_csv}</a></p></details></figure>'
        )

    def __str__(self) -> str:
        return Markup(self.__html__())

    def _table(self) -> str:
        def cell(text: str, place: int, *, is_head: bool) -> str:
            number = ' class="num"' if place else ""
            if is_head:
                return f'<th scope="col"{number}>{plain(text)}</th>'
            return f"<td{number}>{plain(text)}</td>" if place else f'<th scope="row">{plain(text)}</th>'

        def line(row: tuple[str, ...], *, is_head: bool = False) -> str:
            return "".join(["<tr>", *(cell(text, n, is_head=is_head) for n, text in enumerate(row)), "</tr>"])

        rows = "".join(line(row) for row in self.table.rows)
        name = plain(say("{title}, table", language=self.language, title=self.title))
        return (
            f'<div class="table-wrap" tabindex="0" role="region" aria-label="{name}">'
            f"<table><thead>{line(self.table.head, is_head=True)}</thead><tbody>{rows}</tbody></table></div>"
        )

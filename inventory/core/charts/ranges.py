"""A range on a scale, small enough for a table's cell: a band, the likely mark, a dashed limit."""

from inventory.core.charts.figure import Markup
from inventory.core.charts.marks import Number, short

HIGH = 14


def range_bar(
    *, low: Number, likely: Number | None, high: Number, most: Number, limit: Number | None = None
) -> Markup:
    """A bar on a scale from 0 to `most`; the figures stand beside it, so that it is hidden from readers.

    likely: None where it lies beyond the scale.
    """

    def place(value: Number) -> float:
        return min(max(float(value) / float(most), 0.0), 1.0) * 100 if most else 0.0

    start, end = place(low), place(high)
    parts = ['<line class="base" x1="0" x2="100%" y1="7" y2="7"/>']
    if limit is not None:
        at = short(place(limit))
        parts.append(f'<line class="limit" x1="{at}%" x2="{at}%" y1="0" y2="{HIGH}"/>')
    if end > start:
        wide = short(end - start)
        parts.append(f'<rect class="band" x="{short(start)}%" width="{wide}%" y="3" height="8" rx="2"/>')
    if likely is not None:
        parts.append(
            f'<svg x="{short(place(likely))}%" overflow="visible">'
            f'<rect class="likely" x="-2" width="4" y="0" height="{HIGH}" rx="1"/></svg>'
        )
    return Markup(
        f'<svg class="range" width="100%" height="{HIGH}" aria-hidden="true">{"".join(parts)}</svg>'
    )

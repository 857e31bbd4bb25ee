"""The few SVG pieces charts are made of, and numbers in words.

`across` is percent of the drawing's width, `down` pixels from its top. Looks come from classes in the
site's style sheet; there is never a style attribute.
"""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from html import escape

from inventory.core import InventoryError
from inventory.core.charts.scale import NARROW_PX, anchored, cut, label_classes
from inventory.core.local import MINUS, money_words
from inventory.core.sentences import ENGLISH, FramedRefusal, say

type Number = int | float | Decimal | Fraction


class BadDrawing(FramedRefusal, InventoryError):
    """A drawing without anything in it, or with a key that cannot be an id."""

    frame = "The chart cannot be drawn: {problem}."


def plain(text: str) -> str:
    """Text fit to stand in SVG: its signs escaped, and the control characters left out that XML forbids."""
    kept = (" " if sign.isspace() else sign for sign in text if sign.isspace() or sign.isprintable())
    return escape("".join(kept))


def plot(*, height: int, parts: str, label: str = "") -> str:
    """A drawing as wide as its place; named where it says something the text beside it does not."""
    named = f'role="img" aria-label="{plain(label)}"' if label else 'aria-hidden="true"'
    return f'<svg class="plot" width="100%" height="{height}" {named}>{parts}</svg>'


def stretched(parts: str, *, down: int, high: int) -> str:
    """Lines and bands in hundredths of the width and of a height, stretched to fit."""
    return (
        f'<svg x="0" y="{down}" width="100%" height="{high}" '
        f'viewBox="0 0 100 100" preserveAspectRatio="none">{parts}</svg>'
    )


def rect(css: str, *, across: Number, wide: Number, down: Number, high: Number) -> str:
    """A box; one of no width shows as a hair's breadth."""
    width = max(float(wide), 0.3)
    return (
        f'<rect class="{css}" x="{short(across)}%" width="{short(width)}%" y="{short(down)}" '
        f'height="{short(high)}" rx="2"/>'
    )


def upright(css: str, *, across: Number, top: Number, foot: Number) -> str:
    """A vertical line."""
    x = f"{short(across)}%"
    return f'<line class="{css}" x1="{x}" x2="{x}" y1="{short(top)}" y2="{short(foot)}"/>'


def level(css: str, *, down: Number) -> str:
    """A horizontal line over the whole width."""
    return f'<line class="{css}" x1="0" x2="100%" y1="{short(down)}" y2="{short(down)}"/>'


def dot(css: str, *, across: Number, down: Number, radius: Number = 5) -> str:
    """A round mark."""
    return f'<circle class="{css}" cx="{short(across)}%" cy="{short(down)}" r="{short(radius)}"/>'


def label_at(
    text: str, *, across: Number, down: Number, anchor: str = "start", css: str = "", dx: int = 0
) -> str:
    """A line of text. Units: dx: pixels to the right of its place."""
    looks = f' class="{css}"' if css else ""
    moved = f' dx="{dx}"' if dx else ""
    place = f'x="{short(across)}%" y="{short(down)}" text-anchor="{anchor}"'
    return f"<text{looks} {place}{moved}>{plain(text)}</text>"


def labels_in_row(
    places: Sequence[tuple[float, str]],
    *,
    down: Number,
    first: Sequence[int] = (),
    narrow_px: float = NARROW_PX,
) -> str:
    """Labels centered at their places as far as they have room, those in `first` before all others."""
    texts = [(across, cut(text)) for across, text in places]
    return "".join(
        centered(text, across=across, down=down, css=f"soft {shown}".strip())
        for (across, text), shown in zip(
            texts, label_classes(texts, first=first, narrow_px=narrow_px), strict=True
        )
        if shown is not None
    )


def centered(text: str, *, across: float, down: Number, css: str = "") -> str:
    """A line of text around its place, within the drawing."""
    place, anchor = anchored(across, text)
    return label_at(text, across=place, down=down, anchor=anchor, css=css)


def tick_words(text: str, *, down: float) -> str:
    """What a level line stands for, left of the drawing."""
    return f'<text class="e soft" x="-6" y="{short(down + 5)}">{plain(text)}</text>'


def compact(size: float) -> str:
    """A number of few letters: 0.02, 806, 1.3k, 2.5M.

    >>> [compact(size) for size in (0, 0.016, 12.5, 806, 1340, 20_000, 2_500_000)]
    ['0', '0.02', '12.5', '806', '1.3k', '20k', '2.5M']
    """
    for unit, letter in ((1_000_000, "M"), (1000, "k")):
        if size >= unit:
            return f"{size / unit:.{0 if size >= 100 * unit else 1}f}".removesuffix(".0") + letter
    return f"{size:.2f}" if 0 < size < 1 else f"{size:.0f}" if size >= 100 else f"{size:.3g}"


def percent(figure: Number, *, language: str = ENGLISH) -> str:
    """A percent as the language writes it: "45%", in Spanish "45 %"."""
    return say("{number}%", language=language, number=f"{figure:.0f}")


def short(number: Number) -> str:
    """A coordinate, short."""
    return f"{float(number):.2f}".rstrip("0").rstrip(".") or "0"


def money(amount: Number, *, cents: bool = True) -> str:
    """Money as charts and findings say it, cents and all unless told.

    >>> money(-4.5), money(1340, cents=False)
    ('−\u2060$4.50', '$1,340')
    """
    return money_words(amount, cents=cents).replace("-", MINUS, 1)

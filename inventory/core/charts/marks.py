"""The few SVG pieces charts are made of, and numbers in words.

`across` is percent of the drawing's width, `down` pixels from its top. Looks come from classes in the
site's style sheet; there is never a style attribute.
"""

from decimal import Decimal
from fractions import Fraction
from html import escape

from inventory.core import InventoryError
from inventory.core.local import MINUS, money_words

type Number = int | float | Decimal | Fraction


class BadDrawing(InventoryError):
    """A drawing without anything in it, or with a key that cannot be an id."""

    def __init__(self, *, problem: str) -> None:
        self.problem = problem
        super().__init__("The chart cannot be drawn: {problem}.", problem=problem)


def plain(text: str) -> str:
    """Text fit to stand in SVG: its signs escaped, and the control characters left out that XML forbids."""
    kept = (" " if sign.isspace() else sign for sign in text if sign.isspace() or sign.isprintable())
    return escape("".join(kept))


def plot(*, height: int, parts: str, label: str = "", css: str = "") -> str:
    """A drawing as wide as its place; named where it says something the text beside it does not."""
    named = f'role="img" aria-label="{plain(label)}"' if label else 'aria-hidden="true"'
    return f'<svg class="plot{" " + css if css else ""}" width="100%" height="{height}" {named}>{parts}</svg>'


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


def short(number: Number) -> str:
    """A coordinate, short."""
    return f"{float(number):.2f}".rstrip("0").rstrip(".") or "0"


def money(amount: Number, *, cents: bool = True) -> str:
    """Money as charts and findings say it, cents and all unless told.

    >>> money(-4.5), money(1340, cents=False)
    ('−\u2060$4.50', '$1,340')
    """
    return money_words(amount, cents=cents).replace("-", MINUS, 1)

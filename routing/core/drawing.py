"""The few SVG pieces that charts and woodpile bars are made of.

Every drawing is one picture to a screen reader: role "img" with a title and a description that carry the
figures. Looks come from classes in the site's style sheet; there is never a style attribute.
"""

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from html import escape

from routing.core import RoutingError

type Number = int | float | Decimal | Fraction


class BadDrawing(RoutingError):
    """A drawing without anything in it, or with a key that cannot be an id."""

    def __init__(self, *, trouble: str) -> None:
        self.trouble = trouble
        super().__init__(f"The chart cannot be drawn: {trouble}.")


def picture(
    *, key: str, title: str, description: str, width: Number, height: Number, css: str, parts: Iterable[str]
) -> str:
    """A whole SVG.

    key: unique on the page, letters, digits and hyphens; it makes the ids of title and description.

    Errors
        BadDrawing: the key cannot be part of an id.
    """
    if not key or not all(letter.isalnum() or letter == "-" for letter in key):
        raise BadDrawing(trouble=f"its key {key!r} may hold letters, digits and hyphens only")
    return (
        f'<svg class="{css}" role="img" aria-labelledby="{key}-title {key}-desc" '
        f'viewBox="0 0 {at(width)} {at(height)}" xmlns="http://www.w3.org/2000/svg">'
        f'<title id="{key}-title">{escape(title)}</title><desc id="{key}-desc">{escape(description)}</desc>'
        f"{''.join(parts)}</svg>"
    )


def box(x: Number, y: Number, width: Number, height: Number, css: str) -> str:
    """A rectangle; a width below zero is drawn to the left."""
    left, wide = (x, width) if width >= 0 else (float(x) + float(width), -width)
    return f'<rect class="{css}" x="{at(left)}" y="{at(y)}" width="{at(wide)}" height="{at(height)}" rx="2"/>'


def rule(x1: Number, y1: Number, x2: Number, y2: Number, css: str) -> str:
    """A straight line."""
    return f'<line class="{css}" x1="{at(x1)}" y1="{at(y1)}" x2="{at(x2)}" y2="{at(y2)}"/>'


def disk(x: Number, y: Number, radius: Number, css: str) -> str:
    """A circle."""
    return f'<circle class="{css}" cx="{at(x)}" cy="{at(y)}" r="{at(radius)}"/>'


def words(x: Number, y: Number, text: str, *, anchor: str = "start", css: str = "") -> str:
    """A line of text; anchor start, middle or end."""
    looks = f' class="{css}"' if css else ""
    return f'<text{looks} x="{at(x)}" y="{at(y)}" text-anchor="{anchor}">{escape(text)}</text>'


def at(number: Number) -> str:
    """A coordinate, short."""
    return f"{float(number):.2f}".rstrip("0").rstrip(".")


def money(amount: Number, *, cents: bool = True) -> str:
    """Dollars as they are read: -$4.50, $1,340.

    >>> money(-4.5), money(1340, cents=False)
    ('-$4.50', '$1,340')
    """
    value = Decimal(str(float(amount))) if not isinstance(amount, Decimal) else amount
    shown = f"{abs(value):,.2f}" if cents else f"{abs(value):,.0f}"
    sign = "-" if value < 0 and shown.strip("0.,") else ""
    return f"{sign}${shown}"

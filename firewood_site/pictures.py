"""Drawings of wood at its true size: a stack beside a person, to one scale, as inline SVG."""

from fractions import Fraction
from html import escape

FT = 24  # drawing units to the foot
ROW_FT = 8  # a row is drawn eight feet long and four high; three rows of 16-inch pieces make a cord
HIGH_FT = 4
ROWS_PER_CORD = 3
PERSON_FT = 5.6
BACK_X, BACK_Y = 13, 9  # how far each row behind is drawn aside
LOG = 10  # diameter of a log end, drawing units: five inches
LEAST_FT = 0.7


def stack_picture(cords: Fraction, *, label: str, key: str, with_person: bool = True) -> str:
    """A stack of so many cords, drawn to scale; `label` is read aloud, `key` keeps pattern names apart."""
    rows = _rows(cords)
    depth = len(rows) - 1
    left = round(2.2 * FT) if with_person else 6
    width = left + ROW_FT * FT + depth * BACK_X + 8
    high = max(HIGH_FT * FT + depth * BACK_Y, round(PERSON_FT * FT) if with_person else 0) + 14
    ground = high - 8
    parts = [
        f'<svg class="stack-picture" viewBox="0 0 {width} {high}" role="img" aria-label="{escape(label)}" '
        f'width="{width}" height="{high}">',
        f'<defs><pattern id="ends-{key}" width="{2 * LOG}" height="{2 * LOG - 3}" '
        f'patternUnits="userSpaceOnUse">{_pattern()}</pattern></defs>',
        f'<path class="log-ground" d="M2 {ground}H{width - 2}"/>',
    ]
    for behind in range(depth, -1, -1):
        length = rows[depth - behind]
        x, y = left + behind * BACK_X, ground - behind * BACK_Y
        parts.append(_row(x, y, length, key=key))
    if with_person:
        parts.append(_person(round(0.2 * FT), ground))
    parts.append("</svg>")
    return "".join(parts)


def _rows(cords: Fraction) -> list[float]:
    """Lengths in feet, back row first; the front one is what is left over."""
    whole, rest = divmod(cords * ROWS_PER_CORD, 1)
    rows = [float(ROW_FT)] * int(whole)
    if rest:
        rows.append(max(LEAST_FT, float(rest * ROW_FT)))
    return rows or [LEAST_FT]


def _row(x: int, ground: int, length_ft: float, *, key: str) -> str:
    wide, high = round(length_ft * FT), HIGH_FT * FT
    top = ground - high
    side = (
        f"M{x + wide} {ground}V{top}l{BACK_X} {-BACK_Y}V{ground - BACK_Y}z"
        f"M{x} {top}l{BACK_X} {-BACK_Y}h{wide}l{-BACK_X} {BACK_Y}z"
    )
    return (
        f'<path class="log-side" d="{side}"/>'
        f'<rect class="log-front" x="{x}" y="{top}" width="{wide}" height="{high}"/>'
        f'<rect fill="url(#ends-{key})" x="{x}" y="{top}" width="{wide}" height="{high}"/>'
    )


def _pattern() -> str:
    half = LOG / 2
    spots = (
        (half, half),
        (half + LOG, half),
        (0, half + LOG - 1.5),
        (LOG, half + LOG - 1.5),
        (2 * LOG, half + LOG - 1.5),
    )
    return "".join(f'<circle class="log-end" cx="{x:g}" cy="{y:g}" r="{half - 0.6:g}"/>' for x, y in spots)


def _person(x: int, ground: int) -> str:
    """A plain figure five feet seven tall."""
    high = round(PERSON_FT * FT)
    top = ground - high
    mid = x + 18
    return (
        f'<g class="person"><circle cx="{mid}" cy="{top + 10}" r="9"/>'
        f'<path d="M{mid - 12} {top + 26}q12 -8 24 0l4 42h-6l-3 -24v{high - 68}h-7v-40h-2v40h-7'
        f'v{-(high - 68)}l-3 24h-6z"/></g>'
    )

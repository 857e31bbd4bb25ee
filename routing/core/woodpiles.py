"""The fill bar and the weight bar of a load: a pile of log ends, and a beam with a limit.

The woodpile is this site's own mark: a box filled with log ends from the left, so that full, part full and
overfull are told by shape as well as by color.
"""

from decimal import Decimal
from fractions import Fraction

from routing.core.drawing import BadDrawing, box, disk, picture, rule, words

COLUMNS = 12
ROWS = 2
RADIUS = 11.0
SIZES = (0.94, 1.0, 0.86, 0.97, 0.9)  # log ends are never all alike
WIDTH = 360
OVER_COLUMNS = 2
BEAM_HEIGHT = 16


def woodpile(*, key: str, share: Fraction | Decimal | float, title: str, said: str = "") -> str:
    """A fill bar of log ends.

    Units
        share: 1 = full; above 1 the logs beyond the box are drawn past its wall.
        said: what stands below the pile, such as "0.83 of 1 cord"; default the percent.

    Errors
        BadDrawing: a share below zero.
    """
    filled = float(share)
    if filled < 0:
        raise BadDrawing(trouble="a load cannot be less than empty")
    pitch = WIDTH / (COLUMNS + OVER_COLUMNS + 0.5)
    radius = min(RADIUS, pitch / 2 - 0.6)
    row_height = pitch * 0.9
    floor = 6 + radius + row_height * (ROWS - 1)
    whole = COLUMNS * ROWS
    logs = min(whole + OVER_COLUMNS * ROWS, _logs(filled, whole))
    parts = []
    for place in range(max(whole, logs)):
        column, row = divmod(place, ROWS)
        x = pitch * (column + 0.5) + (pitch / 2 if row % 2 else 0)
        y = floor - row * row_height
        size = radius * SIZES[(place * 3 + row) % len(SIZES)]
        if place >= logs:
            parts.append(disk(x, y, size, "log-gap"))
            continue
        parts.append(disk(x, y, size, "log-end" if place < whole else "log-over"))
        parts.append(disk(x - size * 0.08, y, size * 0.55, "log-ring"))
        parts.append(disk(x - size * 0.12, y, size * 0.18, "log-ring"))
    wall = pitch * (COLUMNS + 0.5) + 1
    bottom = floor + radius + 2
    parts.append(rule(0, bottom, wall, bottom, "axis"))
    parts.append(rule(wall, 2, wall, bottom, "limit"))
    percent = f"{filled * 100:.0f}%"
    text = said or percent
    if filled > 1:
        text = f"{text}: over by {(filled - 1) * 100:.0f}%"
    parts.append(words(0, bottom + 16, text))
    return picture(
        key=key,
        title=title,
        description=f"{percent} full. {text}.",
        width=WIDTH,
        height=bottom + 22,
        css="chart bar woodpile",
        parts=parts,
    )


def weight_beam(*, key: str, lb: float, limit_lb: float, title: str) -> str:
    """A weight bar: how much of the payload (or the bridge's limit) is used.

    Units
        lb, limit_lb: pounds; the limit stands at four fifths of the width, so that too much shows.

    Errors
        BadDrawing: a limit of nothing, or a weight below zero.
    """
    if limit_lb <= 0 or lb < 0:
        raise BadDrawing(trouble="a weight needs a limit above zero")
    limit_at = WIDTH * 0.8
    is_over = lb > limit_lb
    length = min(WIDTH, lb / limit_lb * limit_at)
    state = f"{lb - limit_lb:,.0f} lb too heavy" if is_over else f"{limit_lb - lb:,.0f} lb to spare"
    text = f"{lb:,.0f} of {limit_lb:,.0f} lb, {state}"
    return picture(
        key=key,
        title=title,
        description=f"{text}.",
        width=WIDTH,
        height=BEAM_HEIGHT + 28,
        css="chart bar weight",
        parts=(
            box(0, 6, limit_at, BEAM_HEIGHT, "log-gap"),
            box(0, 6, length, BEAM_HEIGHT, "col bad" if is_over else "col"),
            rule(limit_at, 1, limit_at, BEAM_HEIGHT + 11, "limit"),
            words(0, BEAM_HEIGHT + 22, text),
        ),
    )


def _logs(filled: float, whole: int) -> int:
    """How many log ends stand for a share: never none for some wood, never full before it is."""
    if filled <= 0:
        return 0
    rounded = int(filled * whole + 0.5)
    if filled < 1:
        return min(whole - 1, max(1, rounded))
    return whole if filled == 1 else max(whole + 1, rounded)

"""The fill bar and the weight bar of a load: a pile of log ends, and a beam with a limit.

The woodpile is this site's own mark: a box filled with log ends from the left, so that full, part full and
overfull are told by shape as well as by color.
"""

from decimal import Decimal
from fractions import Fraction
from html import escape

from inventory.core.charts.marks import BadDrawing, Number, short
from inventory.core.local_measures import bare_here, measure_words
from inventory.core.sentences import ENGLISH, say

COLUMNS = 12
ROWS = 2
RADIUS = 11.0
SIZES = (0.94, 1.0, 0.86, 0.97, 0.9)  # log ends are never all alike
WIDTH = 360
OVER_COLUMNS = 2
BEAM_HEIGHT = 16


def woodpile(
    *, key: str, share: Fraction | Decimal | float, title: str, label: str = "", language: str = ENGLISH
) -> str:
    """A fill bar of log ends.

    Units
        share: 1 = full; above 1 the logs beyond the box are drawn past its wall.
        label: what stands below the pile, such as "0.83 of 1 cord"; default the percent.

    Errors
        BadDrawing: a share below zero.
    """
    filled = float(share)
    if filled < 0:
        raise BadDrawing("a load cannot be less than empty")
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
            parts.append(_disk(x, y, size, "log-gap"))
            continue
        parts.append(_disk(x, y, size, "log-end" if place < whole else "log-over"))
        parts.append(_disk(x - size * 0.08, y, size * 0.55, "log-ring"))
        parts.append(_disk(x - size * 0.12, y, size * 0.18, "log-ring"))
    wall = pitch * (COLUMNS + 0.5) + 1
    bottom = floor + radius + 2
    parts.append(_rule(0, bottom, wall, bottom, "axis"))
    parts.append(_rule(wall, 2, wall, bottom, "limit"))
    percent = f"{filled * 100:.0f}%"
    text = label or percent
    if filled > 1:
        text = say("{text}: over by {percent:.0f}%", language=language, text=text, percent=(filled - 1) * 100)
    alternative = say("{percent} full. {text}.", language=language, percent=percent, text=text)
    return _picture(key, title, alternative, text, height=bottom + 4, css="woodpile", parts="".join(parts))


def log_row(*, share: float, title: str) -> str:
    """A small fill bar: one row of twelve log ends; those aboard are filled, the room left is dashed."""
    pitch, row = 12.0, 15.0
    logs = _logs(share, COLUMNS)
    disks = "".join(
        _disk(7 + pitch * place, row, 5.5, "log-end") + _disk(7 + pitch * place, row, 2.4, "log-ring")
        if place < min(logs, COLUMNS)
        else _disk(7 + pitch * place, row, 5.5, "log-gap" if place < COLUMNS else "log-over")
        for place in range(max(COLUMNS, min(logs, COLUMNS + OVER_COLUMNS)))
    )
    return (
        f'<svg class="log-row" viewBox="0 0 176 24" role="img" aria-label="{escape(title)}">'
        f"{disks}{_rule(COLUMNS * pitch + 3, 4, COLUMNS * pitch + 3, 23, 'limit')}</svg>"
    )


def weight_beam(*, key: str, lb: float, limit_lb: float, title: str, language: str = ENGLISH) -> str:
    """A weight bar: how much of the payload (or the bridge's limit) is used.

    Units
        lb, limit_lb: pounds; the limit stands at four fifths of the width, so that too much shows.

    Errors
        BadDrawing: a limit of nothing, or a weight below zero.
    """
    if limit_lb <= 0 or lb < 0:
        raise BadDrawing("a weight needs a limit above zero")
    limit_at = WIDTH * 0.8
    is_over = lb > limit_lb
    length = min(WIDTH, lb / limit_lb * limit_at)
    if is_over:
        text = say(
            "{figure} of {limit}, {over} too heavy",
            language=language,
            figure=bare_here(lb, "lb"),
            limit=measure_words(limit_lb, "lb"),
            over=measure_words(lb - limit_lb, "lb"),
        )
    else:
        text = say(
            "{figure} of {limit}, {left} to spare",
            language=language,
            figure=bare_here(lb, "lb"),
            limit=measure_words(limit_lb, "lb"),
            left=measure_words(limit_lb - lb, "lb"),
        )
    parts = (
        _box(0, 6, limit_at, BEAM_HEIGHT, "log-gap"),
        _box(0, 6, length, BEAM_HEIGHT, "col bad" if is_over else "col"),
        _rule(limit_at, 1, limit_at, BEAM_HEIGHT + 11, "limit"),
    )
    return _picture(key, title, f"{text}.", text, height=BEAM_HEIGHT + 12, css="weight", parts="".join(parts))


def _logs(filled: float, whole: int) -> int:
    """How many log ends stand for a share: never none for some wood, never full before it is."""
    if filled <= 0:
        return 0
    rounded = int(filled * whole + 0.5)
    if filled < 1:
        return min(whole - 1, max(1, rounded))
    return whole if filled == 1 else max(whole + 1, rounded)


def _picture(key: str, title: str, told: str, text: str, *, height: Number, css: str, parts: str) -> str:
    """A drawing that says its figures to a screen reader, and its caption at the page's own size."""
    if not key or not all(letter.isalnum() or letter == "-" for letter in key):
        raise BadDrawing("its key {key!r} may hold letters, digits and hyphens only", key=key)
    return (
        f'<div class="bar {css}"><svg role="img" aria-labelledby="{key}-title {key}-desc" '
        f'viewBox="0 0 {WIDTH} {short(height)}" xmlns="http://www.w3.org/2000/svg">'
        f'<title id="{key}-title">{escape(title)}</title><desc id="{key}-desc">{escape(told)}</desc>'
        f'{parts}</svg><span class="small" aria-hidden="true">{escape(text)}</span></div>'
    )


def _box(x: Number, y: Number, width: Number, height: Number, css: str) -> str:
    size = f'width="{short(width)}" height="{short(height)}"'
    return f'<rect class="{css}" x="{short(x)}" y="{short(y)}" {size} rx="2"/>'


def _rule(x1: Number, y1: Number, x2: Number, y2: Number, css: str) -> str:
    return f'<line class="{css}" x1="{short(x1)}" y1="{short(y1)}" x2="{short(x2)}" y2="{short(y2)}"/>'


def _disk(x: Number, y: Number, radius: Number, css: str) -> str:
    return f'<circle class="{css}" cx="{short(x)}" cy="{short(y)}" r="{short(radius)}"/>'

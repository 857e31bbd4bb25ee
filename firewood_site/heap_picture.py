"""A heap drawn as it lies: beside a person, to scale, wetter pieces darker, top and core named.

Drawn from the lot's own figures and seeded by its code, so that it looks the same each time.
"""

from collections.abc import Iterable
from html import escape
from math import cos, pi, sin
from random import Random

from django.utils.translation import gettext as _

from firewood_site.templatetags.firewood import pct as pct_words
from inventory.core.local_measures import measure_words

WIDE, GROUND, TOP = 358, 118, 26
LEFT, RIGHT = 60, 346
PERSON_FT = 5.6
HIGHEST_PX = 84
LEAST_RADIUS, MOST_PIECES = 4.6, 420
ROW_FT = 4.0
USUAL = (24.0, 5.0, 480.9)  # a long heap of two and a half cords: feet long and high, ft3
TONES = (18.0, 26.0, 36.0)  # % dry basis from which a piece is drawn a tone darker


def heap_picture(
    *, code: str, loose_ft3: float, is_stacked: bool, is_round: bool, across_in: float,
    top_pct: float, core_pct: float, label: str, covered: bool = False,
) -> str:  # fmt: skip
    """The drawing; `label` is read aloud."""
    long_ft, high_ft = _size(loose_ft3, is_stacked)
    scale = min((RIGHT - LEFT) / long_ft, HIGHEST_PX / max(high_ft, PERSON_FT * 0.9))
    wide, high = long_ft * scale, high_ft * scale
    radius = max(LEAST_RADIUS, scale * across_in / 24, (wide * high / MOST_PIECES / pi) ** 0.5)
    rng = Random(code)
    start = LEFT + (RIGHT - LEFT - wide) / 2

    def roof(x: float) -> float:
        """Height of the heap above the ground, drawing units."""
        across = (x - start) / wide
        if not 0 <= across <= 1:
            return 0.0
        if is_stacked:
            return high
        bumps = 0.03 * sin(across * 31) + 0.02 * sin(across * 53 + 1)
        return high * max(0.0, sin(pi * across) ** 0.62 + bumps * sin(pi * across))

    tones: list[list[str]] = [[], [], [], []]
    for x, y, depth in _places(start, wide, radius, roof):
        pct = top_pct + (core_pct - top_pct) * depth
        tone = sum(pct >= limit for limit in TONES)
        size = radius * (0.86 + 0.12 * rng.random())
        tones[tone].append(_round(x, y, size) if is_round else _split(x, y, size, rng))
    parts = [f'<path class="t{tone + 1}" d="{"".join(paths)}"/>' for tone, paths in enumerate(tones) if paths]
    parts.append(f'<path class="ground" d="M8 {GROUND}H{WIDE - 8}"/>')
    if covered:
        parts.append(_tarp(start, wide, roof))
    parts.append(_person(24, scale))
    if not is_stacked:
        middle = start + wide / 2
        parts += _named(_("Top"), top_pct, middle - wide * 0.06, GROUND - high + radius, -1, middle)
        parts += _named(_("Core"), core_pct, middle + wide * 0.06, GROUND - high * 0.38, 1, middle)
    size = _("a small heap")
    if long_ft >= 3:
        told = _("about {long} long, {high} high")
        size = told.format(
            long=measure_words(long_ft, "ft", places=0), high=measure_words(high_ft, "ft", places=0)
        )
    parts.append(
        f'<text class="soft" x="{LEFT + (RIGHT - LEFT) / 2:.0f}" y="{GROUND + 17}">{escape(size)}</text>'
    )
    return (
        f'<svg class="heap" viewBox="0 0 {WIDE} {GROUND + 24}" role="img" '
        f'aria-label="{escape(label)}">{"".join(parts)}</svg>'
    )


def _size(loose_ft3: float, is_stacked: bool) -> tuple[float, float]:
    """Feet long and high of so much wood."""
    if is_stacked:
        return min(max(loose_ft3 / ROW_FT / 4, 2.0), 40.0), ROW_FT
    long_ft, high_ft, ft3 = USUAL
    by = (loose_ft3 / ft3) ** (1 / 3)
    return long_ft * by, high_ft * by


def _places(start: float, wide: float, radius: float, roof) -> Iterable[tuple[float, float, float]]:
    """Where the pieces lie, and how deep: 0 on the outside, 1 in the core."""
    row, y = 0, GROUND - radius
    while y > 0:
        x = start + radius + (radius if row % 2 else 0)
        any_here = False
        while x < start + wide:
            top = roof(x)
            if GROUND - y + radius * 0.7 <= top:
                any_here = True
                sides = min(x - start, start + wide - x) / (wide / 2)
                below = (top - (GROUND - y)) / max(top, 1)
                yield x, y, min(1.0, 1.6 * min(below, sides) + 0.02)
            x += 2 * radius
        if not any_here:
            return
        row, y = row + 1, y - 1.74 * radius


def _round(x: float, y: float, r: float) -> str:
    return f"M{x - r:.1f},{y:.1f}a{r:.1f},{r:.1f} 0 1 0 {2 * r:.1f},0a{r:.1f},{r:.1f} 0 1 0 {-2 * r:.1f},0"


def _split(x: float, y: float, r: float, rng: Random) -> str:
    turn = rng.random() * 2 * pi
    points = (
        (x + r * (1.1 if i else 1.2) * cos(turn + angle), y + r * sin(turn + angle))
        for i, angle in enumerate((0.0, 1.9, 3.1, 4.4))
    )
    return "M" + "L".join(f"{px:.1f},{py:.1f}" for px, py in points) + "Z"


def _tarp(start: float, wide: float, roof) -> str:
    steps = [start + wide * part / 12 for part in range(2, 11)]
    points = "L".join(f"{x:.1f},{GROUND - roof(x) - 2:.1f}" for x in steps)
    return f'<path class="tarp" d="M{points}"/>'


def _person(x: float, scale: float) -> str:
    high = PERSON_FT * scale
    head = high * 0.085
    shoulder, hip = GROUND - high * 0.8, GROUND - high * 0.47
    half = high * 0.1
    leg, gap = 0.6 * half, 0.2 * half
    body = (
        f"M{x - half:.1f},{shoulder:.1f}h{2 * half:.1f}V{hip:.1f}h{-(half - leg - gap / 2):.1f}V{GROUND}"
        f"h{-leg:.1f}V{hip:.1f}h{-gap:.1f}V{GROUND}h{-leg:.1f}V{hip:.1f}H{x - half:.1f}z"
    )
    return (
        f'<g class="person"><circle cx="{x}" cy="{GROUND - high + head:.1f}" r="{head:.1f}"/>'
        f'<path d="{body}"/></g>'
    )


def _named(name: str, pct: float, x: float, y: float, side: int, middle: float) -> list[str]:
    """A ring where it was meant, and its moisture above the heap."""
    at = middle + side * 52
    anchor = "end" if side < 0 else "start"
    return [
        f'<path class="lead" d="M{x:.1f},{y - 4:.1f}V{TOP - 8}H{at - side * 4:.1f}"/>',
        f'<circle class="ring" cx="{x:.1f}" cy="{y:.1f}" r="4"/>',
        f'<text x="{at:.1f}" y="{TOP - 4}" text-anchor="{anchor}">{escape(name)} {pct_words(pct)}</text>',
    ]

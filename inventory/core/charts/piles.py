"""A lot as a row of log ends: how much of it is for sale, tentative, promised, kept or not for sale yet.

All rows of a page are drawn to one scale, so that a large lot looks larger than a small one.
"""

from dataclasses import dataclass
from fractions import Fraction
from html import escape

STEPS = tuple(
    Fraction(each)
    for each in ("1/16", "1/8", "1/4", "1/2", "1", "2", "5", "10", "20", "50", "100", "200", "500")
)
MOST_LOGS = 24
PITCH, RADIUS, HEIGHT = 13, 5.6, 14
PARTS = ("sale", "later", "soft", "firm", "kept")  # from left to right


@dataclass(frozen=True, slots=True, kw_only=True)
class Pile:
    """The parts of a lot, each a share of its wood.

    Units
        cords, none below zero. sale: for sale today; later: not for sale yet; soft: tentative; firm:
        promised.
    """

    sale: Fraction = Fraction(0)
    later: Fraction = Fraction(0)
    soft: Fraction = Fraction(0)
    firm: Fraction = Fraction(0)
    kept: Fraction = Fraction(0)

    @property
    def whole(self) -> Fraction:
        return sum((getattr(self, part) for part in PARTS), Fraction(0))


def cords_a_log(most: Fraction) -> Fraction:
    """How many cords a log end stands for, where the largest lot of the page holds so many."""
    return next((step for step in STEPS if most <= step * MOST_LOGS), most / MOST_LOGS)


def pile_bar(pile: Pile, *, a_log: Fraction, title: str) -> str:
    """The drawing; it says its figures to a screen reader."""
    logs = [part for part in PARTS for _ in range(_logs(getattr(pile, part), a_log))]
    disks = []
    for place, part in enumerate(logs):
        x = PITCH * place + PITCH / 2
        disks.append(f'<circle class="pile-{part}" cx="{x:g}" cy="{HEIGHT / 2:g}" r="{RADIUS:g}"/>')
        if part == "sale":
            disks.append(f'<circle class="log-ring" cx="{x:g}" cy="{HEIGHT / 2:g}" r="2.6"/>')
        if part == "firm":
            disks.append(f'<path class="pile-cross" d="M{x - 3:g} {HEIGHT / 2:g}h6"/>')
    width = PITCH * max(MOST_LOGS, len(logs))
    return (
        f'<svg class="pile" viewBox="0 0 {width:g} {HEIGHT:g}" role="img" aria-label="{escape(title)}">'
        f"{''.join(disks)}</svg>"
    )


def _logs(cords: Fraction, a_log: Fraction) -> int:
    """Log ends for so much wood: some wood is at least one."""
    return max(1, round(cords / a_log)) if cords > 0 else 0

"""Two orders, one drop: neighbors pay the drive once, half each."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from inventory.core.money import dollars
from inventory.core.sentences import say
from orders.core.figures import Figures
from orders.core.reasons import NOTHING, WITH_A_NEIGHBOR, ReasonKind
from orders.core.sheets import TaxRule


def half_of(drive: Decimal) -> Decimal:
    """The half of a drive that the first of two is let off; a cent that cannot be halved stays with them."""
    cents = int(drive * 100)
    return Decimal(cents // 2) / 100


def neighbors_part(reasons: Iterable[Mapping[str, str]]) -> Decimal:
    """What a neighbor has taken off the first order's drive so far: its only lines of a drive below zero."""
    lines = (Decimal(line["dollars"]) for line in reasons if line.get("kind") == ReasonKind.DRIVE)
    return -sum((dollars_off for dollars_off in lines if dollars_off < 0), NOTHING)


def drive_shared(figures: Figures, *, tax: TaxRule, language: str) -> Figures:
    """The first order's figures once a neighbor rides along: half the drive less, and its tax."""
    half = half_of(figures.drive)
    if half <= 0:
        return figures
    off_tax = dollars(Fraction(half) * Fraction(tax.percent) / 100) if tax.on_delivery else NOTHING
    new_tax = max(NOTHING, figures.tax - off_tax)
    lines = [
        {**line, "dollars": f"{new_tax:.2f}"} if line.get("kind") == ReasonKind.TAX else line
        for line in figures.reasons
    ]
    shared = {
        "kind": str(ReasonKind.DRIVE),
        "label": say(WITH_A_NEIGHBOR, language=language),
        "dollars": f"{-half:.2f}",
        "why": say("your neighbor pays half of it", language=language),
    }
    total = figures.total - half - (figures.tax - new_tax)
    return replace(
        figures,
        total=total,
        drive=figures.drive - half,
        tax=new_tax,
        deposit=min(figures.deposit, total),
        reasons=(*lines, shared),
    )

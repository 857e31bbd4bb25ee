"""What an order or a quote costs as it is kept, and what a price agreed by hand comes to."""

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any, Self

from inventory.core.money import dollars
from inventory.core.rows import columns_of
from inventory.core.sentences import say
from orders.core.reasons import NOTHING, ReasonKind


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceSums:
    """What an order costs in all, and of it wood, drive and tax; deposit: first. Units: dollars."""

    total: Decimal
    wood: Decimal
    drive: Decimal
    tax: Decimal
    deposit: Decimal

    @classmethod
    def of(cls, priced: object, **more: Any) -> Self:
        """Of an order, or of a quote kept or just made, as their dollars are named."""
        sums = {field.name: getattr(priced, f"{field.name}_dollars") for field in fields(PriceSums)}
        return cls(**sums, **more)

    def columns(self) -> dict[str, Any]:
        """By the columns that keep it."""
        return {f"{name}_dollars": amount for name, amount in columns_of(PriceSums, self).items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures(PriceSums):
    """What an order costs, as it is kept; reasons are its lines as stored."""

    reasons: tuple[Mapping[str, str], ...]
    miles: Decimal | None = None
    minutes: int | None = None
    is_estimate: bool = False
    from_yard_id: int | None = None

    def columns(self) -> dict[str, Any]:
        return {**PriceSums.columns(self), "reasons": [dict(line) for line in self.reasons]}


def agreed(figures: Figures, *, total: Decimal, language: str) -> Figures:
    """The figures at a total agreed by hand: tax keeps its share, one line more says what was agreed."""
    share = Fraction(figures.tax) / Fraction(figures.total) if figures.total else Fraction(0)
    tax = dollars(Fraction(total) * share)
    off = (total - tax) - (figures.total - figures.tax)
    lines = [
        {**line, "dollars": f"{tax:.2f}"} if line.get("kind") == ReasonKind.TAX else line
        for line in figures.reasons
    ]
    if lines and off:
        extra = {"kind": str(ReasonKind.AGREED), "label": say("Price agreed with you", language=language)}
        lines.append({**extra, "dollars": f"{off:.2f}", "why": ""})
    return replace(
        figures,
        total=total,
        tax=tax,
        wood=max(figures.wood + off, NOTHING),
        deposit=min(figures.deposit, total),
        reasons=tuple(lines),
    )

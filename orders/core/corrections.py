"""What the seller may put right on an order, by where it stands, and what a price agreed by hand comes to."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Self

from inventory.core.money import dollars
from inventory.core.references import named
from inventory.core.rows import columns_of
from inventory.core.sentences import Sentence, say
from orders.core import OrdersError
from orders.core.lifecycle import WORDS, State
from orders.core.reasons import NOTHING, ReasonKind


class Part(StrEnum):
    """What of an order a correction touches."""

    ACCESS = "access"  # drop spot, gate, words on how to get in
    PLACE = "place"
    WHOSE = "whose"  # who the customer is
    DAYS = "days"
    GOODS = "goods"  # wood, amount, dumped or stacked, delivered or picked up
    LOTS = "lots"
    PRICE = "price"


BEFORE_IT_GOES = frozenset(Part)
ONCE_IT_IS_THERE = BEFORE_IT_GOES - {Part.DAYS}
MAY_CHANGE: Mapping[State, frozenset[Part]] = MappingProxyType(
    {
        State.ASKED: BEFORE_IT_GOES - {Part.LOTS},
        State.CONFIRMED: BEFORE_IT_GOES,
        State.PLANNED: BEFORE_IT_GOES,
        State.DELIVERED: ONCE_IT_IS_THERE,
        State.SETTLED: ONCE_IT_IS_THERE,
        State.DECLINED: frozenset(),
        State.CANCELLED: frozenset(),
    }
)
OFF_ITS_DAY = BEFORE_IT_GOES - {Part.ACCESS, Part.PRICE, Part.WHOSE}
"""What cannot change while a day carries the order: the plan was made for it as it was."""

THERE = frozenset({State.DELIVERED, State.SETTLED})


class NotCorrectable(OrdersError):
    """This part of an order cannot change where the order stands."""

    def __init__(self, *, order: str, state: State, part: Part) -> None:
        self.order = order
        self.state = state
        self.part = part
        order_first, is_now = named(order, is_first=True), Sentence(WORDS[state])
        if not MAY_CHANGE[state]:
            super().__init__(
                "{order} is {state}: reopen it first, then put it right.", order=order_first, state=is_now
            )
        elif part is Part.LOTS:
            super().__init__(
                "No wood is held for {order} yet: confirm it, then choose other lots.", order=named(order)
            )
        else:
            super().__init__(
                "{order} is {state}, so its {part} stay as they were.",
                order=order_first,
                state=is_now,
                part=Sentence(part),
            )


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


def check_parts(parts: Iterable[Part], *, state: State, order: str) -> None:
    """Refuse a correction that the order's state does not allow.

    Errors
        NotCorrectable
    """
    for part in sorted(parts):
        if part not in MAY_CHANGE[State(state)]:
            raise NotCorrectable(order=order, state=State(state), part=part)


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

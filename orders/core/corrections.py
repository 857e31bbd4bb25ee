"""What the seller may put right on an order, by where it stands."""

from collections.abc import Iterable, Mapping
from enum import StrEnum
from types import MappingProxyType

from inventory.core.references import named
from inventory.core.sentences import Sentence
from orders.core import OrdersError
from orders.core.lifecycle import WORDS, State


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


def check_parts(parts: Iterable[Part], *, state: State, order: str) -> None:
    """Refuse a correction that the order's state does not allow.

    Errors
        NotCorrectable
    """
    for part in sorted(parts):
        if part not in MAY_CHANGE[State(state)]:
            raise NotCorrectable(order=order, state=State(state), part=part)

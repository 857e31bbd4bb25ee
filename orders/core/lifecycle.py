"""The states of an order, the steps between them, and until when the customer may change it."""

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from types import MappingProxyType

from inventory.core.gaps import day_words, joined
from inventory.core.references import named
from inventory.core.sentences import Sentence, say
from orders.core import CustomerRefusal, OrdersError
from orders.core.languages import clock_words

NOON = 12


class State(StrEnum):
    """Where an order stands."""

    ASKED = "asked"
    CONFIRMED = "confirmed"
    PLANNED = "planned"
    DELIVERED = "delivered"
    SETTLED = "settled"
    DECLINED = "declined"
    CANCELLED = "cancelled"


WORDS: Mapping[State, str] = MappingProxyType(
    {
        State.ASKED: "a new request",
        State.CONFIRMED: "confirmed",
        State.PLANNED: "scheduled",
        State.DELIVERED: "delivered",
        State.SETTLED: "settled",
        State.DECLINED: "declined",
        State.CANCELLED: "cancelled",
    }
)

# Planned goes back to confirmed when a drop is taken off a day; settled goes back to delivered when
# money is due again; what was declined or cancelled by mistake is asked for again; confirmed goes straight
# to delivered when the wood is fetched at the yard.
STEPS: Mapping[State, tuple[State, ...]] = MappingProxyType(
    {
        State.ASKED: (State.CONFIRMED, State.DECLINED, State.CANCELLED),
        State.CONFIRMED: (State.PLANNED, State.CANCELLED),
        State.PLANNED: (State.CONFIRMED, State.DELIVERED, State.CANCELLED),
        State.DELIVERED: (State.SETTLED,),
        State.SETTLED: (State.DELIVERED,),
        State.DECLINED: (State.ASKED,),
        State.CANCELLED: (State.ASKED,),
    }
)

"""States in which wood is held for the order."""

OPEN = frozenset({State.ASKED, State.CONFIRMED, State.PLANNED, State.DELIVERED})
"""States that still want something done."""


class WrongStep(OrdersError):
    """An order cannot go from where it stands to there; names the steps it can take."""

    def __init__(self, *, order: str, state: State, to: State, allowed: tuple[State, ...]) -> None:
        self.order = order
        self.state = state
        self.to = to
        self.allowed = allowed
        named_order, is_now = named(order, is_first=True), Sentence(WORDS[state])
        if state == to:
            super().__init__("{order} is {state} already.", order=named_order, state=is_now)
        else:
            super().__init__(
                "{order} is {state} and cannot become {to}: from here it can become {ways}.",
                order=named_order,
                state=is_now,
                to=Sentence(WORDS[to]),
                ways=joined((Sentence(WORDS[step]) for step in allowed), "or"),
            )


class TooLateToChange(CustomerRefusal):
    """The customer's cut-off has passed, or the order is beyond changing."""

    def __init__(self, *, order: str, state: State, cut_off: datetime | None) -> None:
        self.order = order
        self.state = state
        self.cut_off = cut_off
        super().__init__()

    def text_in(self, language: str) -> str:
        if self.cut_off is None:
            return say("This order can no longer be changed here: call us.", language=language)
        return say(
            "This order could be changed until {day} {hour}: it is being loaded, so call us.",
            language=language,
            day=day_words(self.cut_off.date(), language=language),
            hour=clock_words(self.cut_off.time(), language=language),
        )


def allowed_steps(state: State, *, is_pick_up: bool = False) -> tuple[State, ...]:
    """The states an order can go to next; wood fetched at the yard needs no planned day."""
    steps = STEPS[state]
    if is_pick_up and state is State.CONFIRMED:
        return (State.DELIVERED, *(step for step in steps if step is not State.PLANNED))
    return steps


def confirmed(state: State, *, order: str) -> State:
    """The state of a request that is accepted; one that is scheduled already holds its wood and is not.

    Errors
        WrongStep
    """
    if State(state) is not State.ASKED:
        allowed = tuple(to for to in STEPS[State(state)] if to is not State.CONFIRMED)
        raise WrongStep(order=order, state=State(state), to=State.CONFIRMED, allowed=allowed)
    return State.CONFIRMED


def step(state: State, *, to: State, order: str, is_pick_up: bool = False) -> State:
    """The new state, if the step is allowed.

    `order` is how the sentence names it, such as "order 205".

    Errors
        WrongStep: says what it can become instead.
    """
    allowed = allowed_steps(State(state), is_pick_up=is_pick_up)
    if to not in allowed:
        raise WrongStep(order=order, state=State(state), to=State(to), allowed=allowed)
    return State(to)


def cut_off_at(day: date, *, hour: int = NOON) -> datetime:
    """The local moment until which a customer may change or cancel: an hour of the day before."""
    return datetime.combine(day - timedelta(days=1), time(hour))


def check_customer_change(
    state: State, *, order: str, day: date | None, now: datetime, hour: int = NOON
) -> None:
    """Refuse a customer's change or cancellation once it is too late.

    Units
        now: local clock time without a zone, as the page sees it; day: the promised day, if set.

    Errors
        TooLateToChange: past the cut-off, or already delivered, declined or cancelled.
    """
    if State(state) not in (State.ASKED, State.CONFIRMED, State.PLANNED):
        raise TooLateToChange(order=order, state=State(state), cut_off=None)
    if day is not None and now.replace(tzinfo=None) > (cut_off := cut_off_at(day, hour=hour)):
        raise TooLateToChange(order=order, state=State(state), cut_off=cut_off)


def may_customer_change(state: State, *, day: date | None, now: datetime, hour: int = NOON) -> bool:
    """Whether the change and cancel buttons are shown."""
    try:
        check_customer_change(state, order="order", day=day, now=now, hour=hour)
    except TooLateToChange:
        return False
    return True

"""An event as it reached us, what applying it left to say, and why it could not be applied."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils import timezone

from inventory.core.sentences import ENGLISH, Refusal, Sentence, text_of_all
from orders.core.places import Amount
from routing.core import DriverRefusal
from routing.core.driver_input import SeenDrop
from routing.models import Load, Run, Stop

OPEN_STATES = (Stop.State.PLANNED, Stop.State.ARRIVED)


class NotOnTheRun(DriverRefusal):
    """The drop, load or run that the phone speaks of is not in the plan any more."""


class EndedBefore(DriverRefusal):
    """The drop was ended before under another key."""

    def __init__(self, *, order: int, state: str, at: datetime | None, who: str) -> None:
        self.order = order
        self.state = state
        when = Sentence(" at {time}", {"time": f"{timezone.localtime(at):%H:%M}"}) if at else ""
        by = Sentence(" by {who}", {"who": who}) if who else ""
        super().__init__(
            "The drop of order {order} was ended before{when}{by} ({state}).",
            order=order,
            when=when,
            by=by,
            state=Sentence(state),
        )


class PlanChanged(DriverRefusal):
    """The day was planned again after the phone loaded its page: the drop is not what the driver saw."""

    def __init__(self, *, order: int, seen: SeenDrop, parts: int, stop: Stop) -> None:
        self.order = order
        many = seen.parts is not None and seen.parts > 1
        gaps: dict[str, object] = {
            "saw": Amount(seen.cords) if seen.cords is not None else Sentence("another amount"),
            "drops": Sentence(" in {count} drops", {"count": seen.parts}) if many else "",
            "order": order,
            "now": Amount(stop.cords),
            "part": Sentence(", part {part} of {count}", {"part": stop.part, "count": parts})
            if parts > 1
            else "",
        }
        super().__init__(
            "The phone saw {saw}{drops} for order {order}; the plan was changed since and this drop is "
            "now {now}{part}.",
            **gaps,
        )


class NoWoodHeld(DriverRefusal):
    says = "No wood is held for order {order}: hold a lot for it, then mark the drop delivered again."


@dataclass(frozen=True, slots=True, kw_only=True)
class IncomingEvent:
    """An event as a phone or a form sends it; at: when it happened.

    Units
        input: by kind. delivered: cords (text), dollars, method; paid: dollars, method; left and home:
        odometer (as the dial shows it); loaded: ticks; trouble and no_show: note; all of a drop: order, part,
        and the plan the driver saw: version, planned_cords, parts.
    """

    key: UUID
    kind: str
    at: datetime
    input: Mapping[str, Any] = field(default_factory=dict)
    run_id: int | None = None
    load_id: int | None = None
    stop_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EventInput(IncomingEvent):
    """An event as it reached us, its rows found."""

    who: str
    run: Run | None
    load: Load | None
    stop: Stop | None


@dataclass(frozen=True, slots=True, kw_only=True)
class EventResult:
    """What applying an event left to say.

    sentences: each a `Sentence`, or a refusal; letters: (order number, kind of letter).
    """

    sentences: tuple[object, ...] = ()
    letters: tuple[tuple[int, str], ...] = ()
    needs_look: bool = False

    @property
    def message(self) -> str:
        return self.text_in(ENGLISH)

    def text_in(self, language: str) -> str:
        return text_of_all((_worded(sentence, language) for sentence in self.sentences), language)


def _worded(sentence: object, language: str) -> object:
    """A refusal without words in the language is named, not mixed in."""
    if language == ENGLISH or not isinstance(sentence, Refusal) or isinstance(sentence, DriverRefusal):
        return sentence
    return Sentence("This could not be recorded. The seller sees why.")


NOTHING_LEFT = EventResult()


def stop_of(event: EventInput) -> Stop:
    """The drop the event is about.

    Errors
        NotOnTheRun
    """
    if event.stop is None:
        order = event.input.get("order")
        if order:
            raise NotOnTheRun("The drop of order {order} is not on a run any more.", order=order)
        raise NotOnTheRun("This drop is not on a run any more.")
    return event.stop


def load_of(event: EventInput) -> Load:
    """The load the event is about.

    Errors
        NotOnTheRun
    """
    if event.load is None:
        raise NotOnTheRun("This load is not on a run any more.")
    return event.load


def run_of(event: EventInput) -> Run:
    """The run the event is about.

    Errors
        NotOnTheRun
    """
    if event.run is None:
        raise NotOnTheRun("This run is not planned any more.")
    return event.run

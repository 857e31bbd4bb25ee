"""Events from the road, kept as they come: hours later, twice, or in another order.

Every event has the phone's own key. It is applied once and whole; what cannot be applied is kept with the
reason as a conflict, which `resolve` ends. What each kind changes is in `effects`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from inventory.core import InventoryError
from inventory.core.local import to_the_cent
from inventory.core.rows import from_row
from inventory.core.sentences import ENGLISH, Sentence
from orders.core import OrdersError
from orders.models import Order
from routing.core import DriverRefusal, RoutingError
from routing.core.driver_input import UnreadableFigure, count_given, dollars_given
from routing.models import DriverEvent, Load, Run, Stop
from routing.services.driver_events.effects import APPLY
from routing.services.driver_events.values import EventInput, EventResult, IncomingEvent

LONGEST_MESSAGE = 300
APPLIED, CONFLICT = DriverEvent.Outcome.APPLIED, DriverEvent.Outcome.CONFLICT


class UnknownKind(DriverRefusal):
    says = "{kind!r} is nothing a driver can report."


@dataclass(frozen=True, slots=True, kw_only=True)
class EventOutcome:
    """What became of an event.

    letters: (order number, kind of letter) that the step calls for; none when it was known before.
    """

    key: UUID
    outcome: str
    message: str
    is_new: bool
    letters: tuple[tuple[int, str], ...] = ()


def record_event(
    event: IncomingEvent, *, received_at: datetime, who: str, language: str = ENGLISH
) -> EventOutcome:
    """Apply what a driver says happened, once; keep it with the reason when it cannot be applied.

    Errors
        UnknownKind: nothing is kept.
    """
    if event.kind not in APPLY:
        raise UnknownKind(kind=event.kind)
    known = DriverEvent.objects.filter(key=event.key).first()
    if known is not None:
        return EventOutcome(key=event.key, outcome=known.outcome, message=known.message, is_new=False)
    runs, loads = Run.objects.select_related("day", "rig"), Load.objects.all()
    found = from_row(
        EventInput,
        event,
        who=who,
        stop=_stop(event.stop_id, event.input, event.at),
        load=loads.filter(pk=event.load_id).first() if event.load_id else None,
        run=runs.filter(pk=event.run_id).first() if event.run_id else None,
    )
    with transaction.atomic():
        row, is_new = DriverEvent.objects.get_or_create(
            key=event.key,
            defaults={
                "kind": event.kind,
                "stop": found.stop,
                "load": found.load,
                "run": found.run,
                "order": found.stop.order if found.stop else _order(event.input),
                "input": dict(event.input),
                "happened_at": event.at,
                "received_at": received_at,
                "who": who[:80],
                "outcome": APPLIED,
            },
        )
        if not is_new:
            return EventOutcome(key=event.key, outcome=row.outcome, message=row.message, is_new=False)
        result = _applied(found)
        row.outcome = CONFLICT if result.needs_look else APPLIED
        row.message = result.message[:LONGEST_MESSAGE]
        row.save(update_fields=["outcome", "message"])
    return EventOutcome(
        key=event.key,
        outcome=str(row.outcome),
        message=result.text_in(language)[:LONGEST_MESSAGE],
        is_new=True,
        letters=result.letters,
    )


def _applied(event: EventInput) -> EventResult:
    """Apply inside a savepoint: what fails leaves the event kept and nothing else changed."""
    try:
        with transaction.atomic():
            return APPLY[event.kind](event)
    except (RoutingError, OrdersError, InventoryError) as error:
        return EventResult(sentences=(error, *_money_waiting(event)), needs_look=True)


def _money_waiting(event: EventInput) -> tuple[Sentence, ...]:
    """Dollars the driver has in hand and no book knows of yet."""
    try:
        dollars = dollars_given(event.input)
    except UnreadableFigure:
        return ()
    if not dollars:
        return ()
    gaps = {
        "dollars": to_the_cent(dollars),
        "method": event.input.get("method") or Sentence("cash"),
    }
    return (Sentence("{dollars} {method} is not booked yet.", gaps),)


def _stop(stop_id: int | None, given: Mapping[str, Any], at: datetime) -> Stop | None:
    """The drop meant: by its id, or by order and part when the day was planned anew meanwhile."""
    rows = Stop.objects.select_related("order", "lot", "load__run__rig", "load__run__day")
    number, part = count_given(given.get("order")), count_given(given.get("part"))
    found = rows.filter(pk=stop_id).first() if stop_id else None
    if found is not None and number not in (None, found.order.number):
        found = None
    if found is None and number is not None:
        same = rows.filter(order__number=number, part=part or 1)
        found = same.filter(load__run__day__on=timezone.localdate(at)).first()
    return found


def _order(given: Mapping[str, Any]) -> Order | None:
    number = count_given(given.get("order"))
    return Order.objects.filter(number=number).first() if number is not None else None

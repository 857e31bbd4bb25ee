"""A conflict between a phone and the plan, ended in one step: as the phone saw it, or as the plan stands."""

from datetime import datetime
from enum import StrEnum
from fractions import Fraction
from uuid import UUID

from django.db import transaction

from inventory.core.rows import from_row
from inventory.services import audit
from orders.models import Order
from orders.services.orders import mark_planned
from routing.core import RoutingError
from routing.core.driver_input import cords_given, seen_drop
from routing.models import DriverEvent, Stop
from routing.services.driver_events.effects import come_home
from routing.services.driver_events.handover import hand_over, take_money
from routing.services.driver_events.values import OPEN_STATES, EventInput, EventResult

APPLIED, CONFLICT = DriverEvent.Outcome.APPLIED, DriverEvent.Outcome.CONFLICT
AWAY_STATES = (Stop.State.NO_SHOW, Stop.State.TROUBLE)


class Choice(StrEnum):
    """Ways to end a conflict."""

    PHONE = "phone"  # what the driver said happened, money included
    MONEY = "money"  # the plan stays, the driver's money is booked
    PLAN = "plan"  # the plan stays, nothing is booked


class NothingToResolve(RoutingError):
    says = "The phone's version cannot be booked here: put the order right on its page, then keep the plan."


@transaction.atomic
def resolve_event(*, key: UUID, choice: Choice, at: datetime, who: str) -> EventResult:
    """End a conflict; one that was ended before is left alone.

    Errors
        NothingToResolve: there is no order, or its drops were delivered already.
        WrongStep, NoWoodHeld, NotEnoughOpen, UnreadableFigure: it cannot be booked; nothing is changed.
    """
    if not DriverEvent.objects.filter(key=key, outcome=CONFLICT).update(outcome=APPLIED):
        return EventResult()
    row = DriverEvent.objects.select_related("order", "stop__load__run__rig", "load", "run").get(key=key)
    event = from_row(
        EventInput,
        row,
        at=row.happened_at,
        input={**row.input, "keep_too_much": True},  # whoever taps has seen the amount
    )
    result = EventResult()
    if choice == Choice.PHONE:
        result = _as_the_phone_saw(event, row.order)
    elif choice == Choice.MONEY:
        if row.order is None:
            raise NothingToResolve(choice=choice)
        take_money(event, row.order)
    row.message = f"{DONE_WORDS[choice]} {row.message}"[:300]
    row.save(update_fields=["message"])
    audit.note(
        at=at, who=who, verb=f"resolved: {choice}", thing=f"driver event {row.kind}"[:40], note=row.message
    )
    return result


DONE_WORDS = {
    Choice.PHONE: "Booked as the driver said.",
    Choice.MONEY: "Plan kept, money booked.",
    Choice.PLAN: "Looked at:",
}


def _as_the_phone_saw(event: EventInput, order: Order | None) -> EventResult:
    """Apply the event to all that is left of the order, reopening a drop that another phone had sent home."""
    if order is None or event.kind not in ("delivered", "no_show", "trouble"):
        raise NothingToResolve(choice=Choice.PHONE)
    if event.kind == "delivered":
        _reopen(event, order)
    stops = list(order.stops.filter(state__in=OPEN_STATES).select_related("order", "lot", "load__run__rig"))
    if not stops:
        raise NothingToResolve(choice=Choice.PHONE)
    if event.kind != "delivered":
        return come_home(event, stops)
    seen, given = seen_drop(event.input), cords_given(event.input)
    saw_all = seen.parts == 1 or event.stop is None or len(stops) == 1
    ended = stops if saw_all else [stop for stop in stops if stop.pk == event.stop.pk]  # type: ignore[union-attr]
    planned = seen.cords if seen.cords is not None else sum((stop.cords for stop in ended), Fraction(0))
    return hand_over(event, order=order, stops=ended, cords=planned if given is None else given)


def _reopen(event: EventInput, order: Order) -> None:
    """A drop that was sent home on another phone's word is open again, its order back on the day."""
    stop = event.stop
    if stop is None or stop.state not in AWAY_STATES:
        return
    stop.state, stop.done_at = Stop.State.ARRIVED, None
    stop.save(update_fields=["state", "done_at"])
    if order.state == Order.State.CONFIRMED:
        mark_planned(number=order.number, promised_on=stop.load.run.day.on, at=event.at, who=event.who)
        order.refresh_from_db()
